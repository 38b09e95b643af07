"""Random small shops for the dispatch tests, and the same shop in the slow twin's words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.week import Presence, Week, WeekJob, WeekLimit, WeekPhase, WeekStep

HOUR = 3600.0


@st.composite
def presences(draw: st.DrawFn, name: str) -> Presence:
    stretches, t = [], 0.0
    for _ in range(draw(st.integers(1, 6))):
        a = t + draw(st.integers(0, 6)) * HOUR  # 0: touches the one before
        t = a + draw(st.integers(1, 9)) * HOUR / 2
        stretches.append((a, t))
    return Presence(name, tuple(stretches))


@st.composite
def phases(draw: st.DrawFn, people: tuple[str, ...]) -> WeekPhase:
    who = tuple(draw(st.lists(st.sampled_from(people), unique=True, max_size=len(people))))
    return WeekPhase(
        name="phase",
        duration_s=draw(st.integers(1, 40)) * 300.0,
        who=who,
        interruptible=draw(st.booleans()),
        spread=draw(st.sampled_from((0.0, 0.2, 0.5))),
        max_wait_s=draw(st.sampled_from((None, 0.0, 1800.0))),
        hand_over=draw(st.booleans()),
        stop_odds=draw(st.sampled_from((0.0, 0.5))) if not who else 0.0,
    )


@st.composite
def weeks(draw: st.DrawFn) -> Week:
    people = tuple(f"p{n}" for n in range(draw(st.sampled_from((1, 2, 5)))))
    machines = tuple(f"m{n}" for n in range(draw(st.integers(1, 3))))
    jobs = []
    for j in range(draw(st.integers(1, 5))):
        steps = tuple(
            WeekStep(
                id=f"s{k}",
                machine=draw(st.sampled_from((None, *machines))),
                phases=tuple(draw(st.lists(phases(people), min_size=1, max_size=3))),
                needs_stock=draw(st.booleans()),
            )
            for k in range(draw(st.integers(1, 3)))
        )
        release = draw(st.sampled_from((0.0, 0.0, 1800.0, 7200.0, 36000.0)))
        jobs.append(WeekJob(f"j{j}", release, draw(st.integers(1, 48)) * HOUR, 1.0 + j, steps))
    here = tuple(draw(presences(name)) for name in people)
    return Week(here, machines, tuple(jobs))


@st.composite
def joined_weeks(draw: st.DrawFn) -> Week:
    """A week in which jobs wait for others, and machines share what may not be enough for all of them."""
    week = draw(weeks())
    names = [job.id for job in week.jobs]
    jobs = tuple(
        replace(job, after=tuple(draw(st.lists(st.sampled_from(names[:j]), unique=True, max_size=2))) if j else ())
        for j, job in enumerate(week.jobs)
    )
    asks = tuple((name, float(draw(st.integers(1, 4)))) for name in week.machines)
    allows = max(amount for _, amount in asks) + draw(st.integers(0, 2))
    return replace(week, jobs=jobs, limits=(WeekLimit("power", allows, asks),) if draw(st.booleans()) else ())


def shared(week: Week) -> list[tuple[float, dict[str, float]]]:
    """What the week's machines share, as the slow twin wants it."""
    return [(limit.allows, dict(limit.asks)) for limit in week.limits]


def plainly(week: Week, draws: WeekDraws, d: int) -> tuple[list[Any], list[dict[str, Any]], list[float]]:
    """Draw d of this week as the slow twin wants it: people, jobs, factors."""
    number = {person.id: n for n, person in enumerate(week.people)}
    jobs, i = [], 0
    for j, job in enumerate(week.jobs):
        rows = []
        for step in job.steps:
            for phase in step.phases:
                stop = float(draws.stop_at[d, i])
                rows.append(
                    {
                        "job step": (job.id, step.id),
                        "machine": step.machine,
                        "who": [number[name] for name in phase.who],
                        "stated": phase.duration_s,
                        "may pause": phase.interruptible,
                        "hand over": phase.hand_over,
                        "longest wait": np.inf if phase.max_wait_s is None else phase.max_wait_s,
                        "takes": float(draws.base_s[d, i]),
                        "stops at": stop if stop >= 0 else None,
                        "needs stock": step.needs_stock,
                        "two in": phase.two_in,
                    }
                )
                i += 1
        stock = float(draws.stock_s[d, j])
        after = [k for k, other in enumerate(week.jobs) if other.id in job.after]
        jobs.append({"release": float(draws.release_s[d, j]), "stock": stock, "phases": rows, "after": after})
    people = [list(person.stretches_s) for person in week.people]
    return people, jobs, [float(f) for f in draws.person[d]]
