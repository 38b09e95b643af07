"""What nobody does alone: the dispatch against its slow twin, and who is in while it is worked on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.shop_week import too_long
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep, arrays
from steadyrest.shop.draws import Luck
from tests.oracles.slow_dispatch import simulate
from tests.promise.weeks import HOUR, plainly, weeks


@st.composite
def watched(draw: st.DrawFn) -> Week:
    week = draw(weeks())
    jobs = tuple(
        replace(
            job,
            steps=tuple(
                replace(s, phases=tuple(replace(p, two_in=bool(p.who) and draw(st.booleans())) for p in s.phases))
                for s in job.steps
            ),
        )
        for job in week.jobs
    )
    return replace(week, jobs=jobs)


@settings(deadline=None, max_examples=25)
@given(week=watched(), seed=st.integers(0, 10_000))
def test_the_dispatch_and_its_slow_twin_agree_and_no_such_task_is_worked_on_by_one_alone(week: Week, seed: int) -> None:
    draws = draw(week, Luck(1, seed), Spreads(job=0.2, person_else=0.1))
    order = np.random.default_rng(seed).permutation(len(week.jobs)).astype(np.int64)
    fast = dispatch(arrays(week), draws, order, traced=0)
    people, jobs, factors = plainly(week, draws, 0)
    slow = simulate(people, jobs, [int(j) for j in order], factors)
    assert [job.ended[-1] if job.over else np.inf for job in slow] == fast.finish_s[0].tolist()
    asked = [phase.two_in for _, _, phase in week.phases()]
    for phase, _, begin, end in fast.trace:
        if asked[int(phase)]:
            for at in np.linspace(begin, end, 7)[:-1] + 1e-3:
                assert sum(any(a <= at < b for a, b in person.stretches_s) for person in week.people) >= 2


def test_a_task_for_two_waits_for_the_second_and_a_person_who_is_always_alone_never_does_it() -> None:
    lift = WeekPhase("lift it in", HOUR, ("ana",), two_in=True)
    job = WeekJob("1", 0.0, 9 * HOUR, 1.0, (WeekStep("s", None, (lift,)),))
    ana = Presence("ana", ((0.0, 8 * HOUR),))

    def finish(*people: Presence) -> float:
        week = Week(people, (), (job,))
        return float(dispatch(arrays(week), draw(week, Luck(1, 1), Spreads()), np.array([0])).finish_s[0, 0])

    assert finish(ana, Presence("bo", ((5 * HOUR, 7 * HOUR),))) == 6 * HOUR
    assert finish(ana, Presence("bo", ((5 * HOUR, 5.5 * HOUR),))) == np.inf
    assert finish(ana) == np.inf
    assert too_long(Week((ana,), (), (job,)), job) == (job.steps[0], lift, 0.0)
