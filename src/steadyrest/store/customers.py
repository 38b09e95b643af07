"""Customers: entries of what is known of each, only ever added to, and what they add up to.

The name that jobs point to stands in the table `customer` and stays; all else is an entry: a later one of its kind
counts in place of an earlier one, by when it happened.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import NewType

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

CustomerId = NewType("CustomerId", int)
KINDS = ("address", "contact", "terms", "rounding", "tax words", "certificate", "limit", "note", "reminded")
NOT_SAID = "not said"  # the customer of a job for which nobody was named


@dataclass(frozen=True, slots=True)
class Customer:
    id: CustomerId
    name: str


@dataclass(frozen=True, slots=True)
class CustomerEntry:
    """One entry. body: its words by name, as its kind needs them. file_sha256: a kept file, such as a certificate."""

    id: int
    customer_id: CustomerId
    kind: str
    who: str
    happened: datetime
    told: datetime
    body: Mapping[str, str]
    file_sha256: str | None


@dataclass(frozen=True, slots=True)
class Contact:
    name: str
    phone: str = ""
    mail: str = ""
    role: str = ""


@dataclass(frozen=True, slots=True)
class Terms:
    """What was agreed. days: to pay. discount: a share off if paid within `discount_days`. deposit: a share first."""

    days: int
    discount: Decimal = Decimal(0)
    discount_days: int = 0
    deposit: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Certificate:
    """A tax certificate. until: its last day. file_sha256: the kept file, or None."""

    number: str
    until: date
    file_sha256: str | None


@dataclass(frozen=True, slots=True)
class Noted:
    """A note, or a reminder that was sent. invoices: that it was about."""

    words: str
    who: str
    when: datetime
    invoices: tuple[int, ...] = ()
    file_sha256: str | None = None


@dataclass(frozen=True, slots=True)
class About:
    """What is known of a customer now. called: the name on papers, or "". limit: of credit; None: none was set.

    rounding: keys of a statement's [rounding]; none: as usual. reminded: reminders sent, oldest first.
    """

    customer: Customer
    called: str = ""
    lines: tuple[str, ...] = ()
    contacts: tuple[Contact, ...] = ()
    terms: Terms | None = None
    rounding: Mapping[str, str] = field(default_factory=dict[str, str])
    tax_words: str = ""
    certificates: tuple[Certificate, ...] = ()
    limit: Decimal | None = None
    notes: tuple[Noted, ...] = ()
    reminded: tuple[Noted, ...] = ()

    def spared_until(self, day: date) -> date | None:
        """The last day of a certificate that still counts on this day; None where none does."""
        return max((one.until for one in self.certificates if one.until >= day), default=None)


def all_customers(session: Session) -> tuple[Customer, ...]:
    """Every customer that was named, by name; the one of jobs for nobody left out."""
    row = schema.customer.c
    found = session.execute(select(row.id, row.name).where(row.name != NOT_SAID).order_by(row.name))
    return tuple(Customer(CustomerId(one.id), one.name) for one in found)


def by_number(session: Session, number: int) -> Customer | None:
    """The customer of this number; None if there is none."""
    row = schema.customer.c
    found = session.execute(select(row.id, row.name).where(row.id == number)).first()
    return None if found is None else Customer(CustomerId(found.id), found.name)


def by_name(session: Session, name: str) -> Customer | None:
    """The customer of this name, blanks apart; None if there is none."""
    row = schema.customer.c
    found = session.execute(select(row.id, row.name).where(row.name == " ".join(name.split()))).first()
    return None if found is None else Customer(CustomerId(found.id), found.name)


def make(session: Session, name: str) -> Customer:
    """A customer of this name, made if there is none yet."""
    known = by_name(session, name)
    if known is not None:
        return known
    said = " ".join(name.split())
    return Customer(CustomerId(add(session, schema.customer, name=said)), said)


def write_down(
    session: Session, customer: CustomerId, *, kind: str, body: Mapping[str, str], who: str, happened: datetime,
    told: datetime, file_sha256: str | None = None,
) -> int:  # fmt: skip
    """Add an entry.

    Args:
        session: a writing transaction.
        customer: whose.
        kind: one of KINDS. body: what it needs.
        who: says so. happened, told: aware moments.
        file_sha256: of a kept file, noted before.
    Returns: the entry's id.
    """
    return add(
        session, schema.customer_entry, customer_id=customer, kind=kind, who=who, happened=happened, told=told,
        body=json.dumps(dict(body), ensure_ascii=False, sort_keys=True), file_sha256=file_sha256,
    )  # fmt: skip


def entries(session: Session, customer: CustomerId | None = None) -> tuple[CustomerEntry, ...]:
    """Every entry of a customer, or of all (None), in the order it was told."""
    row = schema.customer_entry
    asked = select(row).order_by(row.c.id)
    if customer is not None:
        asked = asked.where(row.c.customer_id == customer)
    return tuple(
        CustomerEntry(
            e.id, CustomerId(e.customer_id), e.kind, e.who, e.happened, e.told, json.loads(e.body), e.file_sha256
        )
        for e in session.execute(asked)
    )


def about(session: Session, customer: Customer) -> About:
    """What is known of a customer."""
    return known(customer, entries(session, customer.id))


def known(customer: Customer, told: Iterable[CustomerEntry]) -> About:
    """What entries add up to; those that happened later count, in whatever order they are given.

    Args:
        customer: whose.
        told: entries of this customer.
    Returns: what is known.
    """
    ordered = sorted(told, key=lambda one: (one.happened, one.id))
    last = {one.kind: one for one in ordered}

    def words(kind: str) -> Mapping[str, str]:
        return last[kind].body if kind in last else {}

    contacts = {one.body["name"].casefold(): one.body for one in ordered if one.kind == "contact"}
    papers = {one.body["number"].casefold(): one for one in ordered if one.kind == "certificate"}
    limit = words("limit").get("amount", "")
    return About(
        customer,
        called=words("address").get("called", ""),
        lines=tuple(line for line in words("address").get("lines", "").split("\n") if line),
        contacts=tuple(
            Contact(one["name"], one["phone"], one["mail"], one["role"]) for one in contacts.values() if not one["gone"]
        ),
        terms=_terms(words("terms")),
        rounding={key: value for key, value in words("rounding").items() if value},
        tax_words=words("tax words").get("words", ""),
        certificates=tuple(
            Certificate(one.body["number"], date.fromisoformat(one.body["until"]), one.file_sha256)
            for one in papers.values() if not one.body["gone"]
        ),
        limit=Decimal(limit) if limit else None,
        notes=tuple(_noted(one) for one in ordered if one.kind == "note"),
        reminded=tuple(_noted(one) for one in ordered if one.kind == "reminded"),
    )  # fmt: skip


def _terms(said: Mapping[str, str]) -> Terms | None:
    if not said:
        return None
    return Terms(int(said["days"]), Decimal(said["discount"]), int(said["discount_days"]), Decimal(said["deposit"]))


def _noted(one: CustomerEntry) -> Noted:
    numbers = tuple(int(n) for n in one.body.get("invoices", "").split(",") if n)
    return Noted(one.body["words"], one.who, one.happened, numbers, one.file_sha256)
