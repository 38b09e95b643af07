"""Rules of thumb, to be looked up."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class RuleRow:
    """decides: a plan names it where it counts."""

    name: str
    value: str
    note: str
    standing: str
    machines: str
    decides: bool
    works: str


@dataclass(frozen=True, slots=True)
class Pick:
    """One choice of a list, and whether it is the one chosen."""

    value: str
    says: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class RulesPage:
    """words: as typed. trouble: what was wrong with what was asked, or ""."""

    top: Top
    words: str
    machines: tuple[Pick, ...]
    metals: tuple[Pick, ...]
    rows: tuple[RuleRow, ...]
    trouble: str
