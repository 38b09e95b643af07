"""What is owed: every customer's account, how late it is, what of it is likely lost."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import TypeVar

from steadyrest.desk.accounts.customers import limit_of, today
from steadyrest.desk.at_hand import AtHand
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.price.owed.account import NOTHING, Account, Stands, account
from steadyrest.price.owed.ageing import Heap, ageing, late
from steadyrest.price.owed.loss import HeapLoss, expected_loss
from steadyrest.price.statement.billing import read_billing
from steadyrest.store import customers, invoices, payments
from steadyrest.store.customers import About, Customer, CustomerEntry, CustomerId
from steadyrest.store.invoices import Invoice
from steadyrest.store.opening import Session, Store
from steadyrest.store.payments import Payment

T = TypeVar("T", Invoice, Payment, CustomerEntry)


@dataclass(frozen=True, slots=True)
class Owes:
    """One customer's money in the shop's currency. told: entries that stand, the oldest first. limit: None: none."""

    about: About
    account: Account
    invoices: tuple[Invoice, ...]
    told: tuple[Payment, ...]
    heaps: dict[Heap, Decimal]
    late: tuple[Stands, ...]
    limit: Decimal | None

    @property
    def customer(self) -> Customer:
        return self.about.customer


@dataclass(frozen=True, slots=True)
class Book:
    """All that is owed in the shop's currency. other: currencies of invoices that are not counted here."""

    day: date
    currency: str
    owes: tuple[Owes, ...]
    heaps: dict[Heap, Decimal]
    losses: tuple[HeapLoss, ...]
    other: tuple[str, ...]

    @property
    def owed(self) -> Decimal:
        return sum((one.account.owed for one in self.owes), NOTHING)

    @property
    def held(self) -> Decimal:
        return sum((one.account.all_held for one in self.owes), NOTHING)

    @property
    def expected_loss(self) -> Decimal:
        return sum((one.expected for one in self.losses), NOTHING)


def book(store: Store, said: ShopSaid, *, now: datetime) -> Book:
    """What everybody owes.

    Args:
        store: an open data folder. said: the shop.
        now: aware moment; how late something is counts by the shop's calendar.
    Returns: every customer with an invoice or money, by name.
    """
    day = today(said, now)
    return BOOKS.of(store, lambda session: (_book(session, said, day),), besides=(day, said.text, said.where))[0]


BOOKS: AtHand[Book] = AtHand()


def _book(session: Session, said: ShopSaid, day: date) -> Book:
    currency, billings = said.shop.currency, read_billing(said.text, said.where)
    everybody = customers.all_customers(session)
    issued, moved = invoices.all_invoices(session), payments.entries(session)
    known = customers.entries(session)
    others = tuple(sorted({one.currency for one in issued} - {currency}))
    charged = by_customer(one for one in issued if one.currency == currency)
    came = by_customer(one for one in moved if one.currency == currency)
    entries = by_customer(known)
    owes: list[Owes] = []
    for customer in everybody:
        own, told = charged.get(customer.id, ()), came.get(customer.id, ())
        if own or told:
            about = customers.known(customer, entries.get(customer.id, ()))
            owes.append(_owes(about, own, told, day, limit_of(about, billings.of(customer.name))))
    stands = [one for each in owes for one in each.account.invoices]
    return Book(day, currency, tuple(owes), ageing(stands, day), expected_loss(stands, day), others)


def by_customer(rows: Iterable[T]) -> dict[CustomerId, tuple[T, ...]]:
    """Rows of all customers, customer by customer, in the order in which they stand."""
    found: dict[CustomerId, list[T]] = {}
    for one in rows:
        found.setdefault(one.customer_id, []).append(one)
    return {customer: tuple(those) for customer, those in found.items()}


def _owes(
    about: About, issued: tuple[Invoice, ...], told: tuple[Payment, ...], day: date, limit: Decimal | None
) -> Owes:
    stand = payments.standing(told)
    found = account(map(payments.charge, issued), map(payments.move, stand))
    return Owes(about, found, issued, stand, ageing(found.invoices, day), late(found.invoices, day), limit)


def owes(session: Session, said: ShopSaid, customer: Customer, *, day: date) -> Owes:
    """One customer's money in the shop's currency.

    Args:
        session: a transaction. said: the shop.
        customer: whose.
        day: on which it is looked at.
    Returns: the account, empty where nothing was charged.
    """
    currency, about = said.shop.currency, customers.about(session, customer)
    issued = tuple(one for one in invoices.of_customer(session, customer.id) if one.currency == currency)
    told = tuple(one for one in payments.entries(session, customer.id) if one.currency == currency)
    billing = read_billing(said.text, said.where).of(customer.name)
    return _owes(about, issued, told, day, limit_of(about, billing))


def stands(owed: Owes, number: int) -> Stands | None:
    """How the invoice of this number stands; None if it is none of this customer's."""
    return next((one for one in owed.account.invoices if one.charge.number == number), None)
