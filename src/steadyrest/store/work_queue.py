"""Work that takes long, waiting its turn: reading a file, planning. State, progress and result stand in the store."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NewType

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

TaskId = NewType("TaskId", int)
State = Literal["waiting", "running", "done", "failed", "stopped"]
Ending = Literal["done", "failed", "stopped"]


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work. asked, result: JSON text of its own kind. stop: somebody asked to stop it."""

    id: TaskId
    kind: str
    asked: str
    state: State
    asked_at: datetime
    begun_at: datetime | None
    ended_at: datetime | None
    stop: bool
    words: str
    share: float
    result: str | None


def ask(session: Session, *, kind: str, asked: str, now: datetime) -> TaskId:
    """Put work into the queue.

    Args:
        session: a writing transaction.
        kind: which work, such as "read".
        asked: JSON text of what it needs.
        now: aware moment.
    Returns: its id.
    """
    made = add(
        session, schema.task, kind=kind, asked=asked, state="waiting", asked_at=now, stop=False, words="", share=0.0
    )
    return TaskId(made)


def take(session: Session, *, now: datetime) -> Task | None:
    """Take the work that waited longest; None if none waits. Two takers never get the same."""
    row = schema.task
    found = session.execute(select(row.c.id).where(row.c.state == "waiting").order_by(row.c.id).limit(1)).scalar()
    if found is None:
        return None
    session.execute(row.update().where(row.c.id == found).values(state="running", begun_at=now))
    return task(session, TaskId(found))


def task(session: Session, task_id: TaskId) -> Task | None:
    """One piece of work; None if there is none of this id."""
    found = session.execute(select(schema.task).where(schema.task.c.id == task_id)).first()
    return None if found is None else Task(*found)


def unended(session: Session) -> tuple[Task, ...]:
    """The work that waits or runs, in the order it was asked."""
    row = schema.task
    found = session.execute(select(row).where(row.c.state.in_(("waiting", "running"))).order_by(row.c.id))
    return tuple(Task(*one) for one in found)


def failed(session: Session, *, since: datetime) -> tuple[Task, ...]:
    """The work that failed since an aware moment, the newest first."""
    row = schema.task
    found = session.execute(
        select(row).where(row.c.state == "failed", row.c.ended_at >= since).order_by(row.c.id.desc())
    )
    return tuple(Task(*one) for one in found)


def tell(session: Session, task_id: TaskId, *, words: str, share: float) -> bool:
    """Note how far running work is.

    Args:
        session: a writing transaction.
        task_id: the work.
        words, share: what it does, and how far, 0 to 1.
    Returns: whether somebody asked to stop it.
    """
    row = schema.task
    session.execute(row.update().where(row.c.id == task_id, row.c.state == "running").values(words=words, share=share))
    return bool(session.execute(select(row.c.stop).where(row.c.id == task_id)).scalar())


def end(session: Session, task_id: TaskId, *, state: Ending, result: str | None, now: datetime) -> None:
    """Note how running work ended; work that ended already stays as it ended."""
    row = schema.task
    session.execute(
        row.update()
        .where(row.c.id == task_id, row.c.state == "running")
        .values(state=state, result=result, ended_at=now)
    )


def stop(session: Session, task_id: TaskId, *, now: datetime) -> None:
    """Ask to stop work: what waits is stopped at once, what runs is told when it next tells how far it is."""
    row = schema.task
    session.execute(
        row.update().where(row.c.id == task_id, row.c.state == "waiting").values(state="stopped", ended_at=now)
    )
    session.execute(row.update().where(row.c.id == task_id, row.c.state == "running").values(stop=True))


def take_up_again(session: Session) -> int:
    """Let work wait again that was running when the house last fell; call at start, before anything is taken.

    Returns: how many.
    """
    row = schema.task
    again = row.update().where(row.c.state == "running")
    return session.execute(again.values(state="waiting", begun_at=None, words="", share=0.0)).rowcount
