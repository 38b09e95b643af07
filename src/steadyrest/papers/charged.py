"""Work record and invoice as papers: what was done, day by day, and what it comes to, to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.photo import photo_svg
from steadyrest.papers.receipt import TheirRow, their_row
from steadyrest.papers.typesetting import Sheet, code, typeset


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A stretch of work: who, from when to when, on what, how long; note: why it is not charged yet, or shared."""

    who: str
    when: str
    what: str
    hours: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class PaperDay:
    """One day. found: who and when, and the words. photos: files' bytes. spent: what, and how much."""

    day: str
    rows: tuple[PaperRow, ...]
    found: tuple[tuple[str, str], ...] = ()
    photos: tuple[bytes, ...] = ()
    spent: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A line that is charged. much: hours and rate, or a distance; amount: to the cent. tax: "yes" where it is owed."""

    what: str
    much: str
    amount: str
    tax: str = ""


@dataclass(frozen=True, slots=True)
class Charged:
    """What stands on a work record or an invoice.

    kind: "Work record" or "Invoice". number: the job's. said: such as the invoice's number. sums: name and amount.
    footing: sentences below the sums. address: lines below the customer's name. to_pay: rows below the total.
    theirs: parts of the customer's that came with the job.
    """

    kind: str
    shop: str
    number: int
    said: str
    what: str
    customer: str
    made: datetime
    made_says: str
    days: tuple[PaperDay, ...]
    lines: tuple[PaperLine, ...]
    sums: tuple[tuple[str, str], ...]
    total: str
    footing: tuple[str, ...]
    link: str = ""
    sheet: Sheet = "a4"
    address: tuple[str, ...] = ()
    to_pay: tuple[tuple[str, str], ...] = ()
    theirs: tuple[TheirRow, ...] = ()


def charged(paper: Charged) -> bytes:
    """The paper as PDF.

    Args:
        paper: what stands on it.
    Returns: the PDF.
    """
    return typeset("charged.typ", data(paper), sheet=paper.sheet, made=paper.made)


def data(paper: Charged) -> dict[str, object]:
    """The paper as plain words."""
    return {
        "kind": paper.kind,
        "shop": paper.shop,
        "number": paper.number,
        "said": paper.said,
        "what": paper.what,
        "customer": paper.customer,
        "made": paper.made_says,
        "days": [day(one) for one in paper.days],
        "lines": [[one.what, one.much, one.tax, one.amount] for one in paper.lines],
        "taxed": any(one.tax for one in paper.lines),
        "theirs": [their_row(one) for one in paper.theirs],
        "sums": [list(one) for one in paper.sums],
        "total": paper.total,
        "footing": list(paper.footing),
        "address": list(paper.address),
        "to_pay": [list(one) for one in paper.to_pay],
        "code_svg": code(paper.link) if paper.link else "",
    }


def day(one: PaperDay) -> dict[str, object]:
    """A day as plain words."""
    return {
        "day": one.day,
        "rows": [[row.who, row.when, row.what, row.hours, row.note] for row in one.rows],
        "found": [list(pair) for pair in one.found],
        "photos": pictures(one.photos),
        "spent": [list(pair) for pair in one.spent],
    }


def pictures(photos: Sequence[bytes]) -> list[str]:
    """Photos as SVG, those left out that are none."""
    return [svg for svg in map(photo_svg, photos) if svg]
