"""One customer's story: what is known, the jobs, quotes won and lost, invoices, what is owed; and the list of all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from steadyrest.desk.accounts.customers import billing_of, find, terms_of, today
from steadyrest.desk.accounts.money import agreed
from steadyrest.desk.accounts.owed import Owes, book, by_customer, owes
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.price.statement.billing import Billing
from steadyrest.price.statement.statement import rounding_in_words
from steadyrest.store import customers, jobs, ledger, plans
from steadyrest.store.customers import About, Customer, CustomerEntry, Terms
from steadyrest.store.jobs import Job
from steadyrest.store.opening import Session, Store

WON = ("promised", "begun", "ready", "delivered", "paid")


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job of the customer's. price: agreed, else offered; None: none. why: it was not taken, or "".

    planned: it has a plan, and so a page of its own; without one it has its record alone.
    """

    job: Job
    state: str
    price: Decimal | None
    why: str
    planned: bool


@dataclass(frozen=True, slots=True)
class Story:
    """All of one customer. told: every entry, the last first. billing, terms: that count today."""

    about: About
    day: date
    currency: str
    timezone: str
    jobs: tuple[JobRow, ...]
    owed: Owes
    billing: Billing
    terms: Terms
    told: tuple[CustomerEntry, ...]

    @property
    def rounding(self) -> str:
        """How hours are counted, as it is printed."""
        return rounding_in_words(self.billing.rounding)

    @property
    def won(self) -> tuple[JobRow, ...]:
        return tuple(one for one in self.jobs if one.state in WON)

    @property
    def lost(self) -> tuple[JobRow, ...]:
        return tuple(one for one in self.jobs if one.state == "declined")


@dataclass(frozen=True, slots=True)
class Line:
    """One customer in the list. runs_out: the day on which the last certificate ends, if that is past or near."""

    customer: Customer
    jobs: int
    owed: Decimal
    late: Decimal
    currency: str
    runs_out: date | None


NEAR_DAYS = 30


def listed(store: Store, said: ShopSaid, *, now: datetime) -> tuple[Line, ...]:
    """Every customer, by name.

    Args:
        store: an open data folder. said: the shop.
        now: aware moment.
    Returns: with how many jobs, and what is owed.
    """
    found, day = {one.customer.id: one for one in book(store, said, now=now).owes}, today(said, now)
    with store.reading() as session:
        everybody, counts = customers.all_customers(session), jobs.how_many_of(session)
        known = by_customer(customers.entries(session))
    lines: list[Line] = []
    for one in everybody:
        owed = found.get(one.id)
        about = customers.known(one, known.get(one.id, ()))
        late = sum((at.open for at in owed.late), Decimal(0)) if owed else Decimal(0)
        much = owed.account.owed if owed else Decimal(0)
        lines.append(Line(one, counts.get(int(one.id), 0), much, late, said.shop.currency, runs_out(about, day)))
    return tuple(lines)


def runs_out(about: About, day: date) -> date | None:
    """When the last certificate ends, where that is past or within 30 days; None else."""
    last = max((one.until for one in about.certificates), default=None)
    return last if last is not None and (last - day).days <= NEAR_DAYS else None


def story(store: Store, said: ShopSaid, who: str, *, now: datetime) -> Story:
    """All of one customer.

    Args:
        store: an open data folder. said: the shop.
        who: the name, or the number.
        now: aware moment.
    Returns: the story.
    Raises: BadInput: no such customer.
    """
    day = today(said, now)
    with store.reading() as session:
        customer = find(session, who)
        owed = owes(session, said, customer, day=day)
        billing = billing_of(session, said, customer.name, day=day)
        own = tuple(_row(session, job) for job in jobs.of_customer(session, int(customer.id)))
        told = tuple(reversed(customers.entries(session, customer.id)))
    newest = tuple(sorted(own, key=lambda one: -one.job.number))
    terms = terms_of(owed.about, billing)
    return Story(owed.about, day, said.shop.currency, said.shop.timezone, newest, owed, billing, terms, told)


def _row(session: Session, job: Job) -> JobRow:
    told = ledger.standing(ledger.entries(session, job.id))
    declined = [one for one in told if one.kind == "declined"]
    state = ledger.job_state(told)
    why = str(declined[-1].body.get("why") or "") if declined and state == "declined" else ""
    return JobRow(job, state, agreed(session, job), why, plans.chosen_plan(session, job.id) is not None)
