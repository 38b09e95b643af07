"""The work record of a job, as a customer may read it; below it, for the shop, its invoices."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.papers.charged import PaperLine, PaperRow
from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class RecordDay:
    """found: who and when, the words, and the photo's hash or ""."""

    day: str
    rows: tuple[PaperRow, ...]
    found: tuple[tuple[str, str, str], ...]
    spent: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class IssuedRow:
    """paid: what is open of it, in words."""

    number: int
    says: str
    paid: str


@dataclass(frozen=True, slots=True)
class TaxRow:
    """Whether tax is owed on a line. which: labour, travel, price, or an entry of goods."""

    which: str
    says: str
    taxed: bool


@dataclass(frozen=True, slots=True)
class RecordPage:
    """theirs: the customer's own parts, in words. taxed_shown: tax is owed on one of the lines. sums: name and amount.

    people: id and name of whoever may issue an invoice. touch: the form's mark."""

    top: Top
    guard: str
    number: int
    what: str
    customer: str
    customer_number: int
    days: tuple[RecordDay, ...]
    theirs: tuple[str, ...]
    lines: tuple[PaperLine, ...]
    taxed_shown: bool
    taxed: tuple[TaxRow, ...]
    sums: tuple[tuple[str, str], ...]
    total: str
    footing: tuple[str, ...]
    invoices: tuple[IssuedRow, ...]
    people: tuple[tuple[str, str], ...]
    touch: str
    trouble: str
