"""Suppose: a change tried on a week from a request file, without making it."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.desk.week.promise_week import own_asked
from steadyrest.promise.asked import AskedWeek, read_week
from steadyrest.promise.asked_plan import standing_order
from steadyrest.promise.suppose.change import Add, Change, changed
from steadyrest.promise.suppose.offers import Offers, own_offers, read_with_offers
from steadyrest.promise.suppose.supposed import Supposed, suppose
from steadyrest.promise.suppose.words import read_change
from steadyrest.promise.week import Week, WeekJob
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class SupposedWeek:
    """A request, what was supposed in words and as changes, and what comes of it."""

    asked: AskedWeek
    offers: Offers
    said: tuple[str, ...]
    changes: tuple[Change, ...]
    answer: Supposed
    seed: int


def suppose_week(
    file: Path,
    said: Sequence[str],
    *,
    seed: int,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> SupposedWeek:
    """What these changes would do to a week, and the best ways out.

    Args:
        file: the week's request, TOML; docs/promise.md says what stands in it.
        said: each as promise/suppose/words.py says, or `add FILE.toml`: the jobs of another request.
        seed: of search and draws.
        progress: told how far it is. stop: asked now and then.
    Returns: the request, the changes, the answer.
    Raises: BadInput: a file cannot be read, or something in it or in a change cannot be meant.
    """
    week, offers = asked(file, read_with_offers)
    return _supposed(week, offers, file.parent, said, seed=seed, progress=progress, stop=stop)


def suppose_own(
    data: Path,
    said: Sequence[str],
    *,
    now: datetime,
    seed: int,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> SupposedWeek:
    """What these changes would do to the shop's own week, and the best ways out.

    Args:
        data: the shop's data folder.
        said: as above; `add FILE.toml` is looked for here.
        now: aware.
        seed: of search and draws.
        progress: told how far it is. stop: asked now and then.
    Returns: the week, the changes, the answer.
    Raises: BadInput: nothing is promised, or a change cannot be meant.
    """
    shop, week = own_asked(data, now=now, seed=seed, stop=stop)
    return _supposed(week, own_offers(shop), Path(), said, seed=seed, progress=progress, stop=stop)


def _supposed(
    week: AskedWeek,
    offers: Offers,
    folder: Path,
    said: Sequence[str],
    *,
    seed: int,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> SupposedWeek:
    changes = [change for one in said for change in _changes(one, week, folder)]
    try:
        after = changed(week.week, changes)
    except ValueError:
        raise BadInput(where="--suppose", what="a job is named that is gone or there twice by then.",
                       do="Name each job once.") from None  # fmt: skip
    if not after.jobs:
        raise BadInput(where="--suppose", what="no job is left.", do="Keep at least one.")
    order = standing_order(week, seed=seed, progress=progress, stop=stop)
    answer = suppose(week, changes, offers, order, seed=seed, progress=progress, stop=stop)
    return SupposedWeek(week, offers, tuple(said), tuple(changes), answer, seed)


def _changes(said: str, week: AskedWeek, folder: Path) -> tuple[Change, ...]:
    try:
        match shlex.split(said):
            case ["add", name]:
                return tuple(Add(job) for job in _jobs_of(folder / name, week))
            case _:
                return (read_change(said, week),)
    except ValueError:
        return (read_change(said, week),)


def _jobs_of(file: Path, week: AskedWeek) -> tuple[WeekJob, ...]:
    """The jobs of another request, in the time of this week."""
    other = asked(file, read_week)
    apart = (other.now - week.now).total_seconds()
    there = {job.id for job in week.week.jobs}
    jobs = tuple(replace(job, release_s=max(job.release_s + apart, 0.0), due_s=job.due_s + apart)
                 for job in other.week.jobs)  # fmt: skip
    for job in jobs:
        if job.id in there:
            raise BadInput(where=file.name, what=f"job {job.id!r} is in the week already.", do="Give it its own id.")
    try:
        Week(week.week.people, week.week.machines, jobs)
    except ValueError:
        raise BadInput(where=file.name, what="it names a person or a machine that the week does not have.",
                       do="Use the week's own names.") from None  # fmt: skip
    return jobs
