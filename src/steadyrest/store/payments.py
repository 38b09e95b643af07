"""Money that moved, or a debt that a word lessened: entries, only ever added to; a wrong one is struck by another."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import cast

from sqlalchemy import func, select

from steadyrest.price.owed.account import Charge, Kind, Move
from steadyrest.store import schema
from steadyrest.store.customers import CustomerId
from steadyrest.store.invoices import Invoice
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

STRUCK = "struck"


@dataclass(frozen=True, slots=True)
class Payment:
    """One entry. kind: a word of account.Kind, or "struck". day: on which it happened, by the shop's calendar.

    invoice, job: their numbers. how: such as "bank". reference: the payer's or the bank's; one counts once. number: of
    a credit note. due: by when a deposit is asked. sha256: of its paper. replaces: the entry that it strikes.
    """

    customer_id: CustomerId
    kind: str
    day: date
    amount: Decimal
    currency: str
    who: str
    told: datetime
    invoice: int | None = None
    job: int | None = None
    how: str = ""
    reference: str = ""
    words: str = ""
    number: int | None = None
    due: date | None = None
    sha256: str | None = None
    replaces: int | None = None
    id: int = 0


def keep(session: Session, one: Payment) -> int:
    """Keep an entry.

    Args:
        session: a writing transaction.
        one: the entry; its invoice and job are there.
    Returns: its id.
    """
    return add(
        session, schema.payment, customer_id=one.customer_id, kind=one.kind, day=one.day.isoformat(),
        amount=one.amount, currency=one.currency, who=one.who, told=one.told,
        invoice_id=_id_of(session, "invoice", one.invoice), job_id=_id_of(session, "job", one.job), how=one.how,
        reference=one.reference, words=one.words, number=one.number,
        due=one.due.isoformat() if one.due else None, file_sha256=one.sha256, replaces=one.replaces,
    )  # fmt: skip


def next_credit_note(session: Session) -> int:
    """The number of the next credit note."""
    row = schema.payment.c
    return int(session.execute(select(func.max(row.number)).where(row.kind == "credit note")).scalar() or 0) + 1


def entries(session: Session, customer: CustomerId | None = None) -> tuple[Payment, ...]:
    """Every entry of a customer, or of all (None), in the order it was told, struck ones included."""
    row = schema.payment.c
    asked = (
        select(schema.payment, schema.invoice.c.number.label("of_invoice"), schema.job.c.number.label("of_job"))
        .outerjoin(schema.invoice, schema.invoice.c.id == row.invoice_id)
        .outerjoin(schema.job, schema.job.c.id == row.job_id)
        .order_by(row.id)
    )
    if customer is not None:
        asked = asked.where(row.customer_id == customer)
    return tuple(
        Payment(
            CustomerId(e.customer_id), e.kind, date.fromisoformat(e.day), e.amount, e.currency, e.who, e.told,
            e.of_invoice, e.of_job, e.how, e.reference, e.words, e.number,
            date.fromisoformat(e.due) if e.due else None, e.file_sha256, e.replaces, e.id,
        )
        for e in session.execute(asked)
    )  # fmt: skip


def standing(told: tuple[Payment, ...]) -> tuple[Payment, ...]:
    """What stands: those that were struck, and what struck them, left out."""
    gone = {one.replaces for one in told}
    return tuple(one for one in told if one.id not in gone and one.kind != STRUCK)


def move(one: Payment) -> Move:
    """An entry as the account takes it."""
    return Move(one.id, cast("Kind", one.kind), one.day, one.amount, one.invoice, one.job, one.due)


def charge(one: Invoice) -> Charge:
    """An invoice as the account takes it."""
    return Charge(one.number, one.job, one.issued, one.due, one.total)


def _id_of(session: Session, table: str, number: int | None) -> int | JobId | None:
    if number is None:
        return None
    row = schema.TABLES.tables[table].c
    return int(session.execute(select(row.id).where(row.number == number)).scalar_one())
