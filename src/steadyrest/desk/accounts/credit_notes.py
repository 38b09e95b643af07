"""The credit note as a paper: what of which invoice is taken back, and why."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.desk.which_shop import ShopSaid
from steadyrest.papers.charged import Charged, PaperLine, charged
from steadyrest.store.customers import About
from steadyrest.store.invoices import Invoice
from steadyrest.store.payments import Payment
from steadyrest.units import show_money
from steadyrest.wording import moments

BY = "Amounts as entered; what a credit note means for tax is for the owner and the accountant to say."


def credit_note(said: ShopSaid, about: About, issued: Invoice, one: Payment, *, what: str, now: datetime) -> bytes:
    """A credit note as PDF.

    Args:
        said: the shop.
        about: the customer.
        issued: the invoice that it is about.
        one: the entry, with its number.
        what: the job in a few words.
        now: aware moment.
    Returns: the PDF.
    """
    return charged(sheet_of(said, about, issued, one, what=what, now=now))


def sheet_of(said: ShopSaid, about: About, issued: Invoice, one: Payment, *, what: str, now: datetime) -> Charged:
    """What stands on the paper."""
    of_tax = (one.amount * issued.content.tax / issued.total).quantize(Decimal("0.01"), ROUND_HALF_UP)
    share = f"In it {show_money(of_tax, one.currency)} of the invoice's tax, by share." if of_tax else ""
    return Charged(
        kind="Credit note",
        shop=said.shop.name,
        number=one.number or 0,
        said=f"credit note {one.number}, {moments.calendar_day(one.day)}",
        what=what,
        customer=about.called or about.customer.name,
        made=now,
        made_says=moments.calendar_day(one.day),
        days=(),
        lines=(PaperLine(one.words, f"of invoice {issued.number}", show_money(one.amount)),),
        sums=(),
        total=show_money(one.amount, one.currency),
        footing=tuple(
            words
            for words in (
                f"Takes back {show_money(one.amount, one.currency)} of invoice {issued.number} of "
                f"{moments.calendar_day(issued.issued)}, which was {show_money(issued.total, issued.currency)}.",
                share, BY,
            )
            if words
        ),
        address=about.lines,
    )  # fmt: skip
