"""A place counted, and labels printed."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class CountRow:
    """A piece that the book has in the place. seen, length: as ticked and typed."""

    label: str
    says: str
    seen: bool
    length: str


@dataclass(frozen=True, slots=True)
class CountPage:
    """places: to choose from. rows: what the book has there. others: labels seen besides, as typed. found: what agrees
    and what does not; counted: it was compared. written: the book was set right by it."""

    top: Top
    guard: str
    place: str
    places: tuple[str, ...]
    rows: tuple[CountRow, ...]
    others: str
    found: tuple[str, ...]
    counted: bool
    written: bool
    people: tuple[tuple[str, str], ...]
    unit: str
    trouble: str


@dataclass(frozen=True, slots=True)
class LabelsPage:
    """sheets: (name, words). places: to choose from. typed: what the form says."""

    top: Top
    sheets: tuple[tuple[str, str], ...]
    places: tuple[str, ...]
    typed: dict[str, str]
    trouble: str
