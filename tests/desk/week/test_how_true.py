"""Promises are scored by what happened, and hours on the clock teach the shop's own figures."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from steadyrest.desk.floor import clock
from steadyrest.desk.place import Place, open_place
from steadyrest.desk.standing import as_it_stands
from steadyrest.desk.week import how_true
from steadyrest.desk.week.how_true import LessonShelf
from steadyrest.desk.week.own_past import own_past
from steadyrest.desk.week.repeats import made, times_made
from steadyrest.desk.week.taken import YesOrNo, agreed_due, say_yes_or_no, taken_work
from steadyrest.promise.lessons.past import Quote, QuotedStep
from steadyrest.shop.floor import PromisedWork
from steadyrest.trouble import BadInput
from tests.web.workshop import NOW, planned, shaft

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Kept:
    place: Place
    first: int
    second: int


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kept]:
    """Two jobs alike: the first is done to the end, the second lost to somebody cheaper."""
    place = open_place(tmp_path_factory.mktemp("true") / "data", None)
    first = planned(place, shaft(), "winch shaft", due=NOW + 10 * DAY)
    second = planned(place, shaft(), "same again", due=NOW + 10 * DAY)
    say_yes_or_no(place.store, YesOrNo(first, "promised", "owner"), now=NOW)
    say_yes_or_no(place.store, YesOrNo(second, "declined", "owner", why="price"), now=NOW)
    yield Kept(place, first, second)
    place.close()


def works(kept: Kept, times: float) -> None:
    """Everybody takes so many times what was planned, step after step."""
    at, store = NOW + timedelta(hours=1), kept.place.store
    for step in own_past(store, now=at)[0].steps:
        who = kept.place.said.shop.people[0].id
        clock.tell(store, kept.place.said.shop, clock.Said("start", who, kept.first, int(step.step), at=at), now=at)
        at += timedelta(seconds=round(step.estimate_s * times))
        clock.tell(store, kept.place.said.shop, clock.Said("done", who, kept.first, int(step.step), at=at), now=at)


def test_hours_worked_are_learned_and_change_nothing_before_somebody_says_so(kept: Kept, tmp_path: Path) -> None:
    store, said = kept.place.store, kept.place.said
    before = taken_work(store, said.shop, now=NOW, late_per_hour=Decimal(1))
    assert [one.id for one in before] == [str(kept.first)]
    works(kept, 1.5)
    later = NOW + 9 * DAY
    assert taken_work(store, said.shop, now=later, late_per_hour=Decimal(1)) == ()
    quotes = own_past(store, now=later)
    assert [(quote.won, quote.actual_s is not None) for quote in quotes] == [(True, True), (False, False)]
    assert quotes[0].actual_s == pytest.approx(1.5 * quotes[0].estimate_s, rel=0.01)
    true = how_true.how_true(store, said.shop, LessonShelf(), now=later)
    assert true.prices is not None
    assert (true.prices.asked, true.prices.won) == (2, 1), "one taken, one lost over the price"
    assert sum(true.prices.fifths) == pytest.approx(2)
    assert true.costs is not None
    assert true.costs.jobs == 1
    assert true.costs.fifths[0] == 0, "half as many hours again cost more than foretold"
    assert true.lessons is not None
    assert 1.05 < true.lessons.shop.p50 < 1.5  # between what was believed and what few steps say
    assert as_it_stands(said, store, now=later).shop.habits == said.shop.habits
    how_true.use(store, true.figures, who="owner", now=later)
    learned = as_it_stands(said, store, now=later).shop
    assert learned.habits.bias == pytest.approx(true.lessons.shop.p50, abs=0.001)
    how_true.use(store, (), who="owner", now=later)
    assert as_it_stands(said, store, now=later).shop.habits == said.shop.habits


def test_a_promise_is_kept_if_it_is_delivered_by_its_time_and_open_until_then(kept: Kept) -> None:
    store, shop = kept.place.store, kept.place.said.shop
    promise = how_true.how_true(store, shop, LessonShelf(), now=NOW + 9 * DAY).promises
    assert [(one.number, one.kept) for one in promise] == [(kept.first, None)]
    assert how_true.how_true(store, shop, LessonShelf(), now=NOW + 11 * DAY).promises[0].kept is False
    say_yes_or_no(store, YesOrNo(kept.first, "ready", "owner"), now=NOW + 9 * DAY)
    say_yes_or_no(store, YesOrNo(kept.first, "delivered", "owner"), now=NOW + 9 * DAY)
    true = how_true.how_true(store, shop, LessonShelf(), now=NOW + 11 * DAY)
    assert true.promises[0].kept is True
    assert [(one.kept, one.known) for one in true.kept] == [(1, 1)]
    with pytest.raises(BadInput):
        say_yes_or_no(store, YesOrNo(kept.first, "declined", "owner", why="price"), now=NOW + 9 * DAY)


def test_what_was_agreed_counts_and_not_what_was_asked_for(kept: Kept) -> None:
    store = kept.place.store
    due = NOW + 20 * DAY
    say_yes_or_no(store, YesOrNo(kept.second, "promised", "owner", due=due, price=Decimal("99.00")), now=NOW)
    with store.reading() as session:
        from steadyrest.desk.plan import keeping
        from steadyrest.store import jobs

        job = jobs.job(session, kept.second)
        assert job is not None
        found = keeping.kept(session, job)
        assert found is not None
        assert agreed_due(found) == due
    scored = how_true.how_true(store, kept.place.said.shop, LessonShelf(), now=NOW + 11 * DAY).promises
    assert {one.number: one.due for one in scored}[kept.second] == due


def test_a_part_made_before_takes_less_of_hands_once_the_rate_is_in_use_and_says_why(kept: Kept) -> None:
    store, shop = kept.place.store, kept.place.said.shop
    say_yes_or_no(store, YesOrNo(kept.second, "promised", "owner"), now=NOW)
    with store.reading() as session:
        times = times_made(session)
    assert times[kept.second] == (times[kept.first][0], 2), "both came as the same file"

    def second(rate: float) -> PromisedWork:
        said = replace(shop, habits=replace(shop.habits, repeat_rate=rate))
        works_taken = taken_work(store, said, now=NOW, late_per_hour=Decimal(1))
        return next(one for one in works_taken if one.id == str(kept.second))

    planned, again = second(1.0), second(0.9)
    assert not planned.why
    assert [one.key for one in again.why] == ["lessons.repeat"]
    for one, then in zip(planned.phases, again.phases, strict=True):
        assert then.duration_s == pytest.approx(one.duration_s * (0.9 if one.who and not one.elsewhere else 1.0))
    quotes = [Quote("1", 1, True, (QuotedStep("1", "saw", "", 3600.0, 3000.0),)),
              Quote("2", 1, True, (QuotedStep("1", "saw", "", 3600.0, None),))]  # fmt: skip
    (only,) = made(quotes, {1: ("a", 1), 2: ("a", 2)})
    assert (only.part, only.nth) == ("a", 1), "what is not done teaches nothing"
    assert only.ratio == pytest.approx(math.log(3000 / 3600))
