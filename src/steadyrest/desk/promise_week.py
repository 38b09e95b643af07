"""Promise a week from a request file: the plan, and the odds of each due time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.promise.asked import AskedWeek, read_week
from steadyrest.promise.asked_plan import asked_plan
from steadyrest.promise.by_policy import WeekPlan


@dataclass(frozen=True, slots=True)
class PromisedWeek:
    """A request and its plan. seed: of search and draws."""

    asked: AskedWeek
    plan: WeekPlan
    seed: int


def promise_week(
    file: Path, *, seed: int, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> PromisedWeek:
    """The plan of a week and how sure each due time is.

    Args:
        file: the request, TOML; docs/promise.md says what stands in it.
        seed: of search and draws.
        progress: told how far it is. stop: asked now and then.
    Returns: the request and its plan.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted = asked(file, read_week)
    return PromisedWeek(wanted, asked_plan(wanted, seed=seed, progress=progress, stop=stop), seed)
