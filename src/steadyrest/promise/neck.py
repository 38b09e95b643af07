"""What holds the job back: each limit is lifted in turn and the same draws are run again.

A person who were there whenever needed; a machine that no other job stood on; power or air for all machines at once;
material that lay on the floor. The limit whose lifting gains most is the neck. This is an experiment on the plan, not a
share of waiting time: waiting for a person hides behind waiting for a machine.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from steadyrest.promise.answer import Kind, Neck
from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.week import Flat, IntArray, Presence, Week, WeekJob, WeekLimit, arrays
from steadyrest.shop.draws import FloatArray
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop

NECK_DRAWS, YES_DRAWS = 128, 256
WORTH_SAYING_S = 900.0
GRAIN_S = 900.0


def neck(
    week: Week, draws: WeekDraws, order: IntArray, *, wanted: float, shop: Shop, bought: bool, new: int = 1
) -> Neck | None:
    """The limit whose lifting would bring the finish at the wanted odds forward most.

    Args:
        week: the new job last.
        draws, order: of the plan.
        wanted: the odds at which the finish is looked at.
        shop: names.
        bought: material is bought for the new job.
        new: how many of the week's jobs, from the last, are the new one's.
    Returns: the neck; kind "work" when lifting no limit gains a quarter of an hour; None when the job is never done.
    """
    some = draws.some(NECK_DRAWS)

    def finish(tried: Week, with_draws: WeekDraws) -> float:
        done = dispatch(arrays(tried), with_draws, order).finish_s[:, -1]
        return float(np.quantile(done, wanted, method="inverted_cdf"))

    steps = [step for job in week.jobs[-new:] for step in job.steps]
    people = sorted({who for step in steps for phase in step.phases for who in phase.who})
    machines = sorted({step.machine for step in steps if step.machine is not None})
    shared = {limit.id: limit.name for limit in shop.shared}
    # What machines share before the machines: one that nobody waits for asks for no power either.
    lifted: list[tuple[Kind, str, str, float]] = [
        *(("person", who, shop.person(who).name, finish(_always_there(week, who), some)) for who in people),
        *(("shared", limit.id, shared.get(limit.id, limit.id), finish(_without(week, limit), some))
          for limit in week.limits),
        *(("machine", at, shop.machine(at).name, finish(_own_machine(week, at, new), some)) for at in machines),
    ]  # fmt: skip
    if bought:
        here = some._replace(stock_s=some.stock_s.copy())
        here.stock_s[:, -new:] = 0.0
        lifted.append(("material", "material", "material", finish(week, here)))
    now_s = finish(week, some)
    kind, name, what, least_s = min(lifted, key=lambda each: each[3], default=("work", week.jobs[-1].id, "", now_s))
    if np.isinf(least_s):
        return None
    if now_s - least_s < WORTH_SAYING_S:
        return Neck("work", week.jobs[-1].id, 0.0, because("promise.neck_work"))
    if np.isinf(now_s):
        return Neck(kind, name, now_s, because(f"promise.neck_{kind}_never", what=what))
    return Neck(kind, name, now_s - least_s, because(f"promise.neck_{kind}", what=what, gain_s=now_s - least_s))


def _always_there(week: Week, name: str) -> Week:
    end = max((b for person in week.people for _, b in person.stretches_s), default=0.0)
    people = tuple(Presence(p.id, ((0.0, end),)) if p.id == name else p for p in week.people)
    return replace(week, people=people)


def _without(week: Week, limit: WeekLimit) -> Week:
    return replace(week, limits=tuple(other for other in week.limits if other is not limit))


def _own_machine(week: Week, name: str, new: int) -> Week:
    """The week with a machine of this kind for the new job alone, which asks nothing of what machines share."""

    def freed(job: WeekJob) -> WeekJob:
        steps = (replace(step, machine=None if step.machine == name else step.machine) for step in job.steps)
        return replace(job, steps=tuple(steps))

    return replace(week, jobs=(*week.jobs[:-new], *map(freed, week.jobs[-new:])))


def yes_by(
    flat: Flat,
    draws: WeekDraws,
    order: IntArray,
    job: WeekJob,
    *,
    wanted: float,
    here_s: Callable[[datetime], FloatArray],
    now: datetime,
) -> datetime | None:
    """The latest moment to say yes at which the due time is still kept at the wanted odds.

    A yes that comes later releases the job later, and may miss a supplier's cut-off; the rest of the week goes on.
    Odds are taken to fall as the yes comes later.

    Args:
        flat, draws, order, job: the plan.
        wanted: odds.
        here_s: (n, k) seconds after a moment at which the job is said yes to until what each of its k chains waits for
            is here; 0 where nothing is bought.
        now: as of the plan.
    Returns: a moment on a grid of a quarter of an hour, or None if it is too late already.
    """
    some = draws.some(YES_DRAWS)

    def kept(late_s: float) -> bool:
        tried = some._replace(release_s=some.release_s.copy(), stock_s=some.stock_s.copy())
        comes_s = here_s(now + timedelta(seconds=late_s))[: tried.stock_s.shape[0]]
        new = comes_s.shape[1]
        tried.release_s[:, -new:] = late_s
        tried.stock_s[:, -new:] = np.where(comes_s > 0, late_s + comes_s, 0.0)
        finish = dispatch(flat, tried, order).finish_s[:, -1]
        return float((finish <= job.due_s).mean()) >= wanted

    if job.due_s <= 0 or not kept(0.0):
        return None
    low, high = 0, int(job.due_s // GRAIN_S) + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if kept(middle * GRAIN_S) else (low, middle)
    return now + timedelta(seconds=low * GRAIN_S)
