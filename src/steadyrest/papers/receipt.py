"""The receipt of a customer's own parts: what came, how many, how heavy, in what state, and when it went back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.photo import photo_svg
from steadyrest.papers.typesetting import Sheet, code, typeset


@dataclass(frozen=True, slots=True)
class TheirRow:
    """One of them, or several alike. damage: as it came. back: when it went back, "" while it is here. photo: bytes."""

    count: str
    what: str
    mass: str
    damage: str
    came: str
    back: str
    photo: bytes = b""


@dataclass(frozen=True, slots=True)
class Receipt:
    """What stands on it. number: the job's. link: where the code on it leads; "" for none."""

    shop: str
    number: int
    what: str
    customer: str
    made: datetime
    made_says: str
    rows: tuple[TheirRow, ...]
    link: str = ""
    sheet: Sheet = "a4"


def receipt(paper: Receipt) -> bytes:
    """The receipt as PDF.

    Args:
        paper: what stands on it.
    Returns: the PDF.
    """
    data = {
        "shop": paper.shop,
        "number": paper.number,
        "what": paper.what,
        "customer": paper.customer,
        "made": paper.made_says,
        "rows": [their_row(one) for one in paper.rows],
        "code_svg": code(paper.link) if paper.link else "",
    }
    return typeset("receipt.typ", data, sheet=paper.sheet, made=paper.made)


def their_row(one: TheirRow) -> dict[str, object]:
    """A row as plain words."""
    return {
        "count": one.count, "what": one.what, "mass": one.mass, "damage": one.damage, "came": one.came,
        "back": one.back, "photo": photo_svg(one.photo) if one.photo else "",
    }  # fmt: skip
