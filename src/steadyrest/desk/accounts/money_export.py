"""Everything of money as a list for the accountant: CSV that no spreadsheet can take for a formula.

Rows: each line of each invoice and its tax, and each entry that stands. What was charged stands in one column, what
came or was taken off in another; neither is ever negative. Text that begins like a formula gets an apostrophe first.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from steadyrest.desk.which_shop import ShopSaid
from steadyrest.store import customers, invoices, payments
from steadyrest.store.invoices import Invoice
from steadyrest.store.opening import Store
from steadyrest.store.payments import Payment
from steadyrest.trouble import BadInput

COLUMNS = (
    "day", "kind", "number", "customer", "job", "what", "charged", "settled", "given_back", "currency", "taxable",
    "due", "how", "reference", "by", "entry",
)  # fmt: skip
# How a spreadsheet knows a formula. A cell that begins so, or with a blank before it, is made plain text.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
ZERO = Decimal("0.00")


def inert(text: str) -> str:
    """A cell that no spreadsheet takes for a formula: what begins like one gets an apostrophe before it.

    Args:
        text: any.
    Returns: the same, or with an apostrophe before it; without signs that end a cell or a line unseen.
    """
    plain = text.replace("\x00", "")
    begins = plain.lstrip(" \u00a0")
    return f"'{plain}" if begins.startswith(FORMULA) or plain.startswith("'") else plain


def money_csv(store: Store, said: ShopSaid, *, since: date | None = None, until: date | None = None) -> str:
    """The list for the accountant.

    Args:
        store: an open data folder. said: the shop.
        since, until: first and last day; None: from the beginning, to the end.
    Returns: CSV text (RFC 4180), a heading first, by day.
    Raises: BadInput: the last day is before the first.
    """
    if since is not None and until is not None and until < since:
        raise BadInput(where="--until", what=f"{until} is before {since}.", do="Give a later day.")
    with store.reading() as session:
        names = {one.id: one.name for one in customers.all_customers(session)}
        issued, told = invoices.all_invoices(session), payments.standing(payments.entries(session))
    people = {one.id: one.name for one in said.shop.people}
    rows = [
        *((one.issued, row) for one in issued for row in invoice_rows(one, names.get(one.customer_id, ""), people)),
        *((one.day, payment_row(one, names.get(one.customer_id, ""), people)) for one in told),
    ]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for day, row in sorted(rows, key=lambda each: each[0]):
        if (since is None or day >= since) and (until is None or day <= until):
            writer.writerow([inert(cell) for cell in row])
    return out.getvalue()


def invoice_rows(one: Invoice, customer: str, people: dict[str, str]) -> Iterator[tuple[str, ...]]:
    """An invoice's lines, and its tax as a row of its own."""
    lines = [(line.what, line.amount, "yes" if line.taxable else "no") for line in one.content.lines]
    if one.content.tax:
        lines.append(("tax", one.content.tax, ""))
    for what, amount, taxable in lines:
        yield (
            one.issued.isoformat(), "tax" if not taxable else "invoice", str(one.number), customer, str(one.job), what,
            str(amount), str(ZERO), str(ZERO), one.currency, taxable, one.due.isoformat(), "", "",
            people.get(one.who, one.who), "",
        )  # fmt: skip


def payment_row(one: Payment, customer: str, people: dict[str, str]) -> tuple[str, ...]:
    """An entry of money. A deposit asked, and money set off, move nothing: their columns are nothing."""
    back = one.amount if one.kind == "given back" else ZERO
    settles = one.kind in ("received", "credit note", "written off", "discount")
    number = f"C{one.number}" if one.number is not None else str(one.invoice or "")
    told = [f"invoice {one.invoice}"] if one.invoice and one.number is not None else []
    told += [str(one.amount)] if one.kind in ("set off", "deposit asked") else []
    words = ", ".join(part for part in (*told, one.words) if part)
    return (
        one.day.isoformat(), one.kind, number, customer, str(one.job or ""), words, str(ZERO),
        str(one.amount if settles else ZERO), str(back), one.currency, "", one.due.isoformat() if one.due else "",
        one.how, one.reference, people.get(one.who, one.who), str(one.id),
    )  # fmt: skip
