"""The plan that a request wants: by its own policy, by the best order found, or the one with the least lateness."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.by_policy import LATE_S, WeekPlan, by_policy, plan_rows
from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import draw
from steadyrest.promise.order import TRIED_DRAWS, Duties, best_order, by_due
from steadyrest.promise.search.search import WORK, least_late
from steadyrest.promise.week import arrays
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Reason, because

ORDER_WORK = 400_000_000  # phases x jobs x draws; some 8 s on one core
MOST_TRIES = 3_000
FIRST = 36  # a part of the work is enough for an order to begin with
FEW_PHASES = (
    800  # beyond, a phase takes the longer to place the more there are: fewer are placed, in about the same time
)


def asked_plan(
    asked: AskedWeek, *, seed: int, progress: Callable[[str, float], None], stop: Callable[[], bool],
    enough: Callable[[], bool],
) -> WeekPlan:  # fmt: skip
    """The plan of a request.

    Args:
        asked: the week as read.
        seed: of search and draws.
        progress: told how far it is. stop: asked now and then.
        enough: whether the time for looking for a better plan is over: the best so far is taken, and says so.
    Returns: under a policy how it goes as stated, and the odds under that policy; without, the plan with the least
        weighted lateness that was found, or, where times are uncertain, how it goes under the best order found.
    Raises: InterruptedError: stop said so while odds were counted.
    """
    if asked.order is not None or asked.uncertain:
        ordered = replace(asked, order=standing_order(asked, seed=seed, progress=progress, stop=stop))
        return by_policy(ordered, seed=seed, progress=progress, stop=stop)
    found = least_late(
        asked.week, seed=seed, work=work_for(asked), progress=progress, stop=lambda: stop() or enough()
    )  # fmt: skip
    due = np.array([job.due_s for job in asked.week.jobs])
    return WeekPlan(
        rows=plan_rows(asked.week, found.begin_s, found.end_s, found.by),
        finish_s=tuple(found.finish_s.tolist()),
        odds=tuple((found.finish_s <= due + LATE_S).astype(float).tolist()),
        bound_h=found.bound_h,
        cut_short=not found.proven and enough(),
    )


def work_for(asked: AskedWeek) -> int:
    """How many phases the search places for this week.

    Args:
        asked: the week as read.
    Returns: the usual number, or fewer for a large week.
    """
    return WORK * FEW_PHASES // max(FEW_PHASES, len(asked.week.phases()))


def standing_order(
    asked: AskedWeek, *, seed: int, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> tuple[int, ...]:
    """The order of the jobs under which the week's odds hold.

    Args:
        asked: the week as read.
        seed: of the search.
        progress: told how far it is. stop: asked now and then.
    Returns: (J,) job indices: the request's own policy, or else the best order found.
    """
    if asked.order is not None:
        return asked.order
    found = least_late(asked.week, seed=seed, work=work_for(asked) // FIRST, progress=progress, stop=stop)
    return _order(asked, found.begin_s, seed=seed, stop=stop)


def _order(
    asked: AskedWeek, begin_s: np.ndarray[tuple[int], np.dtype[np.float64]], *, seed: int, stop: Callable[[], bool]
) -> tuple[int, ...]:
    """The order of the jobs with the least mean lateness under the dispatch, of those tried."""
    week, flat = asked.week, arrays(asked.week)
    draws = draw(week, Luck(TRIED_DRAWS, seed), asked.spreads)
    duties = Duties(
        due_s=np.array([job.due_s for job in week.jobs]),
        per_hour=np.array([job.weight for job in week.jobs]),
        horizon_s=float(max((to for person in week.people for _, to in person.stretches_s), default=0.0)),
    )
    starts = (by_due(duties), np.argsort(begin_s[flat.first[:-1]], kind="stable").astype(np.int64))
    start = min(starts, key=lambda order: duties.cost(dispatch(flat, draws, order).finish_s))
    tries = min(MOST_TRIES, ORDER_WORK // (flat.stated_s.size * len(week.jobs) * TRIED_DRAWS))
    chance = np.random.Generator(np.random.PCG64(seed))
    return tuple(best_order(flat, draws, duties, start, tries=tries, generator=chance, stop=stop).tolist())


def why_never(asked: AskedWeek, job: int) -> Reason:
    """Why a job has no finish.

    Args:
        asked: the week.
        job: its index.
    Returns: the step that nobody is in long enough for, or else that the hours given do not reach.
    """
    hours = {p.id: p.stretches_s for p in asked.week.people}
    for step in asked.week.jobs[job].steps:
        for phase in step.phases:
            spans = [b - a for name in phase.who for a, b in hours[name]]
            longest = max(spans, default=0.0)
            if phase.who and not phase.interruptible and phase.duration_s > longest:
                return because("promise.too_long", step=step.id, takes_s=phase.duration_s, longest_s=longest)
    return because("promise.hours_end")
