"""A machine that stands for a while: the dispatch against its slow twin, and what nobody may do meanwhile."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.week import Down, Presence, Week, WeekJob, WeekPhase, WeekStep, arrays, joined
from steadyrest.shop.draws import Luck
from tests.oracles.slow_dispatch import simulate
from tests.promise.weeks import HOUR, plainly, weeks

SPREADS = Spreads(job=0.2, person_else=0.1)


@st.composite
def standing(draw: st.DrawFn) -> Week:
    week = draw(weeks())
    begins = draw(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 16)), min_size=1, max_size=4))
    down = tuple(Down(draw(st.sampled_from(week.machines)), a * 1700.0, (a + n) * 1700.0) for a, n in begins)
    return replace(week, down=down)


def spans(week: Week) -> list[tuple[str, float, float]]:
    each = {name: [(one.from_s, one.to_s) for one in week.down if one.machine == name] for name in week.machines}
    return [(name, a, b) for name, found in each.items() for a, b in joined(found)]


@settings(deadline=None, max_examples=20)
@given(week=standing(), seed=st.integers(0, 10_000))
def test_with_standing_machines_too_the_dispatch_and_its_slow_twin_agree(week: Week, seed: int) -> None:
    draws = draw(week, Luck(2, seed), SPREADS)
    order = np.random.default_rng(seed).permutation(len(week.jobs)).astype(np.int64)
    for d in range(2):
        fast = dispatch(arrays(week), draws, order, traced=d)
        people, jobs, factors = plainly(week, draws, d)
        slow = simulate(people, jobs, [int(j) for j in order], factors, spans(week))
        assert [job.ended[-1] if job.over else np.inf for job in slow] == fast.finish_s[d].tolist()
        assert [at for job in slow for at in job.began] == [at for at in fast.begin_s[d].tolist() if at < np.inf]


@settings(deadline=None, max_examples=15)
@given(week=standing(), seed=st.integers(0, 10_000))
def test_nothing_begins_and_no_hand_works_on_a_machine_that_stands(week: Week, seed: int) -> None:
    draws = draw(week, Luck(1, seed), SPREADS)
    got = dispatch(arrays(week), draws, np.arange(len(week.jobs), dtype=np.int64), traced=0)
    machine = [step.machine for job in week.jobs for step in job.steps for _ in step.phases]
    for phase, who, begin, end in got.trace:
        for name, a, b in spans(week):
            if machine[int(phase)] == name:
                assert not a <= begin < b - 1e-6
                assert who < 0 or end <= a + 1e-6 or begin >= b - 1e-6


def test_a_run_by_itself_goes_on_when_the_machine_does_and_a_hand_is_free_meanwhile() -> None:
    alone = WeekStep("run", "mill", (WeekPhase("run", 4 * HOUR, ()),))
    by_hand = WeekStep("turn", "lathe", (WeekPhase("turn", 4 * HOUR, ("p",), interruptible=True),))
    bench = WeekStep("file", None, (WeekPhase("file", 1 * HOUR, ("p",)),))
    jobs = tuple(WeekJob(step.id, 0.0, 99 * HOUR, 1.0, (step,)) for step in (alone, by_hand, bench))
    down = (Down("mill", 1 * HOUR, 3 * HOUR), Down("lathe", 2 * HOUR, 5 * HOUR))
    week = Week((Presence("p", ((0.0, 20 * HOUR),)),), ("mill", "lathe"), jobs, down=down)
    got = dispatch(arrays(week), draw(week, Luck(1, 1), Spreads()), np.array([0, 1, 2]))
    assert got.finish_s[0].tolist() == [6 * HOUR, 7 * HOUR, 3 * HOUR]
