"""Each calendar of the shop file, by what varying it does to when a job is done."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from steadyrest.promise.arrival import delivery
from steadyrest.promise.calendars import stretches
from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.order import Duties, best_order, by_due
from steadyrest.promise.rest import rested
from steadyrest.promise.service import service_due
from steadyrest.promise.shop_week import promised_job, week_of
from steadyrest.promise.suppose.change import Extra, changed
from steadyrest.promise.week import Week, arrays
from steadyrest.shop.draws import Luck
from steadyrest.shop.floor import PromisedPhase, PromisedWork, Shop
from tests.promise.sample_shop import HOUR, NOW, OWNER, STEEL, shop, work

SHOP = shop(promised=())
HORIZON_S = 28 * 24 * HOUR
NIGHT = replace(OWNER, week=tuple((d, 480, 480) for d in range(7)))  # in from 8 to 8: nobody could
BENCH = PromisedPhase("bench", ("ada",), 6 * HOUR, 0.0, True)
LATHE = (PromisedPhase("lathe", ("ada",), HOUR, 0.0, False), PromisedPhase("lathe", (), 30 * HOUR, 0.0, False))


def week(shop: Shop, *works: PromisedWork) -> Week:
    jobs = tuple(promised_job(one, now=NOW, timezone=shop.timezone) for one in works)
    return week_of(shop, jobs, now=NOW, days=28)


def hours(week: Week, order: tuple[int, ...] = (0,)) -> list[float]:
    """When each job is done, hours after now, if everything takes what is stated."""
    finish = dispatch(arrays(week), draw(week, Luck(1, 1), Spreads()), np.array(order)).finish_s[0]
    return [round(float(at) / HOUR, 4) for at in finish]


def with_machine(name: str, **said: object) -> Shop:
    return replace(SHOP, machines=tuple(replace(m, **said) if m.id == name else m for m in SHOP.machines))


@st.composite
def days(draw: st.DrawFn) -> tuple[tuple[float, float], ...]:
    at, found = 0.0, []
    for _ in range(draw(st.integers(0, 8))):
        begin = at + draw(st.sampled_from((0.1, 0.5, 1.0, 5.0, 9.7, 10.3, 30.0)))
        at = begin + draw(st.sampled_from((0.3, 2.0, 4.5, 13.0, 40.0, 70.0)))
        found.append((begin, at))
    return tuple(found)


@given(hours=days(), longest=st.sampled_from((8.0, 14.0, 23.3)), rest=st.sampled_from((0.7, 10.0)))
@example(hours=((0.0, 100.0),), longest=14.0, rest=10.1)
def test_no_day_is_longer_than_its_limit_and_no_hour_is_made(
    hours: tuple[tuple[float, float], ...], longest: float, rest: float
) -> None:
    kept = rested(hours, longest_s=longest, rest_s=rest)
    began, last = -1e9, -1e9
    for begin, end in kept:
        if begin - last >= rest - 1e-6:
            began = begin
        assert end - began <= longest + 1e-6
        assert any(a - 1e-9 <= begin < end <= b + 1e-9 for a, b in hours)
        last = end
    if sum(b - a for a, b in hours) <= longest and hours and hours[-1][1] - hours[0][0] <= longest:
        assert kept == hours


def test_who_would_be_up_too_long_rests_and_the_job_is_done_later() -> None:
    long = replace(BENCH, duration_s=30 * HOUR)
    free, held = (replace(SHOP, people=(one,)) for one in (
        NIGHT, replace(NIGHT, longest_day_s=14 * HOUR, rest_s=10 * HOUR)))  # fmt: skip
    assert hours(week(free, work("1", (6, 0), long))) == [30.0]
    assert hours(week(held, work("1", (6, 0), long)))[0] > 40.0
    evening = replace(OWNER, longest_day_s=14 * HOUR, rest_s=10 * HOUR)
    one = week(replace(SHOP, people=(evening,)), work("1", (6, 0), BENCH))
    more = changed(one, [Extra("ada", 6 * HOUR, 16 * HOUR)])  # since half past seven; from 18:00 to four in the morning
    assert max(b for a, b in more.people[0].stretches_s if a < 12 * HOUR) == 9.5 * HOUR  # half past nine at night


def test_a_night_without_rest_costs_hours_of_the_next_morning() -> None:
    owl = replace(OWNER, week=((4, 780, 1500), (5, 420, 720)), longest_day_s=14 * HOUR, rest_s=10 * HOUR)
    found = stretches(owl, start=NOW, end=NOW + timedelta(days=2), timezone=SHOP.timezone)
    assert [((a - NOW) / timedelta(hours=1), (b - NOW) / timedelta(hours=1)) for a, b in found] == [
        (1.0, 13.0), (23.0, 24.0)]  # fmt: skip


def test_a_machine_that_may_not_run_alone_at_the_weekend_stands_till_somebody_is_in() -> None:
    free, held = SHOP, with_machine("lathe", not_alone=((5, 0, 1440), (6, 0, 1440)))
    (soon,), (late,) = hours(week(free, work("1", (6, 0), *LATHE))), hours(week(held, work("1", (6, 0), *LATHE)))
    assert soon == 2.0 + 30.0
    friday, with_somebody_in = 10.0, 5.0 + 5.0 + 3.0  # Saturday 8 to 13, 17 to 22; Sunday 9 to 12
    assert late == 60.0 + 30.0 - friday - with_somebody_in


def test_a_cold_machine_is_warmed_before_it_is_used() -> None:
    cold = with_machine("bench", warm_up_s=1800.0)
    both = [hours(week(shop, work("1", (6, 0), replace(BENCH, duration_s=4 * HOUR))))[0] for shop in (SHOP, cold)]
    assert both[1] == both[0] + 0.5


def test_a_machine_that_stays_warm_for_longer_is_warmed_less_often() -> None:
    # Five hours a day: two mornings.
    work_h = replace(BENCH, duration_s=8 * HOUR)
    soon, late = (with_machine("bench", warm_up_s=1800.0, cold_after_s=hours_ * HOUR) for hours_ in (2.0, 200.0))
    assert hours(week(soon, work("1", (6, 0), work_h)))[0] > hours(week(late, work("1", (6, 0), work_h)))[0]


def test_hands_on_a_machine_for_two_wait_for_the_second() -> None:
    watched = replace(with_machine("bench", never_alone=True), people=SHOP.people)
    short = replace(BENCH, duration_s=2 * HOUR)
    assert hours(week(SHOP, work("1", (6, 0), short))) == [3.0]
    assert hours(week(watched, work("1", (6, 0), short)))[0] > 3.0
    assert hours(week(SHOP, work("1", (6, 0), replace(short, two_in=True)))) == hours(
        week(watched, work("1", (6, 0), short))
    )


def test_steel_comes_on_the_carriers_days() -> None:
    def here(days: tuple[int, ...]) -> str:
        return delivery(replace(STEEL, brings=days), now=NOW, timezone=SHOP.timezone)[1].strftime("%a %d")

    assert (here((0, 1, 2, 3, 4)), here((2,)), here((1, 4))) == ("Mon 30", "Wed 02", "Tue 01")


def test_a_suppliers_own_holidays_count_besides_the_shops() -> None:
    def told(theirs: tuple[str, ...], ours: tuple[str, ...] = ()) -> tuple[str, ...]:
        closed = replace(STEEL, holidays=theirs)
        found = delivery(closed, now=NOW, timezone=SHOP.timezone, holidays=ours)
        return tuple(at.strftime("%a %d") for at in found)

    assert told(()) == ("Fri 27", "Mon 30", "Tue 01")
    assert told(("2026-11-27",)) == ("Mon 30", "Tue 01", "Wed 02"), "no order is taken"
    assert told(("2026-11-30",)) == ("Fri 27", "Tue 01", "Wed 02"), "nothing is sent"
    assert told(("2026-11-30",), ("2026-12-01",)) == ("Fri 27", "Wed 02", "Thu 03")


def test_own_work_is_served_last_and_gives_way_within_the_hour() -> None:
    racks = replace(BENCH, machine=None, duration_s=20 * HOUR, interruptible=False)
    mine = PromisedWork("own", "tidy the racks", NOW + timedelta(hours=2), Decimal(0), Decimal(0),
                        (racks,), own=True)  # fmt: skip
    theirs = work("1", (0, 1080), BENCH)
    both = week(replace(SHOP, people=(OWNER,)), mine, theirs)
    duties = Duties(np.array([job.due_s for job in both.jobs]), np.array([0.0, 10.0]), HORIZON_S)
    order = best_order(arrays(both), draw(both, Luck(2, 1), Spreads()), duties, by_due(duties), tries=10,
                       generator=np.random.default_rng(1), stop=lambda: False)  # fmt: skip
    assert order.tolist() == [1, 0]
    alone = hours(week(replace(SHOP, people=(OWNER,)), theirs))
    assert hours(both, (1, 0))[1] == alone[0]
    later = replace(theirs, not_before=NOW + timedelta(hours=2.5))
    pushed = hours(week(replace(SHOP, people=(OWNER,)), mine, later), (1, 0))[1]
    assert pushed <= hours(week(replace(SHOP, people=(OWNER,)), later))[0] + 1.0


def test_the_service_is_due_with_the_job_that_runs_the_hours_out() -> None:
    lathe = next(m for m in with_machine("lathe", service_every_h=100.0, service_s=7200.0).machines if m.id == "lathe")
    works = (work("1", (5, 0), *LATHE), work("2", (0, 0), *LATHE))

    def due(run_h: float) -> float | None:
        found = service_due(lathe, run_h, works, shop=SHOP, now=NOW)
        return None if found is None else (found.due - NOW) / timedelta(hours=1)  # type: ignore[operator]

    assert [due(0.0), due(60.0), due(80.0), due(120.0)] == [None, 60.0, 12.0, 0.0]
