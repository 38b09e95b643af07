"""A week under its own policy: the odds of each due time, and how it goes if everything takes what is stated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.dispatch import Outcome, dispatch
from steadyrest.promise.durations import WeekDraws, draw
from steadyrest.promise.week import arrays
from steadyrest.shop.draws import Luck

DRAWS = 20_000
AT_ONCE = 2_000  # between two looks at whether to stop
LATE_S = 1e-6


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A phase in the plan. start_s, end_s: after now, inf where it never happens. person, machine: ids or None."""

    job: str
    step: str
    phase: int
    person: str | None
    machine: str | None
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class WeekPlan:
    """rows: one a phase. finish_s: (J,) of the plan. odds: (J,) chance of each due time."""

    rows: tuple[PlanRow, ...]
    finish_s: tuple[float, ...]
    odds: tuple[float, ...]


def by_policy(
    asked: AskedWeek, *, seed: int, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> WeekPlan:
    """Each job's odds under the request's own order, and the plan as stated.

    Args:
        asked: the week, with an order.
        seed: of the draws.
        progress: told how far it is. stop: asked between stretches of draws.
    Returns: the plan with odds.
    Raises: ValueError: there is no order. InterruptedError: stop said so.
    """
    if asked.order is None:
        raise ValueError("by_policy: the request names no order")
    flat, order = arrays(asked.week), np.array(asked.order, dtype=np.int64)
    jobs = asked.week.jobs
    stated = WeekDraws(
        flat.stated_s[None, :].copy(),
        np.ones((1, max(1, len(asked.week.people)))),
        np.full((1, flat.stated_s.size), -1.0),
        np.array([[job.release_s for job in jobs]]),
    )
    plan = dispatch(flat, stated, order)
    due = np.array([job.due_s for job in jobs])
    if not asked.uncertain:
        kept = plan.finish_s[0] <= due + LATE_S
        return WeekPlan(plan_rows(asked, plan), tuple(plan.finish_s[0].tolist()), tuple(map(float, kept)))
    draws = draw(asked.week, Luck(DRAWS, seed), asked.spreads)
    kept_count = np.zeros(len(jobs), np.int64)
    for begin in range(0, DRAWS, AT_ONCE):
        if stop():
            raise InterruptedError
        progress("odds", begin / DRAWS)
        some = WeekDraws(*(values[begin : begin + AT_ONCE] for values in draws))
        kept_count += (dispatch(flat, some, order).finish_s <= due + LATE_S).sum(axis=0)
    odds = kept_count / DRAWS
    return WeekPlan(plan_rows(asked, plan), tuple(plan.finish_s[0].tolist()), tuple(odds.tolist()))


def plan_rows(asked: AskedWeek, plan: Outcome) -> tuple[PlanRow, ...]:
    """One draw of an outcome as rows."""
    people = [person.id for person in asked.week.people]
    rows: list[PlanRow] = []
    number = 0
    for job in asked.week.jobs:
        for step in job.steps:
            for k in range(len(step.phases)):
                by = int(plan.by[0, number])
                rows.append(
                    PlanRow(
                        job.id, step.id, k, people[by] if by >= 0 else None, step.machine,
                        float(plan.begin_s[0, number]), float(plan.end_s[0, number]),
                    )
                )  # fmt: skip
                number += 1
    return tuple(rows)
