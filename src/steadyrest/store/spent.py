"""What a job cost besides hours: entries of the job's ledger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

from sqlalchemy import select

from steadyrest.store import ledger, schema
from steadyrest.store.jobs import JobId
from steadyrest.store.ledger import EntryId
from steadyrest.store.opening import Session

GOODS, TRAVEL = "goods", "travel"


@dataclass(frozen=True, slots=True)
class Spent:
    """What one job cost. much: what goods cost, or how far was driven. piece: its label, or ""."""

    kind: Literal["goods", "travel"]
    what: str
    much: Decimal
    taxable: bool
    who: str
    when: datetime
    piece: str = ""
    entry: EntryId | None = None


def note_spent(
    session: Session, job_id: JobId, spent: Spent, *, now: datetime, replaces: EntryId | None = None
) -> ledger.Entry:
    """Write down what a job cost.

    Args:
        session: a writing transaction.
        job_id: the job.
        spent: what.
        now: aware moment: when we are told.
        replaces: the entry that this one corrects, or None.
    Returns: the entry.
    """
    body = {"what": spent.what, "much": str(spent.much), "taxable": spent.taxable, "piece": spent.piece}
    return ledger.write_down(
        session, job_id=job_id, kind=spent.kind, who=spent.who, happened=spent.when, told=now, body=body,
        replaces=replaces,
    )  # fmt: skip


def spent_on(session: Session, job_id: JobId) -> tuple[Spent, ...]:
    """What a job cost besides hours, corrected entries left out, in the order it happened."""
    standing = ledger.standing(ledger.entries(session, job_id))
    return tuple(_spent(one) for one in standing if one.kind in (GOODS, TRAVEL))


def latest(session: Session, *, most: int) -> tuple[tuple[JobId, Spent], ...]:
    """What was spent on jobs, the last told first, corrected entries left out.

    Args:
        session: a transaction.
        most: how many.
    Returns: job and what.
    """
    row, later = schema.ledger.c, schema.ledger.alias()
    asked = (
        select(row.job_id)
        .where(row.kind.in_((GOODS, TRAVEL)), ~select(later.c.id).where(later.c.replaces == row.id).exists())
        .order_by(row.id.desc())
        .limit(most)
    )
    about = dict.fromkeys(JobId(one) for one in session.execute(asked).scalars())
    found = [(job_id, one) for job_id in about for one in spent_on(session, job_id)]
    return tuple(sorted(found, key=lambda pair: -(pair[1].entry or 0))[:most])


def _spent(one: ledger.Entry) -> Spent:
    kind = "goods" if one.kind == GOODS else "travel"
    return Spent(
        kind, str(one.body["what"]), Decimal(str(one.body["much"])), bool(one.body["taxable"]), one.who, one.happened,
        str(one.body.get("piece") or ""), one.id,
    )  # fmt: skip
