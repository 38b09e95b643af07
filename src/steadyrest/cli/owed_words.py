"""What is owed as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal

from steadyrest.cli.answers import Json
from steadyrest.desk.accounts.owed import Book, Owes
from steadyrest.desk.accounts.reminding import Reminder
from steadyrest.price.owed.ageing import Heap, heap
from steadyrest.store.payments import Payment
from steadyrest.units import show_money
from steadyrest.wording import moments
from steadyrest.wording.say import say

NO_ADVICE = "Amounts as entered; this is no advice on tax or law."


def book_answer(book: Book) -> Json:
    """What `owed list --json` prints."""
    return {
        "day": book.day.isoformat(),
        "owed": str(book.owed),
        "held": str(book.held),
        "expected_loss": str(book.expected_loss),
        "currency": book.currency,
        "heaps": heaps(book.heaps),
        "losses": [
            {
                "heap": one.heap, "open": str(one.open), "share": one.share.value, "seen": one.seen,
                "expected": str(one.expected), "why": [say(why) for why in one.share.why],
            }
            for one in book.losses
        ],
        "customers": [owes_answer(one, book.day, book.currency) for one in book.owes],
        "other_currencies": list(book.other),
    }  # fmt: skip


def heaps(of: Mapping[Heap, Decimal]) -> Json:
    return {name.replace(" ", "_"): str(much) for name, much in of.items()}


def owes_answer(one: Owes, day: date, currency: str) -> Json:
    """One customer's account."""
    return {
        "customer": one.customer.name,
        "number": int(one.customer.id),
        "owed": str(one.account.owed),
        "held": str(one.account.held),
        "currency": currency,
        "limit": str(one.limit) if one.limit is not None else None,
        "heaps": heaps(one.heaps),
        "invoices": [
            {
                "invoice": at.charge.number, "job": at.charge.job, "issued": at.charge.issued.isoformat(),
                "due": at.charge.due.isoformat(), "total": str(at.charge.total), "open": str(at.open),
                "deposit_used": str(at.deposit), "settled": at.settled.isoformat() if at.settled else None,
                "heap": heap(at.charge.due, day) if at.open else None,
            }
            for at in one.account.invoices
        ],
        "deposits": [
            {
                "job": at.job, "asked": str(at.asked), "received": str(at.received), "held": str(at.held),
                "due": at.due.isoformat() if at.due else None,
            }
            for at in one.account.deposits
        ],
        "entries": [payment_answer(each) for each in one.told],
    }  # fmt: skip


def payment_answer(one: Payment) -> Json:
    """An entry of money."""
    return {
        "entry": one.id, "kind": one.kind, "day": one.day.isoformat(), "amount": str(one.amount),
        "currency": one.currency, "invoice": one.invoice, "job": one.job, "how": one.how or None,
        "reference": one.reference or None, "words": one.words or None, "number": one.number,
        "due": one.due.isoformat() if one.due else None, "by": one.who,
    }  # fmt: skip


def payment_line(one: Payment) -> str:
    """An entry of money in words."""
    aim = f" invoice {one.invoice}" if one.invoice else f" job {one.job}" if one.job else ""
    number = f" C{one.number}" if one.number else ""
    more = ", ".join(part for part in (one.how, one.reference, one.words) if part)
    day = moments.calendar_day(one.day)
    return f"entry {one.id}: {day}, {one.kind}{number}{aim}: {show_money(one.amount, one.currency)}" + (
        f" ({more})" if more else ""
    )


def book_lines(book: Book) -> Iterator[str]:
    """What is owed, in words."""
    yield f"Owed on {moments.calendar_day(book.day)}: {show_money(book.owed, book.currency)}"
    if not book.owes:
        yield "Nothing was invoiced or paid yet."
    yield from (f"  {name:14} {show_money(much):>12}" for name, much in book.heaps.items() if book.owed)
    for one in book.owes:
        late = sum((at.open for at in one.late), Decimal(0))
        told = f", {show_money(late)} late" if late else ""
        held = f", {show_money(one.account.all_held)} held" if one.account.all_held else ""
        limit = f", credit {show_money(one.limit)}" if one.limit is not None else ""
        yield f"{one.customer.name} ({one.customer.id}): {show_money(one.account.owed)}{told}{held}{limit}"
    if book.owed:
        yield f"likely lost: {show_money(book.expected_loss, book.currency)}"
        yield from (f"  {say(why)}" for one in book.losses if one.open for why in one.share.why)
    for other in book.other:
        yield f"Invoices in {other} are not counted here."
    yield NO_ADVICE


def owes_lines(one: Owes, day: date, currency: str) -> Iterator[str]:
    """One account in words."""
    yield f"{one.customer.name} ({one.customer.id}) owes {show_money(one.account.owed, currency)}"
    for at in one.account.invoices:
        charge, late = at.charge, (day - at.charge.due).days
        state = f"{show_money(at.open)} open" if at.open else "settled"
        state += f", {late} days late" if at.open and late > 0 else f", due {moments.calendar_day(charge.due)}"
        yield f"  invoice {charge.number}, job {charge.job}: {show_money(charge.total)}, {state}"
    for each in one.account.deposits:
        yield (
            f"  deposit of job {each.job}: asked {show_money(each.asked)}, received {show_money(each.received)}, "
            f"held {show_money(each.held)}"
        )
    if one.account.held:
        yield f"  held for the customer: {show_money(one.account.held)}"
    yield from (f"  {payment_line(each)}" for each in one.told)


def reminder_answer(found: Reminder, currency: str) -> Json:
    """What `owed remind --json` prints."""
    return {
        "customer": found.owed.customer.name, "times": found.times, "text": found.text,
        "mail": [one.mail for one in found.owed.about.contacts if one.mail],
        "late": [{"invoice": one.charge.number, "open": str(one.open)} for one in found.late], "currency": currency,
    }  # fmt: skip


def reminder_lines(found: Reminder) -> Iterator[str]:
    yield from found.words or (f"{found.owed.customer.name}: nothing is late.",)
