"""What a job cost besides hours, and what was invoiced for it: entries of the job's ledger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

from sqlalchemy import func, select

from steadyrest.store import ledger, schema
from steadyrest.store.jobs import JobId
from steadyrest.store.ledger import EntryId
from steadyrest.store.opening import Session

GOODS, TRAVEL, INVOICED = "goods", "travel", "invoiced"


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


@dataclass(frozen=True, slots=True)
class Invoiced:
    """An invoice as issued. sha256: of the paper, which is kept."""

    number: int
    total: Decimal
    currency: str
    sha256: str
    who: str
    when: datetime


def note_spent(session: Session, job_id: JobId, spent: Spent, *, now: datetime) -> ledger.Entry:
    """Write down what a job cost.

    Args:
        session: a writing transaction.
        job_id: the job.
        spent: what.
        now: aware moment: when we are told.
    Returns: the entry.
    """
    body = {"what": spent.what, "much": str(spent.much), "taxable": spent.taxable, "piece": spent.piece}
    return ledger.write_down(
        session, job_id=job_id, kind=spent.kind, who=spent.who, happened=spent.when, told=now, body=body
    )


def spent_on(session: Session, job_id: JobId) -> tuple[Spent, ...]:
    """What a job cost besides hours, corrected entries left out, in the order it happened."""
    return tuple(
        Spent(
            "goods" if one.kind == GOODS else "travel", str(one.body["what"]), Decimal(str(one.body["much"])),
            bool(one.body["taxable"]), one.who, one.happened, str(one.body.get("piece") or ""), one.id,
        )
        for one in ledger.standing(ledger.entries(session, job_id))
        if one.kind in (GOODS, TRAVEL)
    )  # fmt: skip


def next_invoice(session: Session) -> int:
    """The number of the next invoice: they follow one another without a gap."""
    row = schema.ledger.c
    return int(session.execute(select(func.count()).where(row.kind == INVOICED)).scalar() or 0) + 1


def note_invoice(session: Session, job_id: JobId, invoiced: Invoiced) -> ledger.Entry:
    """Write down that an invoice was issued."""
    body = {
        "number": invoiced.number, "total": str(invoiced.total), "currency": invoiced.currency,
        "sha256": invoiced.sha256,
    }  # fmt: skip
    when = invoiced.when
    return ledger.write_down(
        session, job_id=job_id, kind=INVOICED, who=invoiced.who, happened=when, told=when, body=body
    )


def invoices(session: Session, job_id: JobId) -> tuple[Invoiced, ...]:
    """The invoices of a job, oldest first."""
    return tuple(
        Invoiced(
            int(one.body["number"] or 0), Decimal(str(one.body["total"])), str(one.body["currency"]),
            str(one.body["sha256"]), one.who, one.happened,
        )
        for one in ledger.standing(ledger.entries(session, job_id))
        if one.kind == INVOICED
    )  # fmt: skip
