"""Should I take it: every limit speaks, and a no names the nearest yes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from steadyrest.decide.liability import alarms, families
from steadyrest.decide.take import Take, in_short, take
from steadyrest.price.price import price
from steadyrest.promise.promise import promise
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Feature, Limits, NextReading, Nominal, Part, Size, UnitSaid
from steadyrest.shop.work import Route, Undone
from steadyrest.wording.say import Reader, say, words
from tests.promise.sample_shop import DUE, NOW, route, shop

WHY = because("promise.neck_work")


def seat(odds: float, *, fits: bool = True) -> Feature:
    limits = Limits(35.002, 35.018, (WHY,)) if fits else None
    size = Size("diameter_mm", 35.01, 34.6, 0.02, Nominal(35.0, "35", odds, "bearing bore", limits, (WHY,)))
    return Feature("S1", "shaft", (size,), (1, 0, 0), (0, 0, 0))


def part(*features: Feature, name: str = "pump shaft", unit: str = "sure", doubts: tuple[Doubt, ...] = ()) -> Part:
    said = UnitSaid("mm", unit, WHY)  # pyright: ignore[reportArgumentType]
    return Part(name, "scan", said, (200, 50, 50), None, features, True, doubts=doubts)


def decided(
    the_part: Part | None = None,
    *,
    the_route: Route | None = None,
    due: datetime = DUE,
    now: datetime = NOW,
    said: str = "",
    late: float = 1.0,
) -> Take:
    one, the_shop = the_route or route(), shop()
    if not one.steps or due <= now:
        return take(the_part or part(), (one,), None, None, due=due, now=now, shop=the_shop, said=said)
    when, draws = promise(one, job_id="300", due=due, now=now, shop=the_shop, luck=Luck(300, 1))
    money = price(one, draws, shop=the_shop, quantity=1)
    return take(the_part or part(), (one,), when, money, due=due, now=now, shop=the_shop, said=said)


def keys(reasons) -> list[str]:
    return [reason.key for reason in reasons]


def sayable(got: Take) -> bool:
    every = [*got.why, *got.ifs, *got.asks, *([got.nearest_yes] if got.nearest_yes else [])]
    return all("{" not in say(reason, Reader(currency="EUR")) for reason in every)


def test_a_job_that_fits_the_week_and_raises_no_question_is_a_yes_with_its_price() -> None:
    got = decided()
    assert (got.answer, got.ifs, got.nearest_yes) == ("yes", (), None)
    assert "take.holds" in keys(got.why)
    assert "take.price" in keys(got.why)
    assert "take.yes_by" in keys(got.why)
    assert sayable(got)


def test_a_part_this_floor_cannot_make_is_a_no_with_all_limits_and_the_cheapest_change() -> None:
    no = Undone("turn", "lathe", ("S1",), (because("promise.never", days=1.0), WHY), because("take.later_due"))
    other = Undone("mill", "mill", ("S1",), (because("take.no_route"),))
    got = decided(the_route=Route((), None, None, None, (), (no, other), ()))
    assert got.answer == "no"
    assert keys(got.why) == ["promise.never", "promise.neck_work", "take.no_route"]
    assert got.nearest_yes == because("take.later_due")
    assert sayable(got)


def test_a_due_time_that_cannot_be_kept_is_a_no_whose_nearest_yes_is_a_time_that_can() -> None:
    got = decided(due=NOW + timedelta(hours=4))
    assert got.answer == "no"
    assert got.nearest_yes is not None
    assert got.nearest_yes.key == "take.move_due"
    assert "take.gone" in keys(got.why)
    assert sayable(got)


def test_moving_the_due_time_to_the_nearest_yes_makes_the_time_hold() -> None:
    when, _ = promise(route(), job_id="300", due=NOW + timedelta(hours=4), now=NOW, shop=shop(), luck=Luck(300, 1))
    assert when.can_promise is not None
    moved = decided(due=when.can_promise)
    assert moved.answer == "yes if"  # the time holds now, at the cost of others
    assert set(keys(moved.ifs)) == {"take.other_thin"}
    assert moved.nearest_yes is not None
    assert moved.nearest_yes.key == "take.behind_all"
    assert sayable(moved)


def test_a_time_behind_all_other_work_is_a_plain_yes() -> None:
    when, _ = promise(route(), job_id="300", due=NOW + timedelta(hours=4), now=NOW, shop=shop(), luck=Luck(300, 1))
    assert when.behind_all is not None
    assert decided(due=when.behind_all).answer == "yes"


def test_thin_odds_are_a_yes_if_the_customer_takes_it_later() -> None:
    when, draws = promise(route(), job_id="300", due=DUE, now=NOW, shop=shop(), luck=Luck(300, 1))
    thin = replace(when, odds=replace(when.odds, value=0.7))
    money = price(route(), draws, shop=shop(), quantity=1)
    got = take(part(), (route(),), thin, money, due=DUE, now=NOW, shop=shop())
    assert got.answer == "yes if"
    assert keys(got.ifs) == ["take.move_due"]
    assert sayable(got)


def test_a_due_time_in_the_past_is_a_no() -> None:
    got = decided(due=NOW - timedelta(hours=1))
    assert (got.answer, keys(got.why)) == ("no", ["take.due_past"])
    assert sayable(got)


def test_a_fitting_size_that_the_scan_cannot_settle_is_measured_first() -> None:
    got = decided(part(seat(0.4)))
    assert (got.answer, keys(got.ifs)) == ("yes if", ["take.reading"])
    assert sayable(got)
    known = replace(part(seat(0.4)), next_reading=NextReading("S1", "micrometer 25-50", (WHY,)))
    assert keys(decided(known).ifs) == ["take.next_reading"]
    assert decided(part(seat(0.97))).answer == "yes"
    assert decided(part(seat(0.4, fits=False))).answer == "yes"


def test_a_file_without_units_is_settled_by_a_hand_before_there_is_a_yes() -> None:
    assert keys(decided(part(unit="ask")).ifs) == ["take.unit"]


def test_other_doubts_are_asked_and_decide_nothing() -> None:
    got = decided(part(doubts=(Doubt(WHY, because("take.unit")),)))
    assert (got.answer, keys(got.asks)) == ("yes", ["take.unit"])


@pytest.mark.parametrize(
    ("name", "said", "key"),
    [
        ("stage_lift_shaft", "", "liability.lifting"),
        ("shaft", "the rear brake of a trailer", "liability.road"),
        ("bush", "for the Boiler's feed pump", "liability.pressure"),
        ("pin", "medical stand", "liability.medical"),
        ("hub", "propellers for a small boat", "liability.flight"),
        ("rung", "a rung for the ladder", "liability.people"),
    ],
)
def test_work_on_which_lives_hang_is_a_yes_only_if_somebody_authorised_looks(name: str, said: str, key: str) -> None:
    got = decided(part(name=name), said=said)
    assert got.answer == "yes if"
    assert key in keys(got.ifs)
    assert sayable(got)


def test_words_are_whole_words_and_each_family_is_asked_once() -> None:
    assert families("upliftingly gaseous brakeless") == ()
    assert families("hoist and crane and hoists") == (("lifting", "hoist"),)
    assert all(f"liability.{alarm.family}" in words() for alarm in alarms())


def test_what_this_floor_leaves_undone_somebody_else_has_to_make() -> None:
    part_of = replace(leaving(1, ways=1, made=2), cannot=(Undone("grind", "grinder", ("S1",), (WHY,)),))
    got = decided(the_route=part_of)
    assert (got.answer, keys(got.ifs)) == ("yes if", ["take.unmade"])


def test_a_promise_that_held_and_no_longer_would_has_its_customer_asked_first() -> None:
    when, draws = promise(route(), job_id="300", due=DUE, now=NOW, shop=shop(), luck=Luck(300, 1))
    hurt = replace(when.others[2], odds_before=0.95, odds_after=0.3, late_money=40.0)
    money = price(route(), draws, shop=shop(), quantity=1)
    got = take(part(), (route(),), replace(when, others=(hurt,)), money, due=DUE, now=NOW, shop=shop())
    assert (got.answer, keys(got.ifs)) == ("yes if", ["take.other_gone"])
    thin = replace(hurt, odds_after=0.7)
    got = take(part(), (route(),), replace(when, others=(thin,)), money, due=DUE, now=NOW, shop=shop())
    assert keys(got.ifs) == ["take.other_thin"]
    assert sayable(got)


def test_a_thing_that_waits_too_long_too_often_is_watched() -> None:
    when, draws = promise(route(), job_id="300", due=DUE, now=NOW, shop=shop(), luck=Luck(300, 1))
    money = price(route(), draws, shop=shop(), quantity=1)
    got = take(part(), (route(),), replace(when, waits_broken_odds=0.4), money, due=DUE, now=NOW, shop=shop())
    assert keys(got.ifs) == ["take.waits"]


def test_names_in_a_row_are_said_as_from_and_to_and_none_is_lost() -> None:
    assert in_short(("F1", "F3", "F4")) == "F1, F3, F4"
    assert in_short(("F2", "F11", "F12", "F13", "F14", "S15")) == "F2, F11 to F14, S15"


def leaving(names: int, *, ways: int, made: int) -> Route:
    """A route that makes so many features and leaves so many, each of so many ways its own nearest yes."""
    first, *rest = route().steps
    found = tuple(
        Undone("mill", "mill", (f"L{k}",), (because("take.no_route"),), because("take.unmade", features=f"w{k % ways}"))
        for k in range(names)
    )
    steps = (replace(first, makes=tuple(f"M{k}" for k in range(made))), *(replace(step, makes=()) for step in rest))
    return replace(route(), steps=steps, cannot=found)


@pytest.mark.parametrize(
    ("left", "ways", "made", "answer", "key"),
    [
        (6, 1, 5, "no", "left.most"),
        (5, 1, 6, "yes if", None),
        (9, 9, 20, "no", "left.many"),
        (9, 3, 20, "yes if", None),
        (9, 9, 60, "yes if", None),
    ],
)
def test_what_leaves_most_of_the_part_or_many_different_things_to_others_is_a_no(
    left: int, ways: int, made: int, answer: str, key: str | None
) -> None:
    got = decided(the_route=leaving(left, ways=ways, made=made))
    assert (got.answer, got.why[0].key if key else None) == (answer, key)
    assert key is None or (got.nearest_yes is not None and got.nearest_yes.key == "left.nearest")


def test_a_tool_to_buy_leaves_nothing_to_others() -> None:
    one = leaving(6, ways=1, made=5)
    bought = tuple(replace(no, nearest=because("mill.buy_size", diameter_mm=4.2)) for no in one.cannot)
    assert decided(the_route=replace(one, cannot=bought)).answer == "yes if"
