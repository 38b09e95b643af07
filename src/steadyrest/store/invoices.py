"""Invoices as issued: number, day, due day, lines, total, exact cents; the paper is kept as it was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import func, select

from steadyrest.store import ledger, schema
from steadyrest.store.customers import CustomerId
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.rows import add
from steadyrest.store.values import from_json

INVOICED = "invoiced"


@dataclass(frozen=True, slots=True)
class InvoiceLine:
    """much: hours and rate, or a distance, in words. amount: to the cent."""

    what: str
    much: str
    amount: Decimal
    taxable: bool


@dataclass(frozen=True, slots=True)
class InvoiceLines:
    """What an invoice is made of: lines and tax."""

    lines: tuple[InvoiceLine, ...]
    tax: Decimal

    @property
    def total(self) -> Decimal:
        return sum((one.amount for one in self.lines), Decimal("0.00")) + self.tax


@dataclass(frozen=True, slots=True)
class Invoice:
    """An invoice as issued. job: its number. issued, due: days of the shop's calendar.

    discount: a sum off when paid to the last by `discount_until`. sha256: of the paper, which is kept. made_of: the
    lines as they are kept; `content` reads them.
    """

    number: int
    job_id: JobId
    job: int
    customer_id: CustomerId
    issued: date
    due: date
    made_of: str
    total: Decimal
    currency: str
    sha256: str
    who: str
    when: datetime
    discount: Decimal = Decimal("0.00")
    discount_until: date | None = None

    @property
    def content(self) -> InvoiceLines:
        """What it is made of."""
        return from_json(self.made_of, InvoiceLines, where=f"invoice {self.number}")


def next_number(session: Session) -> int:
    """The number of the next invoice: they follow one another without a gap."""
    return int(session.execute(select(func.max(schema.invoice.c.number))).scalar() or 0) + 1


def keep(session: Session, one: Invoice) -> None:
    """Keep an invoice, and say so in its job's ledger.

    Args:
        session: a writing transaction.
        one: the invoice, under the next number; its paper is noted before.
    Raises: ValueError: its lines and its tax do not add up to its total, to the cent.
    """
    if one.content.total != one.total:
        raise ValueError(f"invoice {one.number}: lines and tax are {one.content.total}, not {one.total}")
    add(
        session, schema.invoice, number=one.number, job_id=one.job_id, customer_id=one.customer_id,
        issued=one.issued.isoformat(), due=one.due.isoformat(), content=one.made_of, total=one.total,
        currency=one.currency, file_sha256=one.sha256, who=one.who, told=one.when, discount=one.discount,
        discount_until=one.discount_until.isoformat() if one.discount_until else None,
    )  # fmt: skip
    body = {"number": one.number, "total": str(one.total), "currency": one.currency, "sha256": one.sha256}
    ledger.write_down(
        session, job_id=one.job_id, kind=INVOICED, who=one.who, happened=one.when, told=one.when, body=body
    )


def of_job(session: Session, job_id: JobId) -> tuple[Invoice, ...]:
    """The invoices of a job, oldest first."""
    return _found(session, schema.invoice.c.job_id == job_id)


def of_customer(session: Session, customer: CustomerId) -> tuple[Invoice, ...]:
    """The invoices of a customer, oldest first."""
    return _found(session, schema.invoice.c.customer_id == customer)


def all_invoices(session: Session) -> tuple[Invoice, ...]:
    """Every invoice, oldest first."""
    return _found(session)


def by_number(session: Session, number: int) -> Invoice | None:
    """The invoice of this number; None if there is none."""
    return next(iter(_found(session, schema.invoice.c.number == number)), None)


def _found(session: Session, *where: object) -> tuple[Invoice, ...]:
    row = schema.invoice.c
    asked = (
        select(schema.invoice, schema.job.c.number.label("job"))
        .join(schema.job, schema.job.c.id == row.job_id)
        .where(*where)  # pyright: ignore[reportArgumentType]
        .order_by(row.number)
    )
    return tuple(
        Invoice(
            e.number, JobId(e.job_id), e.job, CustomerId(e.customer_id), date.fromisoformat(e.issued),
            date.fromisoformat(e.due), e.content, e.total, e.currency, e.file_sha256, e.who, e.told, e.discount,
            date.fromisoformat(e.discount_until) if e.discount_until else None,
        )
        for e in session.execute(asked)
    )  # fmt: skip
