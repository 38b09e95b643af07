"""Jobs and their customers: what was asked for, by when, and how it is charged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, NewType

from sqlalchemy import exists, func, select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

JobId = NewType("JobId", int)
Charging = Literal["fixed", "hours"]
FIRST_NUMBER = 101
QUIET = timedelta(days=14)


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


def by_ids(session: Session, ids: tuple[JobId, ...]) -> dict[JobId, Job]:
    """The jobs of these ids, which are there."""
    found: dict[JobId, Job] = {}
    for begin in range(0, len(ids), 500):
        found |= {one.id: one for one in find(session, schema.job.c.id.in_(ids[begin : begin + 500]))}
    return found


def of_customer(session: Session, customer_id: int) -> tuple[Job, ...]:
    """A customer's jobs, soonest due first."""
    return find(session, schema.job.c.customer_id == customer_id)


def how_many_of(session: Session) -> dict[int, int]:
    """How many jobs each customer has: customer's id to a count; one without any is left out."""
    asked = "SELECT customer_id, count(*) FROM job GROUP BY customer_id"
    return {int(customer): int(count) for customer, count in session.exec_driver_sql(asked)}


def jobs(session: Session) -> tuple[Job, ...]:
    """Every job, soonest due first."""
    return find(session)


def went_quiet(job: Job, state: str, *, now: datetime) -> bool:
    """Whether nobody said yes or no to a job and its time is past by two weeks: nobody waits for it any more."""
    return state in ("asked", "planned") and job.due < now - QUIET


def in_states(session: Session, which: Sequence[str], *, newest: int | None = None) -> tuple[tuple[Job, str], ...]:
    """The jobs that are in one of these states, each with its state.

    Args:
        session: a transaction.
        which: words of states.STATES.
        newest: only so many, those that came into their state last; None: all.
    Returns: soonest due first.
    """
    j, c, s = schema.job.c, schema.customer.c, schema.job_state.c
    asked = (
        select(j.id, j.number, c.name, j.what, j.due, j.charging, j.made_at, s.state)
        .join_from(schema.job_state, schema.job)
        .join(schema.customer)
        .where(s.state.in_(which))
    )
    if newest is not None:
        asked = asked.order_by(s.since.desc(), j.id.desc()).limit(newest)
    rows = [(Job(*row[:7]), str(row[7])) for row in session.execute(asked)]
    return tuple(sorted(rows, key=lambda one: (one[0].due, one[0].number)))


def not_invoiced(session: Session, currency: str, *, newest: int, but: str) -> tuple[Job, ...]:
    """The newest jobs for which no invoice was written.

    Args:
        session: a transaction.
        currency: of the invoices that count.
        newest: only so many.
        but: the name of a customer whose jobs are left out.
    Returns: the newest first.
    """
    j, c, i = schema.job.c, schema.customer.c, schema.invoice.c
    rows = session.execute(
        select(j.id, j.number, c.name, j.what, j.due, j.charging, j.made_at)
        .join(schema.customer)
        .where(c.name != but, ~exists().where(i.job_id == j.id, i.currency == currency))
        .order_by(j.number.desc())
        .limit(newest)
    )
    return tuple(Job(*row) for row in rows)


def find(session: Session, *where: object) -> tuple[Job, ...]:
    j, c = schema.job.c, schema.customer.c
    rows = session.execute(
        select(j.id, j.number, c.name, j.what, j.due, j.charging, j.made_at)
        .join(schema.customer)
        .where(*where)  # pyright: ignore[reportArgumentType]
        .order_by(j.due, j.number)
    )
    return tuple(Job(*row) for row in rows)
