"""Random requests of `steadyrest promise`, as tables and as TOML."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from typing import Any

from steadyrest.promise.week import Week

NOW = datetime.fromisoformat("2026-03-02T07:00:00+01:00")


def request_of(week: Week) -> dict[str, Any]:
    """The request that means this week, as tomllib would read it."""

    def at(seconds: float) -> datetime:
        return NOW + timedelta(seconds=seconds)

    return {
        "now": NOW,
        "person": [{"id": p.id, "hours": [[at(a), at(b)] for a, b in p.stretches_s]} for p in week.people],
        "machine": [{"id": machine} for machine in week.machines],
        "job": [
            {
                "id": job.id,
                "release": at(job.release_s),
                "due": at(job.due_s),
                "weight": job.weight,
                "step": [
                    {
                        "id": step.id,
                        **({} if step.machine is None else {"machine": step.machine}),
                        "phase": [
                            {
                                "duration_s": phase.duration_s,
                                "who": list(phase.who),
                                "interruptible": phase.interruptible,
                                **({} if phase.max_wait_s is None else {"max_wait_s": phase.max_wait_s}),
                            }
                            for phase in step.phases
                        ],
                    }
                    for step in job.steps
                ],
            }
            for job in week.jobs
        ],
    }


def toml_of(value: Any, path: str = "") -> str:
    """A table as TOML."""
    plain = [f"{k} = {inline(v)}" for k, v in value.items() if not tables(v) and not isinstance(v, dict)]
    inner = [f"[{path}{k}]\n{toml_of(v, f'{path}{k}.')}" for k, v in value.items() if isinstance(v, dict)]
    rows = [f"[[{path}{k}]]\n{toml_of(row, f'{path}{k}.')}" for k, v in value.items() if tables(v) for row in v]
    return "\n".join([*plain, *inner, *rows])


def tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def inline(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(inline(one) for one in value)}]"
    if isinstance(value, datetime):
        return value.isoformat()
    return json.dumps(value)
