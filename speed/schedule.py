"""The plan of a certain week: lateness and time on generated weeks and on classic job shops, every plan checked.

Weeks of 20 to 300 phases (the shop of speed/promise.py), two seeds each; beside it the dispatch, earliest due first.
A job shop's file (first line jobs and machines, then per job pairs of machine and time) may be given: all due at its
best known makespan, so that what is late is late by how much the makespan is above it. Neither is copied into the
project. Run: python speed/schedule.py [FILE MAKESPAN ..]. One JSON line a case.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from speed.promise import generated, peak_mb
from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.by_policy import WeekPlan, by_policy, hours_late, plan_rows
from steadyrest.promise.durations import Spreads
from steadyrest.promise.search.search import WORK, least_late
from steadyrest.promise.week import Week, WeekJob, WeekPhase, WeekStep
from tests.oracles.week_checker import faults
from tests.promise.asked_weeks import NOW, request_of

HOUR = 3600.0


def quiet(what: str, share: float) -> None:
    """No progress is shown."""


def never() -> bool:
    return False


def checked(week: Week, plan: WeekPlan) -> None:
    """Raises: ValueError: the plan cannot be worked."""
    from steadyrest.cli.promise_words import promise_answer
    from steadyrest.desk.week.promise_week import PromisedWeek

    asked = AskedWeek(NOW, week, (NOW,) * len(week.jobs), None, Spreads())
    found = faults(request_of(week), promise_answer(PromisedWeek(asked, plan, 1)))  # type: ignore[arg-type]
    if found:
        raise ValueError(found[0])


def case(name: str, week: Week) -> dict[str, float | str | bool | list[float]]:
    """Two seeds of ours at the default work, and the dispatch by due time."""
    due = tuple(int(k) for k in np.argsort([job.due_s for job in week.jobs], kind="stable"))
    asked = AskedWeek(NOW, week, (NOW,) * len(week.jobs), due, Spreads())
    peer = by_policy(asked, seed=1, progress=quiet, stop=never)
    late: list[float] = []
    begun = time.process_time()
    for seed in (1, 2):
        found = least_late(week, seed=seed, work=WORK, progress=quiet, stop=never)
        rows = plan_rows(week, found.begin_s, found.end_s, found.by)
        checked(week, WeekPlan(rows, tuple(found.finish_s.tolist()), (1.0,) * len(week.jobs), bound_h=found.bound_h))
        late.append(round(found.late_h, 3))
    return {
        "case": name, "ours_h": late, "bound_h": round(found.bound_h, 3), "proven": found.proven,
        "ours_s": round((time.process_time() - begun) / 2, 2),
        "dispatch_h": round(hours_late(week.jobs, peer.finish_s), 3),
        "peak_mb": round(peak_mb(), 1),
    }  # fmt: skip


def job_shop(file: Path, makespan: int) -> Week:
    """A classic instance: nobody needed, one hour a unit, every job due at the best known makespan."""
    numbers = [[int(word) for word in line.split()] for line in file.read_text().splitlines() if line[:1] != "#"]
    rows = [row for row in numbers if row]
    machines = tuple(f"m{k}" for k in range(rows[0][1]))
    jobs = tuple(
        WeekJob(
            f"{j}",
            0.0,
            makespan * HOUR,
            1.0,
            tuple(
                WeekStep(f"{k}", f"m{row[2 * k]}", (WeekPhase("", row[2 * k + 1] * HOUR, ()),))
                for k in range(len(row) // 2)
            ),
        )
        for j, row in enumerate(rows[1 : rows[0][0] + 1])
    )
    return Week((), machines, jobs)


if __name__ == "__main__":
    files = [(Path(sys.argv[k]), int(sys.argv[k + 1])) for k in range(1, len(sys.argv) - 1, 2)]
    for phases in (20, 60, 120, 300) if not files else ():
        for seed in (1, 2):
            week = generated(phases, seed)
            # Due in a third of the time: a week in which nothing is late says nothing.
            tight = replace(week, jobs=tuple(replace(job, due_s=job.due_s / 3) for job in week.jobs))
            print(json.dumps(case(f"{len(week.phases())} phases, seed {seed}", tight)), flush=True)
    for file, makespan in files:
        print(json.dumps(case(file.stem, job_shop(file, makespan))), flush=True)
