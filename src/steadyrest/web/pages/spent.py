"""What was spent on jobs besides hours."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class SpentRow:
    """much: what it cost or how far was driven; "" for whoever sees no money."""

    job: int
    what: str
    on: str
    much: str
    says: str


@dataclass(frozen=True, slots=True)
class SpentPage:
    """jobs: to choose from. road: the unit of a distance. rows: lately, the newest first."""

    top: Top
    guard: str
    touch: str
    jobs: tuple[tuple[int, str], ...]
    currency: str
    road: str
    people: tuple[tuple[str, str], ...]
    rows: tuple[SpentRow, ...]
    trouble: str
