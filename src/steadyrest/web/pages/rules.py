"""Rules of thumb, to be looked up."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class RuleRow:
    """decides: a plan names it where it counts. metals: which it is about, in words; "" for any."""

    name: str
    value: str
    note: str
    standing: str
    machines: str
    metals: str
    decides: bool
    works: str


@dataclass(frozen=True, slots=True)
class RuleGroup:
    """Rules about one machine or subject, folded. shown: it stands open."""

    title: str
    count: int
    shown: bool
    rows: tuple[RuleRow, ...]


@dataclass(frozen=True, slots=True)
class Pick:
    """One choice of a list, and whether it is the one chosen."""

    value: str
    says: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class RulesPage:
    """words: as typed. count: rules in all groups. trouble: what was wrong with what was asked, or ""."""

    top: Top
    words: str
    machines: tuple[Pick, ...]
    metals: tuple[Pick, ...]
    groups: tuple[RuleGroup, ...]
    count: int
    trouble: str
