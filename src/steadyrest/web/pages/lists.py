"""Lists brought in, and everything given out."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class KindRow:
    """A kind of list. columns: those it may have. needed: those it must."""

    name: str
    columns: str
    needed: str


@dataclass(frozen=True, slots=True)
class BroughtRow:
    """A list that was brought in. entry: of its import. says: when and by whom."""

    entry: int
    what: str
    file: str
    rows: int
    says: str
    undone: bool


@dataclass(frozen=True, slots=True)
class LookedAt:
    """What a list would make. sha256: of the kept file. made: (line, words), the first of them; more: how many besides.

    faults: (line, column, what and what to do).
    """

    what: str
    file: str
    sha256: str
    read: int
    made: tuple[tuple[int, str], ...]
    more: int
    same: int
    faults: tuple[tuple[int, str, str], ...]


@dataclass(frozen=True, slots=True)
class ListsPage:
    """looked: a list that was handed in to be looked at. touch: of the form that writes it."""

    top: Top
    guard: str
    touch: str
    kinds: tuple[KindRow, ...]
    looked: LookedAt | None
    brought: tuple[BroughtRow, ...]
    trouble: str
