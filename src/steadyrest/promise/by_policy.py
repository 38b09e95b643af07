"""A week under its own policy: the odds of each due time, and how it goes if everything takes what is stated."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import WeekDraws, draw
from steadyrest.promise.week import IntArray, Week, WeekJob, arrays
from steadyrest.shop.draws import FloatArray, Luck

MOST_DRAWS, LEAST_DRAWS = 20_000, 20
WORK = 1_000_000_000  # phases x jobs x draws; some 20 s on one core
AT_ONCE = 50_000_000  # of the same, between two looks at whether to stop
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
    """rows: one a phase. finish_s: (J,) of the plan, inf: never. odds: (J,) chance of each due time.

    order: the jobs' order that the odds hold under; None: no policy, times are certain. draws: how many the odds were
    counted over; 1: nothing is uncertain. bound_h: no plan has fewer weighted hours late; None: not known.
    cut_short: the time was over before the search was.
    """

    rows: tuple[PlanRow, ...]
    finish_s: tuple[float, ...]
    odds: tuple[float, ...]
    order: tuple[int, ...] | None = None
    draws: int = 1
    bound_h: float | None = None
    cut_short: bool = False


def hours_late(jobs: Sequence[WeekJob], finish_s: Sequence[float]) -> float:
    """Sum of weight x hours late.

    Args:
        jobs: with due times and weights.
        finish_s: each one's finish; inf: never, and left out.
    Returns: weighted hours.
    """
    ends = zip(jobs, finish_s, strict=True)
    return sum(job.weight * max(0.0, at - job.due_s) / 3600.0 for job, at in ends if at < math.inf)


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
        np.zeros((1, len(jobs))),
    )
    plan = dispatch(flat, stated, order)
    due = np.array([job.due_s for job in jobs])
    if not asked.uncertain:
        kept = plan.finish_s[0] <= due + LATE_S
        rows = plan_rows(asked.week, plan.begin_s[0], plan.end_s[0], plan.by[0])
        return WeekPlan(rows, tuple(plan.finish_s[0].tolist()), tuple(map(float, kept)), asked.order)
    each = flat.stated_s.size * len(jobs)
    count = min(MOST_DRAWS, max(LEAST_DRAWS, WORK // each))
    at_once = max(1, AT_ONCE // each)
    draws = draw(asked.week, Luck(count, seed), asked.spreads)
    kept_count = np.zeros(len(jobs), np.int64)
    for begin in range(0, count, at_once):
        if stop():
            raise InterruptedError
        progress("odds", begin / count)
        some = WeekDraws(*(values[begin : begin + at_once] for values in draws))
        kept_count += (dispatch(flat, some, order).finish_s <= due + LATE_S).sum(axis=0)
    odds = kept_count / count
    rows = plan_rows(asked.week, plan.begin_s[0], plan.end_s[0], plan.by[0])
    return WeekPlan(rows, tuple(plan.finish_s[0].tolist()), tuple(odds.tolist()), asked.order, count)


def plan_rows(week: Week, begin_s: FloatArray, end_s: FloatArray, by: IntArray) -> tuple[PlanRow, ...]:
    """A plan as rows, one a phase.

    Args:
        week: whose phases.
        begin_s, end_s: (P,) inf where it never happens.
        by: (P,) person's index or -1.
    Returns: the rows, in the file's order.
    """
    people = [person.id for person in week.people]
    rows: list[PlanRow] = []
    for job in week.jobs:
        for step in job.steps:
            for k in range(len(step.phases)):
                i = len(rows)
                who = people[by[i]] if by[i] >= 0 else None
                rows.append(PlanRow(job.id, step.id, k, who, step.machine, float(begin_s[i]), float(end_s[i])))
    return tuple(rows)
