"""The shop's own week: everything promised and taken, who does what when, and how sure each due time is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from steadyrest.promise.answer import HOLDS, PlanRow
from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.consequences import plan_rows
from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import draw, spreads_of
from steadyrest.promise.order import Duties, best_order, by_due
from steadyrest.promise.promise import finish_at, moment_after
from steadyrest.promise.shop_week import DAY_S, days_asked, due_of, promised_job, week_of
from steadyrest.promise.week import arrays
from steadyrest.shop.draws import Luck
from steadyrest.shop.floor import Shop

DRAWS = 1000
TRIES = 160


@dataclass(frozen=True, slots=True)
class OwnJob:
    """A job of the week. holds: the moment that is kept nine times in ten; None: not within the calendar."""

    id: str
    what: str
    due: datetime
    odds: float
    holds: datetime | None


@dataclass(frozen=True, slots=True)
class OwnWeek:
    """asked: the week with the order that its odds hold under. rows: who does what when, in the middle draw."""

    asked: AskedWeek
    jobs: tuple[OwnJob, ...]
    rows: tuple[PlanRow, ...]


def own_week(shop: Shop, *, now: datetime, seed: int, stop: Callable[[], bool]) -> OwnWeek | None:
    """The week as it is promised.

    Args:
        shop: as it stands, with the work taken.
        now: aware.
        seed: of draws and search.
        stop: asked between the orders tried.
    Returns: the week; None where nothing is promised.
    """
    works = tuple(work for work in shop.promised if work.phases)
    if not works:
        return None
    jobs = tuple(promised_job(work, now=now, timezone=shop.timezone) for work in works)
    latest = max((job.release_s for job in jobs), default=0.0)
    days = days_asked(jobs, latest)
    week, luck = week_of(shop, jobs, now=now, days=days), Luck(DRAWS, seed)
    flat, draws = arrays(week), draw(week, luck, spreads_of(shop))
    duties = Duties(np.array([job.due_s for job in jobs]), np.array([job.weight for job in jobs]), days * DAY_S)
    order = best_order(flat, draws, duties, by_due(duties), tries=max(10, TRIES * 28 // days),
                       generator=np.random.default_rng(seed), stop=stop)  # fmt: skip
    finish = dispatch(flat, draws, order).finish_s
    due = tuple(due_of(work, now=now, timezone=shop.timezone).astimezone(now.tzinfo) for work in works)
    last = finish.max(axis=1)
    middle = int(np.argsort(last, kind="stable")[(last.size - 1) // 2])
    asked = AskedWeek(now, week, due, tuple(int(j) for j in order), spreads_of(shop))
    return OwnWeek(
        asked=asked,
        jobs=tuple(
            OwnJob(work.id, work.what, at, float((finish[:, j] <= jobs[j].due_s).mean()),
                   moment_after(now, finish_at(finish[:, j], HOLDS), up_to_s=900.0))
            for j, (work, at) in enumerate(zip(works, due, strict=True))
        ),
        rows=plan_rows(week, flat, draws, order, middle=middle, now=now, new=0),
    )  # fmt: skip
