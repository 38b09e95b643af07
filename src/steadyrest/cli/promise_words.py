"""A promised week, as the contract prints it and as words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta

from steadyrest.cli.answers import Json, number
from steadyrest.desk.week.promise_week import PromisedWeek
from steadyrest.promise.asked_plan import why_never
from steadyrest.promise.by_policy import hours_late
from steadyrest.wording.say import say

ALIKE_H = 1e-6


def moment(now: datetime, after_s: float) -> str | None:
    """A moment with the offset of `now`; None where it never comes, or not in any calendar."""
    if not math.isfinite(after_s):
        return None
    try:
        return (now + timedelta(seconds=after_s)).isoformat()
    except OverflowError:
        return None


def promise_answer(week: PromisedWeek) -> Json:
    """The contract's section 3 document."""
    asked, plan = week.asked, week.plan
    late_h = hours_late(asked.week.jobs, plan.finish_s)
    ends = all(math.isfinite(at) for at in plan.finish_s)
    jobs: list[Json] = []
    for k, (job, finish, odds) in enumerate(zip(asked.week.jobs, plan.finish_s, plan.odds, strict=True)):
        row: dict[str, Json] = {
            "job": job.id,
            "finish": moment(asked.now, finish),
            "odds": odds,
            "due": asked.due[k].isoformat(),
            "late_h": number(max(0.0, finish - job.due_s) / 3600.0),
        }
        if not math.isfinite(finish):
            row["why"] = say(why_never(asked, k))
        jobs.append(row)
    return {
        "plan": [
            {
                "job": row.job, "step": row.step, "phase": row.phase, "person": row.person, "machine": row.machine,
                "start": moment(asked.now, row.start_s), "end": moment(asked.now, row.end_s),
            }
            for row in plan.rows
        ],
        "jobs": jobs,
        "objective": number(late_h),
        "bound": None if plan.bound_h is None else number(plan.bound_h),
        "proven": plan.bound_h is not None and ends and late_h <= plan.bound_h + ALIKE_H,
        "cut_short": plan.cut_short,
        "order": None if plan.order is None else [asked.week.jobs[k].id for k in plan.order],
        "draws": plan.draws,
        "seed": week.seed,
    }  # fmt: skip


def promise_lines(week: PromisedWeek) -> Iterator[str]:
    """The same in words: each job by when and how sure, then who does what."""
    asked, plan = week.asked, week.plan
    for k, (job, finish, odds) in enumerate(zip(asked.week.jobs, plan.finish_s, plan.odds, strict=True)):
        at, due = moment(asked.now, finish), asked.due[k].isoformat()
        if at is None:
            yield f"{job.id}: not done; {say(why_never(asked, k))}"
        elif plan.draws > 1:
            yield f"{job.id}: as stated done {at}, due {due}: kept {math.floor(10 * odds)} times in 10"
        else:
            late = max(0.0, finish - job.due_s) / 3600.0
            yield f"{job.id}: done {at}, due {due}" + (f": {late:.1f} h late" if late else "")
    yield f"weight x hours late: {hours_late(asked.week.jobs, plan.finish_s):.2f}"
    if plan.cut_short:
        yield "the time was over before the search was: the best plan so far; a quicker machine may find a better one"
    for row in sorted(plan.rows, key=lambda row: row.start_s):
        start = moment(asked.now, row.start_s)
        if start is not None:
            who = " ".join(part for part in (row.person or "by itself", row.machine and f"on {row.machine}") if part)
            yield f"  {start} to {moment(asked.now, row.end_s) or 'no end'}: {row.job}, {row.step}, {who}"
