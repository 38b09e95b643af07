"""Customers in words: the list, one of them, a reminder."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence

from steadyrest.desk.accounts.customer_story import Line, Story
from steadyrest.desk.accounts.customers import UNITS_H
from steadyrest.desk.accounts.reminding import Reminder
from steadyrest.price.owed.account import Stands
from steadyrest.shop.floor import Shop
from steadyrest.store.customers import CustomerEntry, Terms
from steadyrest.store.payments import Payment
from steadyrest.units import show_money
from steadyrest.web.pages.customers import (
    CertificateRow,
    CustomerPage,
    CustomerRow,
    CustomersPage,
    FormValues,
    InvoiceLine,
    JobLine,
    MoneyLine,
    RemindPage,
)
from steadyrest.web.pages.top import Top
from steadyrest.wording import moments

STATES = {
    "asked": "nothing answered yet", "planned": "nothing answered yet", "promised": "taken", "declined": "not taken",
    "begun": "begun", "ready": "ready to go", "delivered": "delivered", "paid": "paid",
}  # fmt: skip


def people(shop: Shop) -> tuple[tuple[str, str], ...]:
    """Who may say so: id and name."""
    return tuple((person.id, person.name) for person in shop.people)


def listed(shop: Shop, found: Sequence[Line], *, guard: str, trouble: str) -> CustomersPage:
    """Every customer."""
    return CustomersPage(
        top=Top("Customers", shop.name),
        guard=guard,
        rows=tuple(
            CustomerRow(
                int(one.customer.id), one.customer.name, f"{one.jobs} job{'' if one.jobs == 1 else 's'}",
                show_money(one.owed, one.currency) if one.owed else "", show_money(one.late) if one.late else "",
                f"certificate until {moments.calendar_day(one.runs_out)}" if one.runs_out else "",
            )
            for one in found
        ),
        trouble=trouble,
    )  # fmt: skip


def files(story: Story) -> frozenset[str]:
    """The kept files that are this customer's."""
    kept = {one.file_sha256 for one in story.told} | {one.sha256 for one in story.owed.told}
    return frozenset(one for one in kept if one)


def customer(shop: Shop, story: Story, *, guard: str, trouble: str) -> CustomerPage:
    """One customer.

    Args:
        shop: for its name and people.
        story: all of him.
        guard: for the forms.
        trouble: what did not work, or "".
    Returns: the page.
    """
    about, owed, currency = story.about, story.owed, story.currency
    limit = owed.limit
    names = dict(people(shop))
    return CustomerPage(
        top=Top(about.customer.name, shop.name),
        guard=guard,
        number=int(about.customer.id),
        name=about.customer.name,
        address=((about.called,) if about.called else ()) + about.lines,
        contacts=tuple((one.name, one.role, one.phone, one.mail) for one in about.contacts),
        known=tuple(known(story)),
        certificates=tuple(
            CertificateRow(
                one.number, moments.calendar_day(one.until), "" if one.until >= story.day else "which is past",
                one.file_sha256 or "",
            )
            for one in about.certificates
        ),
        notes=tuple(
            (f"{moments.moment(one.when, story.timezone)}, {names.get(one.who, one.who)}", one.words)
            for one in reversed(about.notes)
        ),
        tally=f"{len(story.won)} won, {len(story.lost)} lost",
        jobs=tuple(
            JobLine(
                row.job.number, row.job.what, STATES.get(row.state, row.state) + (f": {row.why}" if row.why else ""),
                show_money(row.price, currency) if row.price is not None else "", row.planned,
            )
            for row in story.jobs
        ),
        owed=show_money(owed.account.owed, currency),
        credit=f"credit {show_money(limit, currency)}" if limit is not None else "",
        invoices=tuple(invoice(one, story) for one in reversed(owed.account.invoices)),
        deposits=tuple(deposits(story)),
        held=f"Held for the customer: {show_money(owed.account.held, currency)}." if owed.account.held else "",
        entries=tuple(
            MoneyLine(one.id, payment(one, names), one.sha256 or "") for one in reversed(owed.told)
        ),
        late=bool(owed.late),
        told=tuple(entry(one, story.timezone, names) for one in story.told),
        values=values(story),
        units=UNITS_H,
        people=people(shop),
        touch=secrets.token_urlsafe(12),
        trouble=trouble,
    )  # fmt: skip


def known(story: Story) -> Iterator[tuple[str, str]]:
    """What counts, by name."""
    yield "Pays", terms(story.terms)
    yield "Hours", story.rounding
    if story.owed.limit is not None:
        yield "May owe at most", show_money(story.owed.limit, story.currency)
    if story.about.tax_words:
        yield "On papers about tax", story.about.tax_words


def terms(said: Terms) -> str:
    """What was agreed about paying."""
    words = f"within {said.days} days"
    if said.discount:
        words += f", {float(100 * said.discount):g} % less within {said.discount_days}"
    return words + (f", {float(100 * said.deposit):g} % before the work" if said.deposit else "")


def invoice(one: Stands, story: Story) -> InvoiceLine:
    """An invoice as it stands."""
    charge, late = one.charge, (story.day - one.charge.due).days
    state = f"{late} day{'' if late == 1 else 's'} late" if one.open and late > 0 else ""
    if one.settled:
        state = f"settled {moments.calendar_day(one.settled)}"
    return InvoiceLine(
        charge.number, charge.job, moments.calendar_day(charge.issued), moments.calendar_day(charge.due),
        show_money(charge.total, story.currency), show_money(one.open) if one.open else "", state,
    )  # fmt: skip


def deposits(story: Story) -> Iterator[str]:
    """Deposits in words."""
    for one in story.owed.account.deposits:
        asked = f"{show_money(one.asked, story.currency)} asked" if one.asked else "none asked"
        by_day = f", by {moments.calendar_day(one.due)}" if one.due and one.received < one.asked else ""
        yield (
            f"Deposit of job {one.job}: {asked}{by_day}; {show_money(one.received)} received, "
            f"{show_money(one.held)} of it held still."
        )


def payment(one: Payment, names: dict[str, str]) -> str:
    """An entry of money in words."""
    what = {"received": "came", "set off": "held money set against"}.get(one.kind, one.kind)
    number = f" C{one.number}" if one.number else ""
    aim = f", invoice {one.invoice}" if one.invoice else f", job {one.job}" if one.job else ""
    more = "".join(f", {part}" for part in (one.how, one.reference, one.words) if part)
    much = show_money(one.amount, one.currency)
    return f"{moments.calendar_day(one.day)}: {much} {what}{number}{aim}{more} ({names.get(one.who, one.who)})"


def entry(one: CustomerEntry, timezone: str, names: dict[str, str]) -> str:
    """What was told of a customer, in words."""
    said = ", ".join(
        f"{name.replace('_', ' ')} {value}" for name, value in sorted(one.body.items()) if value
    ).replace("\n", " / ")  # fmt: skip
    return f"{moments.moment(one.happened, timezone)}, {names.get(one.who, one.who)}: {one.kind}: {said or 'as usual'}"


def values(story: Story) -> FormValues:
    """What the forms begin with."""
    about, said, own = story.about, story.terms, story.about.rounding
    return FormValues(
        called=about.called,
        lines="\n".join(about.lines),
        days=str(said.days),
        discount=f"{float(100 * said.discount):g}" if said.discount else "",
        discount_days=str(said.discount_days) if said.discount else "",
        deposit=f"{float(100 * said.deposit):g}" if said.deposit else "",
        unit_h=own.get("unit_h", ""),
        mode=own.get("mode", "up"),
        per=own.get("per", "entry"),
        minimum=own.get("minimum_labour", ""),
        limit=str(about.limit) if about.limit is not None else "",
        tax_words=about.tax_words,
    )


def reminder(shop: Shop, found: Reminder, *, guard: str, trouble: str) -> RemindPage:
    """A reminder, ready to send."""
    about, names = found.owed.about, dict(people(shop))
    return RemindPage(
        top=Top(f"Remind {about.customer.name}", shop.name),
        guard=guard,
        number=int(about.customer.id),
        name=about.customer.name,
        words=found.words,
        mails=tuple(one.mail for one in about.contacts if one.mail),
        before=tuple(
            (
                f"{moments.moment(one.when, shop.timezone)}, {names.get(one.who, one.who)}, about invoice "
                + ", ".join(map(str, one.invoices)),
                one.file_sha256 or "",
            )
            for one in reversed(about.reminded)
        ),
        people=people(shop),
        touch=secrets.token_urlsafe(12),
        trouble=trouble,
    )  # fmt: skip
