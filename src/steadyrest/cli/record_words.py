"""The work record and the invoice as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json
from steadyrest.cli.statement_words import line_answer
from steadyrest.desk.accounts.charging import DOUBTS, SHARED, hours, when
from steadyrest.desk.accounts.work_record import WorkRecord
from steadyrest.desk.incoming.their_parts import TheirPart, in_words, told
from steadyrest.shop.floor import Shop
from steadyrest.store.invoices import Invoice
from steadyrest.store.spent import Spent
from steadyrest.wording import moments


def record_answer(record: WorkRecord) -> Json:
    """What `paper record --json` prints: the statement's keys, and day by day what was done."""
    made = record.statement
    return {
        "job": record.job.number,
        "what": record.job.what,
        "customer": record.job.customer,
        "days": [
            {
                "day": day.day.isoformat(),
                "work": [
                    {
                        "who": row.who, "start": row.start.isoformat(), "step": row.step, "worked_s": row.worked_s,
                        "end": row.end.isoformat() if row.end else None, "shared": row.shared, "doubt": row.doubt,
                    }
                    for row in day.rows
                ],
                "found": [
                    {"who": one.who, "when": one.when.isoformat(), "words": one.words, "photo": one.photo or None}
                    for one in day.found
                ],
                "spent": [spent_answer(one, record.job.number) for one in day.spent],
            }
            for day in record.days
        ],
        "labour": str(made.labour),
        "machine": str(made.machine),
        "travel": str(made.travel),
        "goods": str(made.goods),
        "tax": str(made.tax),
        "total": str(made.total),
        "currency": made.currency,
        "lines": [line_answer(line) for line in made.lines],
        "doubts": [{"kind": doubt.kind, "entry": doubt.entry} for doubt in made.doubts],
        "rounding": record.rounding,
        "taxed": taxed_answer(record)["lines"],
        "theirs": [their_answer(one) for one in record.theirs],
        "invoices": [invoice_answer(one, record.job.number) for one in record.invoices],
    }  # fmt: skip


def record_lines(record: WorkRecord) -> Iterator[str]:
    """The same in words."""
    zone = record.shop.timezone
    yield f"Work record of job {record.job.number}, {record.job.what}, for {record.job.customer}"
    yield from theirs_lines(record.theirs, record.shop)
    for day in record.days:
        yield f"{day.day.isoformat()}"
        for row in day.rows:
            note = DOUBTS.get(row.doubt, SHARED if row.shared else "")
            yield f"  {row.who:12} {when(row, zone):22} {row.step:24} {hours(row.worked_s):>6} {note}".rstrip()
        for one in day.found:
            yield f"  {one.who}, {moments.moment(one.when, zone)}: {one.words or 'photo'}"
        for one in day.spent:
            yield f"  {one.what}: {one.much}"
    made = record.statement
    yield f"labour {made.labour}, travel {made.travel}, goods {made.goods}, tax {made.tax}"
    yield f"total {made.total} {made.currency}; counted: {record.rounding}"
    for one in record.invoices:
        yield f"invoice {one.number}: {one.total} {one.currency}, {moments.day(one.when, zone)}"


def taxed_answer(record: WorkRecord) -> dict[str, Json]:
    """On which lines tax is owed, as `taxed --json` prints it."""
    lines: list[Json] = [{"line": one.which, "what": one.says, "taxed": one.taxed} for one in record.taxed]
    made = record.statement
    return {"job": record.job.number, "lines": lines, "tax": str(made.tax), "currency": made.currency}


def taxed_lines(record: WorkRecord) -> Iterator[str]:
    """The same in words."""
    for one in record.taxed:
        yield f"{one.which:>8}  {one.says}: {'taxed' if one.taxed else 'not taxed'}"
    yield f"tax on the hours and goods so far: {record.statement.tax} {record.statement.currency}"


def their_answer(one: TheirPart) -> Json:
    """A part of the customer's, as JSON."""
    return {
        "entry": one.entry, "what": one.what, "count": one.count, "mass_kg": one.mass_kg, "damage": one.damage,
        "photo": one.photo or None, "by": one.who, "when": one.when.isoformat(),
        "given_back": one.back.isoformat() if one.back else None,
    }  # fmt: skip


def receipt_answer(theirs: tuple[TheirPart, ...], job: int) -> Json:
    """The customer's parts of a job, as `paper receipt --json` prints them."""
    return {"job": job, "theirs": [their_answer(one) for one in theirs]}


def theirs_lines(theirs: tuple[TheirPart, ...], shop: Shop) -> Iterator[str]:
    for one in theirs:
        yield f"left with us: {in_words(one, shop)}; {told(one, shop)}"


def invoice_answer(issued: Invoice, job: int) -> Json:
    """An invoice, as `paper invoice --json` prints it."""
    return {
        "invoice": issued.number, "job": job, "total": str(issued.total), "currency": issued.currency,
        "by": issued.who, "when": issued.when.isoformat(), "sha256": issued.sha256, "due": issued.due.isoformat(),
        "tax": str(issued.content.tax), "discount": str(issued.discount),
        "discount_until": issued.discount_until.isoformat() if issued.discount_until else None,
        "lines": [
            {"what": one.what, "much": one.much, "amount": str(one.amount), "taxable": one.taxable}
            for one in issued.content.lines
        ],
    }  # fmt: skip


def invoice_lines(issued: Invoice, job: int) -> Iterator[str]:
    due = moments.calendar_day(issued.due)
    yield f"invoice {issued.number} for job {job}: {issued.total} {issued.currency}, due {due}"


def spent_answer(noted: Spent, job: int) -> Json:
    """What a job cost, as `spent --json` prints it."""
    return {
        "job": job, "kind": noted.kind, "what": noted.what, "cost" if noted.kind == "goods" else "distance":
        str(noted.much), "taxable": noted.taxable, "by": noted.who, "when": noted.when.isoformat(),
        "piece": noted.piece or None,
    }  # fmt: skip


def spent_line(noted: Spent, job: int) -> str:
    return f"job {job}: {noted.what}, {noted.much}"
