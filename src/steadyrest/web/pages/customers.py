"""Customers: the list; one of them with what was agreed, jobs and money; and a reminder ready to send."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class CustomerRow:
    """note: such as a certificate that runs out."""

    number: int
    name: str
    jobs: str
    owed: str
    late: str
    note: str


@dataclass(frozen=True, slots=True)
class CustomersPage:
    top: Top
    guard: str
    rows: tuple[CustomerRow, ...]
    trouble: str


@dataclass(frozen=True, slots=True)
class CertificateRow:
    """file: its hash, or ""."""

    number: str
    until: str
    note: str
    file: str


@dataclass(frozen=True, slots=True)
class JobLine:
    """planned: it has a page of its own."""

    number: int
    what: str
    state: str
    price: str
    planned: bool


@dataclass(frozen=True, slots=True)
class InvoiceLine:
    """state: open, late or settled, in words. job: its number, whose record the invoice stands on."""

    number: int
    job: int
    issued: str
    due: str
    total: str
    open: str
    state: str


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """An entry of money. file: hash of its paper, or ""."""

    entry: int
    says: str
    file: str


@dataclass(frozen=True, slots=True)
class FormValues:
    """What the forms begin with, as typed."""

    called: str
    lines: str
    days: str
    discount: str
    discount_days: str
    deposit: str
    unit_h: str
    mode: str
    per: str
    minimum: str
    limit: str
    tax_words: str


@dataclass(frozen=True, slots=True)
class CustomerPage:
    """One customer. contacts: (name, role, phone, mail). known: names and words of what counts. told: entries in words.

    units: steps to which hours may be rounded. people: (id, name). touch: begins each form's mark.
    """

    top: Top
    guard: str
    number: int
    name: str
    address: tuple[str, ...]
    contacts: tuple[tuple[str, str, str, str], ...]
    known: tuple[tuple[str, str], ...]
    certificates: tuple[CertificateRow, ...]
    notes: tuple[tuple[str, str], ...]
    tally: str
    jobs: tuple[JobLine, ...]
    owed: str
    credit: str
    invoices: tuple[InvoiceLine, ...]
    deposits: tuple[str, ...]
    held: str
    entries: tuple[MoneyLine, ...]
    late: bool
    told: tuple[str, ...]
    values: FormValues
    units: tuple[str, ...]
    people: tuple[tuple[str, str], ...]
    touch: str
    trouble: str


@dataclass(frozen=True, slots=True)
class RemindPage:
    """A reminder. words: its lines. mails: where to send it. before: those sent, and the hashes of their papers."""

    top: Top
    guard: str
    number: int
    name: str
    words: tuple[str, ...]
    mails: tuple[str, ...]
    before: tuple[tuple[str, str], ...]
    people: tuple[tuple[str, str], ...]
    touch: str
    trouble: str
