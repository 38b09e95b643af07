"""The promise: odds, what it does to others, and the plan behind it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.answer import state
from steadyrest.promise.promise import finish_at, moment_after, promise
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Route
from steadyrest.units import pegs
from steadyrest.wording.say import say
from tests.promise.sample_shop import ALL, DUE, EVENINGS, HOUR, MORNINGS, NOW, OWNER, person, phase, route, shop, step

LUCK = Luck(300, 11)


def promised(the_route: Route, *, due: datetime = DUE, the_shop: Shop | None = None, luck: Luck = LUCK, **more):
    return promise(the_route, job_id="300", due=due, now=NOW, shop=the_shop or shop(), luck=luck, **more)


def test_the_same_input_and_seed_give_the_same_promise() -> None:
    a, in_a = promised(route())
    b, in_b = promised(route())
    assert a == b
    assert np.array_equal(in_a.person_s, in_b.person_s)
    assert promised(route(), luck=Luck(300, 12))[0] != a


def test_odds_are_the_share_of_draws_done_in_time_and_quantiles_are_kept_as_often_as_they_say() -> None:
    got, draws = promised(route())
    assert got.odds.value == (draws.finish_s <= (DUE - NOW).total_seconds()).mean()
    assert got.can_promise is not None
    assert got.finish_p50 is not None
    assert (draws.finish_s <= (got.can_promise - NOW).total_seconds()).mean() >= got.wanted_odds
    assert (draws.finish_s <= (got.finish_p50 - NOW).total_seconds()).mean() >= 0.5
    assert got.can_promise.minute % 15 == 0


def test_a_later_due_time_is_never_kept_less_often_by_the_same_plan() -> None:
    _, draws = promised(route())
    dues = np.linspace(0, 60 * HOUR, 40)
    odds = [(draws.finish_s <= due).mean() for due in dues]
    assert odds == sorted(odds)


@pytest.mark.parametrize("people", [(OWNER,), (OWNER, EVENINGS), (OWNER, MORNINGS, EVENINGS)])
def test_in_the_plan_nobody_is_in_two_places_and_machines_hold_one_step(people) -> None:
    names = tuple(p.id for p in people)
    got, _ = promised(route(people=names), the_shop=shop(people=people))
    work: dict[str, list[tuple[datetime, datetime]]] = {}
    held: dict[tuple[str, str, str], tuple[datetime, datetime]] = {}
    for row in got.plan:
        if row.person:
            work.setdefault(row.person, []).append((row.start, row.end))
        if row.machine:
            key = (row.machine, row.job, row.step)
            a, b = held.get(key, (row.start, row.end))
            held[key] = (min(a, row.start), max(b, row.end))
    for times in work.values():
        assert all(b <= c for (_, b), (c, _) in pairwise(sorted(times)))
    for machine in {key[0] for key in held}:
        times = sorted(span for key, span in held.items() if key[0] == machine)
        assert all(b <= c for (_, b), (c, _) in pairwise(times))
    assert {row.job for row in got.plan} == {"300", *(work.id for work in shop().promised)}
    assert {row.step for row in got.plan if row.new} == {s.id for s in route().steps}


def test_five_people_keep_more_than_one() -> None:
    others = tuple(person(name, OWNER.week) for name in ("dee", "eli", "fay", "gus"))
    five = (OWNER, *others)
    everyone = route(people=("ada", "cy"))
    one, _ = promised(everyone_else(everyone, ("ada",)), the_shop=shop(people=(OWNER,)))
    many, _ = promised(everyone_else(everyone, tuple(p.id for p in five)), the_shop=shop(people=five))
    assert many.odds.value >= one.odds.value
    assert many.finish_p50 is not None
    assert one.finish_p50 is not None
    assert many.finish_p50 <= one.finish_p50


def everyone_else(the_route: Route, who: tuple[str, ...]) -> Route:
    steps = tuple(
        replace(s, phases=tuple(replace(p, who=who if p.who else ()) for p in s.phases)) for s in the_route.steps
    )
    return replace(the_route, steps=steps)


def test_a_job_that_needs_nobody_and_no_shared_machine_changes_no_other_promise() -> None:
    alone = Route((step("1", "bench", None, phase("dry", 2, ())),), None, None, None, (), (), ())
    got, draws = promised(alone)
    assert got.others
    assert all(effect.odds_before == effect.odds_after and effect.late_money == 0 for effect in got.others)
    assert not draws.late_money.any()
    assert got.odds.value == 1.0
    assert got.pegs == 10


def test_a_dear_job_is_served_before_cheap_ones_and_says_what_that_does_to_them() -> None:
    due = NOW + timedelta(hours=13)
    dear, in_dear = promised(route(), due=due, late_per_hour=Decimal(10000))
    cheap, in_cheap = promised(route(), due=due, late_per_hour=Decimal("0.01"))
    assert dear.odds.value > cheap.odds.value
    assert in_dear.late_money.mean() > in_cheap.late_money.mean()
    assert any(effect.odds_after < effect.odds_before for effect in dear.others)
    assert sum(e.late_money for e in dear.others) == pytest.approx(in_dear.late_money.mean())


def test_what_is_bought_waits_for_the_supplier_and_the_neck_says_so() -> None:
    got, draws = promised(route(bought=True))
    assert got.arrival == datetime(2026, 11, 30, 8, tzinfo=UTC)
    assert draws.finish_s.min() > (got.arrival - NOW).total_seconds()
    assert got.state == "gone"
    assert got.neck is not None
    assert got.neck.kind == "material"


def test_the_neck_is_the_person_without_whose_hours_it_would_be_sooner() -> None:
    only_cy = everyone_else(route(), ("cy",))
    got, _ = promised(only_cy)
    assert got.neck is not None
    assert (got.neck.kind, got.neck.id) == ("person", "cy")


def test_the_latest_yes_is_still_in_time_and_a_quarter_of_an_hour_later_is_not() -> None:
    got, _ = promised(route(), luck=Luck(256, 11))
    assert got.yes_by is not None
    assert NOW <= got.yes_by < DUE
    # The plan's own order is kept in this search, so a fresh promise made then may only be better.
    later = promise(route(), job_id="300", due=DUE, now=got.yes_by, shop=shop(promised=()), luck=Luck(256, 11))[0]
    assert later.odds.value >= 0.9


def test_a_thing_that_no_stretch_can_hold_is_an_answer_with_its_reason() -> None:
    long = Route((step("1", "turn", "lathe", phase("one cut", 9)),), None, None, None, (), (), ())
    got, _ = promised(long)
    assert (got.finish_p50, got.can_promise, got.odds.value, got.yes_by) == (None, None, 0.0, None)
    assert "promise.too_long" in [reason.key for reason in got.why]


def test_a_big_lot_looks_further_ahead_until_it_is_done() -> None:
    lot = Route((step("1", "turn", "lathe", phase("turn", 400, pause=True)),), None, None, None, (), (), ())
    got, draws = promised(lot)
    assert np.isfinite(draws.finish_s).mean() > 0.99
    assert got.finish_p50 is not None
    assert got.finish_p50 > NOW + timedelta(days=40)


def test_hours_in_the_draws_are_those_of_the_route_with_the_shops_bias() -> None:
    _, draws = promised(route(), luck=Luck(2000, 5))
    stated = sum(p.duration_s.value for s in route().steps for p in s.phases)
    # Medians multiply: own, job, person and shop factors all have median 1, so the sum's middle is a little above.
    middle = np.median(draws.person_s.sum(axis=1))
    assert 1.0 < middle / (stated * shop().habits.bias) < 1.04
    on_machines = sum(s.machine_s for s in route().steps)
    assert 1.0 < np.median(draws.machine_s.sum(axis=1)) / (on_machines * shop().habits.bias) < 1.05


def test_loads_are_hours_asked_against_hours_there() -> None:
    got, draws = promised(route())
    loads = {load.id: load for load in got.loads}
    assert loads["ada"].there_s == (5 + 5 + 3) * HOUR  # Friday afternoon, Saturday, Sunday until noon
    assert loads["bo"].there_s == 0
    assert loads["cy"].there_s == 10 * HOUR
    mine = draws.person_s.mean(axis=0)
    assert sum(load.asked.value for load in got.loads if load.kind == "person") > mine.sum()


def test_a_broken_wait_is_said() -> None:
    hot = replace(phase("heat", 0.5, ("cy",)), max_wait_s=0.0)
    form = phase("form", 0.5, ("ada",))
    got, _ = promised(Route((step("1", "form", "bench", hot, form),), None, None, None, (), (), ()))
    assert got.waits_broken_odds > 0.5  # Ada is often busy when Cy has heated it
    assert "promise.waits" in [reason.key for reason in got.why]


def test_being_served_last_is_offered_only_if_it_breaks_no_promise() -> None:
    got, _ = promised(route())
    assert got.behind_all is not None
    lot = Route((step("1", "turn", "lathe", phase("turn", 40, pause=True)),), None, None, None, (), (), ())
    assert promised(lot)[0].behind_all is None  # once begun it holds the lathe for days


def test_a_hopeless_job_harms_no_promise_for_its_own_sake() -> None:
    lot = Route((step("1", "bench", None, phase("file", 200, pause=True)),), None, None, None, (), (), ())
    got, _ = promised(lot, late_per_hour=Decimal(1000))
    assert all(effect.after == effect.before for effect in got.others)


def test_stopping_the_search_still_gives_a_whole_promise() -> None:
    got, draws = promised(route(), stop=lambda: True)
    assert draws.finish_s.size == LUCK.count
    assert got.plan


def test_a_shop_with_nothing_promised_has_no_effects() -> None:
    got, draws = promised(route(), the_shop=shop(promised=()))
    assert got.others == ()
    assert not draws.late_money.any()
    assert got.order == ("300",)


def test_pegs_round_down_and_states_have_their_bounds() -> None:
    assert [pegs(odds) for odds in (0.0, 0.0999, 0.1, 0.3, 0.7, 0.999, 1.0)] == [0, 0, 1, 3, 7, 9, 10]
    assert [state(odds) for odds in (0.9, 0.8999, 0.5, 0.4999)] == ["holds", "thin", "thin", "gone"]


@settings(deadline=None, max_examples=50)
@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=200), st.floats(0.01, 1.0))
def test_a_quantile_is_the_first_time_by_which_that_share_is_done(times, share: float) -> None:
    finish = np.array(times)
    at = finish_at(finish, share)
    assert (finish <= at).mean() >= share - 1e-9
    assert (finish < at).mean() < share
    assert moment_after(NOW, float("inf")) is None


def test_every_reason_of_a_promise_has_its_sentence() -> None:
    def all_of(got) -> list[Reason]:
        loads = [reason for load in got.loads for reason in load.asked.why]
        return [*got.odds.why, *got.why, *loads, *(reason for effect in got.others for reason in effect.why)]

    hot = Route((step("1", "form", "bench", replace(phase("heat", 0.5, ALL), max_wait_s=0.0), phase("form", 9)),),
                None, None, None, (), (), ())  # fmt: skip
    for the_route in (route(), route(bought=True), hot):
        for reason in all_of(promised(the_route)[0]):
            assert "{" not in say(reason)


def test_input_at_fault_is_refused() -> None:
    with pytest.raises(ValueError, match="no steps"):
        promised(Route((), None, None, None, (), (), ()))
    with pytest.raises(ValueError, match="offset"):
        promised(route(), due=datetime(2026, 11, 29, 14))  # noqa: DTZ001  that is the fault
