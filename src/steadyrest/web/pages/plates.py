"""The plates of the rack that a job's plan cuts up."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """A plate. rest: what is left of it, in words. gone: what happened to it, "" while it is there. touch: its form's
    mark."""

    label: str
    says: str
    rest: str
    gone: str
    seen: int
    touch: str


@dataclass(frozen=True, slots=True)
class PlatesPage:
    """job: its number."""

    top: Top
    guard: str
    job: int
    rows: tuple[PlannedRow, ...]
    people: tuple[tuple[str, str], ...]
    trouble: str
