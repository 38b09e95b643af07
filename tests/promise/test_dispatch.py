"""The laws of the dispatch, and its agreement with the slow twin."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.week import Presence, Week, WeekJob, WeekLimit, WeekPhase, WeekStep, arrays
from steadyrest.shop.draws import Luck
from tests.oracles.slow_dispatch import simulate
from tests.promise.weeks import HOUR, joined_weeks, plainly, shared, weeks

SPREADS = Spreads(job=0.2, person_else=0.1)


def order_of(week: Week, seed: int):
    return np.random.default_rng(seed).permutation(len(week.jobs)).astype(np.int64)


@settings(deadline=None, max_examples=15)
@given(week=weeks(), seed=st.integers(0, 10_000))
def test_the_compiled_dispatch_and_the_slow_twin_agree_on_every_draw(week: Week, seed: int) -> None:
    draws = draw(week, Luck(4, seed), SPREADS)
    draws.stock_s[:] = np.random.default_rng(seed).choice([0.0, 0.0, 5400.0, 40000.0], draws.stock_s.shape)
    order = order_of(week, seed)
    flat = arrays(week)
    for d in range(4):
        fast = dispatch(flat, draws, order, traced=d)
        people, jobs, factors = plainly(week, draws, d)
        slow = simulate(people, jobs, [int(j) for j in order], factors)
        i = 0
        rows = []
        for j, job in enumerate(slow):
            padding = [np.inf] * (len(job.phases) - len(job.ended))
            some = slice(i, i + len(job.phases))
            assert fast.end_s[d, some].tolist() == job.ended + padding
            assert fast.begin_s[d, some].tolist() == job.began + [np.inf] * (len(job.phases) - len(job.began))
            assert fast.by[d, some].tolist()[: len(job.by)] == [-1 if p is None else p for p in job.by]
            assert fast.finish_s[d, j] == (job.ended[-1] if job.over else np.inf)
            assert fast.broken[d, j] == job.broken
            rows += [(i + place, -1 if p is None else p, a, b) for place, p, a, b in job.stretches]
            i += len(job.phases)
        assert sorted(map(tuple, fast.trace.tolist())) == sorted(rows)


@settings(deadline=None, max_examples=15)
@given(week=weeks(), seed=st.integers(0, 10_000))
def test_nobody_is_in_two_places_and_no_machine_holds_two_steps(week: Week, seed: int) -> None:
    draws = draw(week, Luck(2, seed), SPREADS)
    got = dispatch(arrays(week), draws, order_of(week, seed), traced=0)
    for person in range(len(week.people)):
        work = sorted((a, b) for _, who, a, b in got.trace if who == person)
        assert all(b <= c for (_, b), (c, _) in pairwise(work))
    held: dict[str, list[tuple[float, float]]] = {}
    i = 0
    for job in week.jobs:
        for step in job.steps:
            last = i + len(step.phases) - 1
            if step.machine is not None and got.begin_s[0, i] < np.inf:
                held.setdefault(step.machine, []).append((got.begin_s[0, i], got.end_s[0, last]))
            i = last + 1
    for times in held.values():
        times.sort()
        assert all(b <= c for (_, b), (c, _) in pairwise(times))


@settings(deadline=None, max_examples=15)
@given(week=weeks(), seed=st.integers(0, 10_000))
def test_work_is_begun_in_hours_by_someone_named_after_release_and_lasts_as_drawn(week: Week, seed: int) -> None:
    draws = draw(week, Luck(1, seed), SPREADS)
    got = dispatch(arrays(week), draws, order_of(week, seed), traced=0)
    rows = week.phases()
    for i, (job, _, phase) in enumerate(rows):
        mine = [(int(who), a, b) for ph, who, a, b in got.trace if ph == i]
        for who, a, b in mine:
            assert a >= job.release_s
            if who < 0:
                assert not phase.who
                continue
            person = week.people[who]
            assert person.id in phase.who
            inside = next((x, y) for x, y in person.stretches_s if x <= a < y)
            if phase.interruptible:
                assert b <= inside[1] + 1e-6
            else:
                assert phase.duration_s <= inside[1] - a
        if mine and got.end_s[0, i] < np.inf and phase.who:
            worked = sum(b - a for _, a, b in mine)
            np.testing.assert_allclose(worked, draws.base_s[0, i] * draws.person[0, mine[0][0]], rtol=1e-9, atol=1e-5)


def one_job(*phases: WeekPhase, here: tuple[tuple[float, float], ...]) -> Week:
    step = WeekStep("turn", "lathe", phases)
    return Week((Presence("ana", here),), ("lathe",), (WeekJob("1", 0.0, 100 * HOUR, 1.0, (step,)),))


def finish(week: Week) -> float:
    return float(dispatch(arrays(week), draw(week, Luck(1, 1), Spreads()), np.zeros(1, np.int64)).finish_s[0, 0])


def test_what_may_pause_goes_on_in_the_next_stretch_and_what_may_not_waits_for_one_it_fits() -> None:
    here = ((0.0, 2 * HOUR), (10 * HOUR, 14 * HOUR))
    assert finish(one_job(WeekPhase("bench", 3 * HOUR, ("ana",), interruptible=True), here=here)) == 11 * HOUR
    assert finish(one_job(WeekPhase("turn", 3 * HOUR, ("ana",)), here=here)) == 13 * HOUR
    assert finish(one_job(WeekPhase("turn", 5 * HOUR, ("ana",)), here=here)) == np.inf


def test_desk_work_goes_on_while_what_is_bought_is_on_order() -> None:
    here = ((0.0, 8 * HOUR),)
    desk = WeekStep("prepare", None, (WeekPhase("program", 2 * HOUR, ("ana",)),), needs_stock=False)
    turn = WeekStep("turn", "lathe", (WeekPhase("turn", HOUR, ("ana",)),))
    week = Week((Presence("ana", here),), ("lathe",), (WeekJob("1", 0.0, HOUR, 1.0, (desk, turn)),))
    draws = draw(week, Luck(1, 1), Spreads())
    for comes_h, done_h in ((0.0, 3.0), (1.0, 3.0), (5.0, 6.0)):
        draws.stock_s[:] = comes_h * HOUR
        got = dispatch(arrays(week), draws, np.zeros(1, np.int64))
        assert got.finish_s[0, 0] == done_h * HOUR
        assert got.begin_s[0, 0] == 0.0


def test_a_finished_part_holds_its_machine_until_somebody_unloads_it() -> None:
    here = ((0.0, HOUR), (10 * HOUR, 14 * HOUR))
    phases = (WeekPhase("load", HOUR, ("ana",)), WeekPhase("run", HOUR, ()), WeekPhase("unload", HOUR / 2, ("ana",)))
    first = WeekJob("1", 0.0, HOUR, 1.0, (WeekStep("turn", "lathe", phases),))
    second = WeekJob("2", 0.0, HOUR, 1.0, (WeekStep("turn", "lathe", (WeekPhase("run", HOUR, ()),)),))
    week = Week((Presence("ana", here),), ("lathe",), (first, second))
    got = dispatch(arrays(week), draw(week, Luck(1, 1), Spreads()), np.array([0, 1]))
    # The second job's run needs nobody, so it begins first; the first job gets the lathe when that ends, at one hour,
    # when Ana has just left.
    assert got.finish_s.tolist() == [[12.5 * HOUR, HOUR]]
    late = Week(week.people, week.machines, (first, WeekJob("2", 60.0, HOUR, 1.0, second.steps)))
    got = dispatch(arrays(late), draw(late, Luck(1, 1), Spreads()), np.array([0, 1]))
    assert got.finish_s.tolist() == [[10.5 * HOUR, 11.5 * HOUR]]


def test_a_run_that_stops_alone_stands_until_anyone_is_in() -> None:
    here = ((0.0, HOUR), (10 * HOUR, 14 * HOUR))
    week = one_job(WeekPhase("load", HOUR / 2, ("ana",)), WeekPhase("run", 4 * HOUR, (), stop_odds=1.0), here=here)
    draws = draw(week, Luck(50, 3), Spreads())
    got = dispatch(arrays(week), draws, np.zeros(1, np.int64))
    share = draws.stop_at[:, 1]
    stopped = HOUR / 2 + share * 4 * HOUR
    alone = stopped >= HOUR
    np.testing.assert_allclose(got.finish_s[alone, 0], 10 * HOUR + (1 - share[alone]) * 4 * HOUR)
    np.testing.assert_allclose(got.finish_s[~alone, 0], 4.5 * HOUR)


def test_a_wait_longer_than_allowed_is_counted_as_broken() -> None:
    here = ((0.0, HOUR), (10 * HOUR, 14 * HOUR))
    hot = WeekPhase("heat", HOUR, ("ana",), max_wait_s=0.0)
    week = one_job(hot, WeekPhase("form", HOUR, ("ana",)), here=here)
    got = dispatch(arrays(week), draw(week, Luck(3, 1), Spreads()), np.zeros(1, np.int64))
    assert got.broken.tolist() == [[1], [1], [1]]


@settings(deadline=None, max_examples=20)
@given(week=joined_weeks(), seed=st.integers(0, 10_000))
def test_with_jobs_that_wait_for_others_and_shared_power_the_slow_twin_agrees_too(week: Week, seed: int) -> None:
    draws = draw(week, Luck(3, seed), SPREADS)
    order = order_of(week, seed)
    got = dispatch(arrays(week), draws, order)
    for d in range(3):
        people, jobs, factors = plainly(week, draws, d)
        slow = simulate(people, jobs, [int(j) for j in order], factors, shared=shared(week))
        assert got.finish_s[d].tolist() == [job.ended[-1] if job.over else np.inf for job in slow]
        assert got.broken[d].tolist() == [job.broken for job in slow]


@settings(deadline=None, max_examples=15)
@given(week=joined_weeks(), seed=st.integers(0, 10_000))
def test_nothing_begins_before_all_that_it_comes_after_is_done(week: Week, seed: int) -> None:
    got = dispatch(arrays(week), draw(week, Luck(3, seed), SPREADS), order_of(week, seed))
    first = arrays(week).first
    for j, job in enumerate(week.jobs):
        begins = got.begin_s[:, first[j]]
        for k, other in enumerate(week.jobs):
            if other.id in job.after:
                assert (np.isinf(begins) | (begins >= got.finish_s[:, k])).all()


@settings(deadline=None, max_examples=15)
@given(week=joined_weeks(), seed=st.integers(0, 10_000))
def test_machines_that_run_together_never_ask_more_than_they_share(week: Week, seed: int) -> None:
    got = dispatch(arrays(week), draw(week, Luck(1, seed), SPREADS), order_of(week, seed), traced=0)
    at = [step.machine for _, step, _ in week.phases()]
    runs = [(at[int(phase)], a, b) for phase, _, a, b in got.trace]
    for limit in week.limits:
        asks = dict(limit.asks)
        for _, begin, _ in runs:
            on = [asks.get(machine or "", 0.0) for machine, a, b in runs if a <= begin < b]
            assert sum(on) <= limit.allows + 1e-6


def test_two_machines_that_together_exceed_the_power_run_one_after_the_other() -> None:
    here = (Presence("ana", ((0.0, 40 * HOUR),)), Presence("bo", ((0.0, 40 * HOUR),)))
    jobs = tuple(
        WeekJob(name, 0.0, HOUR, 1.0, (WeekStep("s", machine, (WeekPhase("cut", 4 * HOUR, (who,)),)),))
        for name, machine, who in (("1", "lathe", "ana"), ("2", "mill", "bo"))
    )
    apart = Week(here, ("lathe", "mill"), jobs)
    share = replace(apart, limits=(WeekLimit("power", 20.0, (("lathe", 11.0), ("mill", 12.0))),))
    room = replace(apart, limits=(WeekLimit("power", 23.0, (("lathe", 11.0), ("mill", 12.0))),))
    order = np.array([0, 1], np.int64)
    ends = [dispatch(arrays(one), draw(one, Luck(1, 1), Spreads()), order).finish_s[0] for one in (apart, share, room)]
    assert ends[0].tolist() == ends[2].tolist() == [4 * HOUR, 4 * HOUR]
    assert ends[1].tolist() == [4 * HOUR, 8 * HOUR]
