"""Jobs and their customers: what was asked for, by when, and how it is charged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NewType

from sqlalchemy import func, select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

JobId = NewType("JobId", int)
Charging = Literal["fixed", "hours"]
FIRST_NUMBER = 101


@dataclass(frozen=True, slots=True)
class Job:
    """A job as kept. number: the one that people say. Its state stands in the ledger (ledger.job_state)."""

    id: JobId
    number: int
    customer: str
    what: str
    due: datetime
    charging: Charging
    made_at: datetime


def open_job(session: Session, *, customer: str, what: str, due: datetime, charging: Charging, now: datetime) -> Job:
    """Open a job under the next number; the customer is made at the first job.

    Args:
        session: a writing transaction.
        customer: the customer's name as said.
        what: the job in a few words.
        due, now: aware moments.
        charging: "fixed" price or by the "hours".
    Returns: the job as kept.
    """
    name = " ".join(customer.split())
    known = session.execute(select(schema.customer.c.id).where(schema.customer.c.name == name)).scalar()
    if known is None:
        known = add(session, schema.customer, name=name)
    last = session.execute(select(func.max(schema.job.c.number))).scalar()
    number = FIRST_NUMBER if last is None else int(last) + 1
    made = add(
        session,
        schema.job,
        number=number,
        customer_id=known,
        what=what,
        due=due,
        charging=charging,
        made_at=now,
    )
    return Job(JobId(made), number, name, what, due, charging, now)


def job(session: Session, number: int) -> Job | None:
    """The job of this number; None if there is none."""
    return next(iter(find(session, schema.job.c.number == number)), None)


def by_id(session: Session, job_id: JobId) -> Job:
    """The job of this id, which is there."""
    return find(session, schema.job.c.id == job_id)[0]


def jobs(session: Session) -> tuple[Job, ...]:
    """Every job, soonest due first."""
    return find(session)


def find(session: Session, *where: object) -> tuple[Job, ...]:
    j, c = schema.job.c, schema.customer.c
    rows = session.execute(
        select(j.id, j.number, c.name, j.what, j.due, j.charging, j.made_at)
        .join(schema.customer)
        .where(*where)  # pyright: ignore[reportArgumentType]
        .order_by(j.due, j.number)
    )
    return tuple(Job(*row) for row in rows)
