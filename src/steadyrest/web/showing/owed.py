"""What is owed, in words."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence
from decimal import Decimal

from steadyrest.desk.accounts.money import HOW
from steadyrest.desk.accounts.owed import Book, Owes
from steadyrest.shop.floor import Shop
from steadyrest.store.jobs import Job
from steadyrest.units import show_money
from steadyrest.web.pages.owed import HeapRow, OwedPage, OwesRow
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.customers import people
from steadyrest.wording import moments
from steadyrest.wording.say import Reader, say

MOST_JOBS, MOST_SETTLED = 60, 60


def owed(shop: Shop, book: Book, jobs: Sequence[Job], *, guard: str, trouble: str) -> OwedPage:
    """What is owed.

    Args:
        shop: for its name and people.
        book: every account.
        jobs: for which a deposit may come, the newest first.
        guard: for the forms.
        trouble: what did not work, or "".
    Returns: the page.
    """
    reader = Reader("mm", shop.currency)
    named = tuple((one.number, f"{one.number}: {one.what}, {one.customer}") for one in jobs)
    return OwedPage(
        top=Top("What is owed", shop.name),
        guard=guard,
        day=moments.calendar_day(book.day),
        owed=show_money(book.owed, book.currency),
        any=book.owed > 0,
        heaps=tuple(
            HeapRow(
                one.heap, show_money(one.open), show_money(one.expected),
                tuple(say(why, reader) for why in one.share.why),
            )
            for one in book.losses
        ),
        lost=show_money(book.expected_loss, book.currency),
        rows=tuple(row(one) for one in book.owes),
        other=book.other,
        aims=(*aims(book), *((f"job {number}", f"a deposit, job {words}") for number, words in named)),
        open=tuple(invoices(book)),
        jobs=named,
        holders=tuple(holders(book)),
        today=book.day.isoformat(),
        hows=HOW,
        people=people(shop),
        touch=secrets.token_urlsafe(12),
        trouble=trouble,
    )  # fmt: skip


def row(one: Owes) -> OwesRow:
    """A customer's account in few words."""
    late = sum((at.open for at in one.late), Decimal(0))
    account = one.account
    return OwesRow(
        int(one.customer.id), one.customer.name, show_money(account.owed), show_money(late) if late else "",
        show_money(account.all_held) if account.all_held else "",
        f"{show_money(one.limit)}{', over it' if account.owed - account.held > one.limit else ''}"
        if one.limit is not None else "",
    )  # fmt: skip


def invoices(book: Book) -> Iterator[tuple[int, str]]:
    """Invoices from which something may be taken off: number and words; all that are open, then the newest settled."""
    every = sorted(
        ((one, each) for each in book.owes for one in each.account.invoices), key=lambda pair: pair[0].charge.number
    )
    unsettled = [pair for pair in every if pair[0].open]
    settled = [pair for pair in reversed(every) if not pair[0].open][:MOST_SETTLED]
    for one, each in (*unsettled, *settled):
        state = f"{show_money(one.open)} open" if one.open else "settled"
        yield one.charge.number, f"{one.charge.number}, {each.customer.name}: {state}"


def aims(book: Book) -> Iterator[tuple[str, str]]:
    """Where money that came may go: open invoices first, then customers."""
    for each in book.owes:
        for one in each.account.invoices:
            if one.open:
                yield (
                    f"invoice {one.charge.number}",
                    (f"invoice {one.charge.number}, {each.customer.name}: {show_money(one.open)} open"),
                )
    for each in book.owes:
        yield f"customer {each.customer.id}", f"{each.customer.name}, no invoice: held for them"


def holders(book: Book) -> Iterator[tuple[str, str]]:
    """Whose money is held, of what."""
    for each in book.owes:
        if each.account.held > 0:
            yield f"customer {each.customer.id}", f"{each.customer.name}: {show_money(each.account.held)} held"
        for one in each.account.deposits:
            if one.held > 0:
                yield f"job {one.job}", f"deposit of job {one.job}, {each.customer.name}: {show_money(one.held)}"
