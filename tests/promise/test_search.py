"""The plan with the least lateness: it can be worked, it is no worse than the dispatch, and on small weeks the best."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.asked import read_week
from steadyrest.promise.asked_plan import asked_plan
from steadyrest.promise.by_policy import WeekPlan, plan_rows
from steadyrest.promise.search.ahead import in_time, past_what_held_it
from steadyrest.promise.search.builder import Genes, build, empty_bench
from steadyrest.promise.search.forward import forward
from steadyrest.promise.search.laid import laid_out
from steadyrest.promise.search.search import least_late
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep
from tests.oracles.week_checker import faults, hours_late
from tests.promise.asked_weeks import request_of, toml_of
from tests.promise.weeks import HOUR, weeks


def quiet(what: str, share: float) -> None:
    pass


def found(week: Week, seed: int = 1, work: int = 2000):
    return least_late(week, seed=seed, work=work, progress=quiet, stop=lambda: False)


def answered(week: Week, plan) -> dict:
    """The plan as the command prints it."""
    from steadyrest.cli.promise_words import promise_answer
    from steadyrest.desk.week.promise_week import PromisedWeek

    rows = plan_rows(week, plan.begin_s, plan.end_s, plan.by)
    asked = read_week(toml_of(request_of(week)), "week.toml")
    shown = WeekPlan(rows, tuple(plan.finish_s), (1.0,) * len(week.jobs), bound_h=plan.bound_h)
    return promise_answer(PromisedWeek(asked, shown, 1))  # type: ignore[return-value]


@settings(deadline=None, max_examples=40)
@given(week=weeks(), seed=st.integers(0, 1000))
def test_every_plan_can_be_worked_and_its_lateness_is_what_it_says(week: Week, seed: int) -> None:
    plan = found(week, seed)
    answer = answered(week, plan)
    assert faults(request_of(week), answer) == []
    assert abs(hours_late(request_of(week), answer) - plan.late_h) < 1e-6
    if np.isfinite(plan.finish_s).all():
        assert plan.late_h >= plan.bound_h - 1e-6


def test_the_same_seed_gives_the_same_plan() -> None:
    week = rush()
    one, other = found(week, 3), found(week, 3)
    assert one.begin_s.tolist() == other.begin_s.tolist()
    assert one.by.tolist() == other.by.tolist()


def rush() -> Week:
    """Five jobs on one lathe and one bench, two people, mornings and afternoons."""
    here = tuple((d * 24 * HOUR + a * HOUR, d * 24 * HOUR + (a + 4) * HOUR) for d in range(9) for a in (0, 5))
    jobs = []
    for k in range(5):
        turn = (
            WeekPhase("set up", (1 + k % 2) * HOUR, ("ana", "bo")),
            WeekPhase("run", (2 + k) * HOUR, ()),
            WeekPhase("unload", HOUR / 2, ("bo",)),
        )
        bench = WeekPhase("bench", 2 * HOUR, ("ana",), interruptible=True)
        steps = (WeekStep("turn", "lathe", turn), WeekStep("bench", None, (bench,)))
        jobs.append(WeekJob(f"{k}", 0.0, (6 + 5 * k) * HOUR, 1.0 + k % 3, steps))
    return Week((Presence("ana", here), Presence("bo", here[::2])), ("lathe",), tuple(jobs))


@settings(deadline=None, max_examples=40)
@given(
    takes=st.lists(st.integers(1, 12), min_size=1, max_size=5),
    due=st.lists(st.integers(0, 30), min_size=5, max_size=5),
    weight=st.lists(st.integers(1, 5), min_size=5, max_size=5),
)
def test_one_machine_without_people_is_served_in_the_best_of_all_orders(takes, due, weight) -> None:
    jobs = tuple(
        WeekJob(f"{k}", 0.0, due[k] * HOUR, weight[k], (WeekStep("run", "m", (WeekPhase("", t * HOUR, ()),)),))
        for k, t in enumerate(takes)
    )
    best = np.inf
    for order in permutations(range(len(takes))):
        t, late = 0, 0
        for k in order:
            t += takes[k]
            late += weight[k] * max(0, t - due[k])
        best = min(best, late)
    assert found(Week((), ("m",), jobs), work=20_000).late_h == pytest.approx(best)


# One job by itself; each row was worked out on paper.
@pytest.mark.parametrize(
    ("phases", "here", "finish"),
    [
        # 3 h with pauses begun at once: two hours today, one tomorrow.
        ([WeekPhase("", 3 * HOUR, ("ana",), interruptible=True)], ((0, 2), (10, 14)), 11),
        # 3 h in one stretch: only tomorrow.
        ([WeekPhase("", 3 * HOUR, ("ana",))], ((0, 2), (10, 14)), 13),
        # A run of 4 h that must be unloaded within 1 h: begun only when its end meets the next stretch (9 h or later).
        ([WeekPhase("", 4 * HOUR, (), max_wait_s=HOUR), WeekPhase("", HOUR, ("ana",))], ((0, 2), (10, 14)), 11),
        # The same with a set-up that may not wait either: set up at 10 h, ends after the stretch; unloaded next day.
        (
            [
                WeekPhase("", HOUR, ("ana",), max_wait_s=0.0),
                WeekPhase("", 6 * HOUR, (), max_wait_s=4 * HOUR),
                WeekPhase("", HOUR, ("ana",)),
            ],
            ((0, 2), (10, 14), (24, 28)),
            11,
        ),
        # Work with pauses must end as the next begins: two hours of it, one at each end of the night.
        (
            [WeekPhase("", 2 * HOUR, ("ana",), interruptible=True, max_wait_s=0.0), WeekPhase("", 4 * HOUR, ("bo",))],
            ((0, 4), (10, 11)),
            15,
        ),
    ],
)
def test_one_job_by_itself_ends_when_paper_says(phases, here, finish) -> None:
    hours = tuple((a * HOUR, b * HOUR) for a, b in here)
    late = ((11 * HOUR, 15 * HOUR),)
    week = Week(
        (Presence("ana", hours), Presence("bo", late)),
        (),
        (WeekJob("1", 0.0, 0.0, 1.0, (WeekStep("s", None, tuple(phases)),)),),
    )
    assert found(week).finish_s[0] == pytest.approx(finish * HOUR)


def test_a_set_up_of_another_job_goes_between_a_step_s_own_phases() -> None:
    # One person: A sets up 0-1, runs 1-3, unloads; B, with 2.5 h by hand, goes in between: A ends at 4.5 h, B at 3.5 h.
    here = ((0.0, 100 * HOUR),)
    a = WeekStep("a", "m", (WeekPhase("", HOUR, ("ana",)), WeekPhase("", 2 * HOUR, ()), WeekPhase("", HOUR, ("ana",))))
    b = WeekStep("b", "n", (WeekPhase("", 2.5 * HOUR, ("ana",)),))
    week = Week(
        (Presence("ana", here),),
        ("m", "n"),
        (WeekJob("A", 0.0, 4.5 * HOUR, 1.0, (a,)), WeekJob("B", 0.0, 3.5 * HOUR, 1.0, (b,))),
    )
    plan = found(week)
    assert plan.late_h == 0.0
    assert plan.proven


def test_a_job_that_nobody_can_finish_takes_nobody_s_time() -> None:
    here = ((0.0, 3 * HOUR),)
    steps = (
        WeekStep("easy", None, (WeekPhase("", 3 * HOUR, ("ana",)),)),
        WeekStep("long", None, (WeekPhase("", 9 * HOUR, ("ana",)),)),
    )
    never = WeekJob("never", 0.0, HOUR, 9.0, steps)
    other = WeekJob("other", 0.0, 3 * HOUR, 1.0, (WeekStep("s", None, (WeekPhase("", 3 * HOUR, ("ana",)),)),))
    week = Week((Presence("ana", here),), (), (never, other))
    plan = found(week)
    assert plan.finish_s.tolist() == [np.inf, 3 * HOUR]
    assert not plan.proven
    assert faults(request_of(week), answered(week, plan)) == []


def test_where_hours_do_not_suffice_for_all_something_is_still_done() -> None:
    here = ((0.0, 4 * HOUR),)
    jobs = tuple(
        WeekJob(f"{k}", 0.0, HOUR, 1.0 + k, (WeekStep("s", None, (WeekPhase("", 3 * HOUR, ("ana",)),)),))
        for k in range(3)
    )
    plan = found(Week((Presence("ana", here),), (), jobs))
    assert np.isfinite(plan.finish_s).tolist() == [False, False, True]


def test_a_search_whose_time_is_over_gives_a_whole_plan_and_says_so_unless_it_is_proven() -> None:
    asked = read_week(toml_of(request_of(rush())), "week.toml")
    alone = replace(asked, week=replace(asked.week, jobs=asked.week.jobs[-1:]))
    for week, cut_short in ((asked, True), (alone, False)):
        plan = asked_plan(week, seed=1, progress=quiet, stop=lambda: False, enough=lambda: True)
        assert plan.cut_short is cut_short
        assert np.isfinite(plan.finish_s).all()


def test_it_stops_when_told() -> None:
    plan = least_late(rush(), seed=1, work=10**9, progress=quiet, stop=lambda: True)
    assert np.isfinite(plan.finish_s).all()


@settings(deadline=None, max_examples=20)
@given(week=weeks(), seed=st.integers(0, 1000), look_h=st.floats(0.1, 50), patience_h=st.floats(0, 10))
def test_every_order_made_or_changed_has_each_job_as_often_as_before(week, seed, look_h, patience_h) -> None:
    laid = laid_out(week)
    bench = empty_bench(laid)
    ends = np.concatenate(([True], laid.unit_end[1:] != laid.unit_end[:-1]))
    units = np.add.reduceat(ends.astype(np.int64), laid.first[:-1])
    order = np.repeat(np.arange(units.size), units)
    phases = laid.takes_s.size
    genes = Genes(order, np.full(phases, -1, np.int64), np.zeros(phases))
    ahead = forward(laid, genes, bench, look_h * HOUR, patience_h * HOUR)
    assert np.bincount(ahead, minlength=units.size).tolist() == units.tolist()
    build(laid, Genes(ahead, genes.prefer, genes.not_before_s), bench, 0.0, np.inf)
    sorted_order = np.empty_like(ahead)
    in_time(laid, ahead, bench.begin_s, sorted_order)
    chance = np.random.Generator(np.random.PCG64(seed))
    past_what_held_it(laid, sorted_order, bench.begin_s, bench.end_s, bench.by, bench.late, chance)
    assert np.bincount(sorted_order, minlength=units.size).tolist() == units.tolist()


def test_who_begins_sooner_may_be_wanted_though_another_ends_sooner() -> None:
    # 1 h by ana or bo, then at once 2 h with pauses. Bo would end them at 11 h, but not before 9 h may the first hour
    # end then, and nobody has an hour for it: ana begins both at 0 h and ends at 21 h.
    first = WeekPhase("", HOUR, ("ana",), max_wait_s=0.0)
    last = WeekPhase("", 2 * HOUR, ("ana", "bo"), interruptible=True)
    people = (Presence("ana", ((0.0, 2 * HOUR), (20 * HOUR, 40 * HOUR))), Presence("bo", ((9 * HOUR, 11 * HOUR),)))
    job = WeekJob("1", 0.0, 0.0, 1.0, (WeekStep("s", None, (first, last)),))
    plan = found(Week(people, (), (job,)))
    assert plan.finish_s[0] == pytest.approx(21 * HOUR)
    assert plan.bound_h == pytest.approx(21)
