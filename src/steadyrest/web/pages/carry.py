"""The carry blank: what was typed, every number of links, the one chosen, drawn."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class OptionRow:
    """So many links a blank. against: what speaks against it; chosen: it is the cheapest allowed."""

    links: int
    blanks: str
    bar: str
    tip: str
    weight: str
    hands: str
    cost: str
    against: tuple[str, ...]
    chosen: bool


@dataclass(frozen=True, slots=True)
class CarryShown:
    """An answer. picture: the address that all looks of the drawing begin with, query: what follows each."""

    says: str
    why: tuple[str, ...]
    cautions: tuple[str, ...]
    rows: tuple[OptionRow, ...]
    lots: tuple[str, ...]
    scrapped: str
    query: str
    drawn: bool


@dataclass(frozen=True, slots=True)
class CarryPage:
    """typed: by field; hints: what counts where a field is left empty."""

    top: Top
    unit: str
    metals: tuple[str, ...]
    typed: dict[str, str]
    hints: dict[str, str]
    answer: CarryShown | None
    trouble: str
