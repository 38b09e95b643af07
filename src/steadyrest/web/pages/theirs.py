"""The customer's own parts of a job, which is their receipt when it is printed."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class TheirRow:
    """says: as on a receipt. told: when it came and went. photo: its address, or "". here: it is still with us."""

    entry: int
    says: str
    told: str
    photo: str
    here: bool
    touch: str


@dataclass(frozen=True, slots=True)
class TheirsPage:
    top: Top
    guard: str
    touch: str
    number: int
    what: str
    customer: str
    rows: tuple[TheirRow, ...]
    people: tuple[tuple[str, str], ...]
    trouble: str
