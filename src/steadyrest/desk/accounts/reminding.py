"""Remind a customer: the words to send, the statement of account as a paper, and that it was sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from steadyrest.desk.accounts.customers import find, line, today
from steadyrest.desk.accounts.owed import Owes, owes
from steadyrest.desk.floor import clock
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.papers.account import AccountRow, AccountSheet, account_paper
from steadyrest.papers.drawing.owed_heaps import owed_heaps_svg
from steadyrest.price.owed.account import Stands
from steadyrest.price.statement.billing import read_billing
from steadyrest.shop.figure import Reason, because
from steadyrest.store import customers, plans, touches
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.units import show_money
from steadyrest.wording import moments
from steadyrest.wording.say import Reader, say

VERB = "reminder"
WRITTEN = ("first", "second", "last")
BY = "Amounts as entered. What the law says of lateness and interest is not said here."
PICTURE_MM = 120.0


@dataclass(frozen=True, slots=True)
class Reminder:
    """A reminder to send. times: sent before about these invoices. words: its lines. late: what it is about."""

    owed: Owes
    times: int
    words: tuple[str, ...]
    late: tuple[Stands, ...]

    @property
    def text(self) -> str:
        return "\n\n".join(self.words)


def remind(store: Store, said: ShopSaid, who: str, *, now: datetime) -> Reminder:
    """What would be sent now.

    Args:
        store: an open data folder. said: the shop.
        who: the customer's name, or number.
        now: aware moment.
    Returns: the reminder; without late invoices it has no words.
    Raises: BadInput: no such customer.
    """
    day = today(said, now)
    with store.reading() as session:
        owed = owes(session, said, find(session, who), day=day)
    numbers = {one.charge.number for one in owed.late}
    times = sum(bool(numbers & set(one.invoices)) for one in owed.about.reminded)
    return Reminder(owed, times, _words(owed, said, times, now=now), owed.late)


def _words(owed: Owes, said: ShopSaid, times: int, *, now: datetime) -> tuple[str, ...]:
    if not owed.late:
        return ()
    day, late = today(said, now), sum((one.open for one in owed.late), Decimal(0))
    kind = WRITTEN[min(times, len(WRITTEN) - 1)]
    pay = read_billing(said.text, said.where).of(owed.customer.name).pay_words
    told = [
        because("remind.greeting", customer=name_of(owed)),
        because(f"remind.{kind}", sum_money=float(late), times=str(times)),
        *(_line(one, day_s=moments.calendar_day(one.charge.due), late=(day - one.charge.due).days)
          for one in owed.late),
        *([because("remind.held", held_money=float(owed.account.held))] if owed.account.held > 0 else []),
        *([because("remind.pay", words=pay)] if pay else []),
        because("remind.ask"),
        because("remind.end", shop=said.shop.name),
    ]  # fmt: skip
    reader = Reader("in" if said.shop.unit == "in" else "mm", said.shop.currency)
    return tuple(_sentence(say(one, reader)) for one in told)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _line(one: Stands, *, day_s: str, late: int) -> Reason:
    return because(
        "remind.line", number=str(one.charge.number), issued=moments.calendar_day(one.charge.issued), due=day_s,
        open_money=float(one.open), days=str(late),
    )  # fmt: skip


def name_of(owed: Owes) -> str:
    """The customer's name as it stands on papers."""
    return owed.about.called or owed.customer.name


def account_pdf(store: Store, said: ShopSaid, who: str, *, now: datetime, reminding: bool = False) -> bytes:
    """The statement of account as PDF.

    Args:
        store: an open data folder. said: the shop.
        who: the customer's name, or number.
        now: aware moment.
        reminding: with the words of the reminder.
    Returns: the PDF.
    Raises: BadInput: no such customer.
    """
    found = remind(store, said, who, now=now)
    return account_paper(sheet_of(found, said, now=now, reminding=reminding))


def sheet_of(found: Reminder, said: ShopSaid, *, now: datetime, reminding: bool) -> AccountSheet:
    """What stands on the paper."""
    owed, day, currency = found.owed, today(said, now), said.shop.currency
    account = owed.account
    sums = [("open", show_money(account.owed))]
    if account.held:
        sums.append(("held for you", show_money(-account.held)))
    sums += [(f"deposit held for job {one.job}", show_money(one.held)) for one in account.deposits if one.held]
    billing = read_billing(said.text, said.where).of(owed.customer.name)
    # The greeting and the plea; the invoices stand in the table.
    letter = (*found.words[:2], found.words[-2]) if reminding and found.words else ()
    footing = [*([billing.pay_words] if billing.pay_words else []), BY]
    return AccountSheet(
        shop=said.shop.name,
        number=int(owed.customer.id),
        customer=name_of(owed),
        address=owed.about.lines,
        made=now,
        made_says=moments.calendar_day(day),
        letter=letter,
        rows=tuple(_row(one, (day - one.charge.due).days) for one in account.invoices if one.open > 0),
        sums=tuple(sums),
        total=show_money(max(account.owed - account.held, Decimal(0)), currency),
        heaps_svg=owed_heaps_svg({str(name): much for name, much in owed.heaps.items()}, width_mm=PICTURE_MM),
        footing=tuple(footing),
    )


def _row(one: Stands, late: int) -> AccountRow:
    charge = one.charge
    return AccountRow(
        str(charge.number), moments.calendar_day(charge.issued), moments.calendar_day(charge.due),
        show_money(charge.total), show_money(charge.total - one.open), show_money(one.open),
        f"{late} day{'' if late == 1 else 's'} late" if late > 0 else "",
    )  # fmt: skip


def sent(
    store: Store, said: ShopSaid, who: str, *, by: str, words: str = "", now: datetime, touch: str = ""
) -> Reminder:
    """Write down that a reminder was sent, with its words and its paper as they were.

    Args:
        store: an open data folder. said: the shop.
        who: the customer's name, or number.
        by: who sent it.
        words: how, such as "by mail".
        now: aware moment.
        touch: the form's mark.
    Returns: the reminder as sent.
    Raises: BadInput: no such customer or person, or nothing is late.
    """
    clock.known_person(said.shop, by)
    found = remind(store, said, who, now=now)
    with store.reading() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return found
    if not found.late:
        raise BadInput(where=found.owed.customer.name, what="nothing is late.", do="Look at what is owed.")
    pdf = account_paper(sheet_of(found, said, now=now, reminding=True))
    sha256 = store.files.keep(pdf)
    how = line({"words": words}, "words")
    body = {
        "words": "\n\n".join((*([how] if how else []), found.text)),
        "invoices": ",".join(str(one.charge.number) for one in found.late),
    }
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is None:
            plans.note_file(session, sha256=sha256, size_bytes=len(pdf), name="account.pdf", kind="paper", now=now)
            customers.write_down(
                session, found.owed.customer.id, kind="reminded", body=body, who=by, happened=now, told=now,
                file_sha256=sha256,
            )  # fmt: skip
            touches.keep(session, touch, verb=VERB, answer=str(found.owed.customer.id), now=now)
    return found
