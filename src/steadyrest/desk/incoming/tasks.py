"""What waits in the queue, as a person sees it: files being read, programs being checked, what did not work."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta

from steadyrest.store import work_queue
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

STILL_SHOWN = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Seen:
    """A task as a person sees it. share: 0 to 1. trouble: one line if it failed.

    job, check, nest: the number it became, or 0: a part becomes a job, a program a check, what is nested a nest.
    size: of a file that failed for want of its unit, how large it is in its own numbers; empty else.
    """

    id: int
    what: str
    state: work_queue.State
    says: str
    share: float
    trouble: str
    job: int
    check: int = 0
    nest: int = 0
    kind: str = ""
    size: tuple[float, ...] = ()


def task(store: Store, number: int) -> Seen:
    """One task.

    Args:
        store: an open data folder.
        number: its id.
    Returns: as a person sees it.
    Raises: BadInput: there is none.
    """
    with store.reading() as session:
        found = work_queue.task(session, work_queue.TaskId(number))
    if found is None:
        raise BadInput(where=f"task {number}", what="there is no such task.", do="Go back to the bench.")
    asked, result = json.loads(found.asked), json.loads(found.result or "{}")
    return Seen(
        id=int(found.id),
        what=asked["what"] or asked["name"],
        state=found.state,
        says=found.words or "waiting its turn",
        share=found.share,
        trouble=result.get("trouble", ""),
        job=result.get("job", asked.get("job", 0)),
        check=result.get("check", 0),
        nest=result.get("nest", 0),
        kind=found.kind,
        size=tuple(result.get("size", ())),
    )


def open_tasks(store: Store) -> tuple[Seen, ...]:
    """Tasks that wait or run, oldest first."""
    with store.reading() as session:
        found = work_queue.unended(session)
    return tuple(task(store, int(one.id)) for one in found)


def failed_tasks(store: Store, *, now: datetime) -> tuple[Seen, ...]:
    """Tasks that failed within the last day, the newest first: whoever put the file in may have gone on."""
    with store.reading() as session:
        found = work_queue.failed(session, since=now - STILL_SHOWN)
    return tuple(task(store, int(one.id)) for one in found)


def stop_task(store: Store, number: int, *, now: datetime) -> None:
    """Ask to stop a task: what waits is stopped at once, what runs within a moment."""
    with store.writing() as session:
        work_queue.stop(session, work_queue.TaskId(number), now=now)
