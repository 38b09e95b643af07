"""The statement of account as a paper: each invoice with what is open, how late it is, what is held, what to pay."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.typesetting import Sheet, picture, typeset


@dataclass(frozen=True, slots=True)
class AccountRow:
    """An invoice with something open. lessened: what was paid, credited and else taken off; late: in words, or ""."""

    invoice: str
    issued: str
    due: str
    total: str
    lessened: str
    open: str
    late: str


@dataclass(frozen=True, slots=True)
class AccountSheet:
    """What stands on a statement of account.

    number: the customer's. letter: sentences of a reminder; none on a plain statement. heaps: name and amount, by how
    late. sums: rows below the table. footing: sentences at the end.
    """

    shop: str
    number: int
    customer: str
    address: tuple[str, ...]
    made: datetime
    made_says: str
    letter: tuple[str, ...]
    rows: tuple[AccountRow, ...]
    sums: tuple[tuple[str, str], ...]
    total: str
    heaps_svg: str
    footing: tuple[str, ...]
    sheet: Sheet = "a4"


def account_paper(paper: AccountSheet) -> bytes:
    """The statement of account as PDF.

    Args:
        paper: what stands on it.
    Returns: the PDF.
    """
    return typeset("account.typ", data(paper), sheet=paper.sheet, made=paper.made)


def data(paper: AccountSheet) -> dict[str, object]:
    """The statement as plain words."""
    return {
        "shop": paper.shop,
        "number": paper.number,
        "customer": paper.customer,
        "address": list(paper.address),
        "made": paper.made_says,
        "letter": list(paper.letter),
        "rows": [[r.invoice, r.issued, r.due, r.total, r.lessened, r.open, r.late] for r in paper.rows],
        "sums": [list(one) for one in paper.sums],
        "total": paper.total,
        "heaps_svg": picture(paper.heaps_svg) if paper.heaps_svg else "",
        "footing": list(paper.footing),
    }
