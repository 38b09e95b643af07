"""Today: what to do next, what to buy, what leaves, what does not hold."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.revisions import StopMark
from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class PersonRow:
    """person: id. on: what they are on by the clock. first: what comes next; then: what follows, each in words."""

    person: str
    name: str
    on: str
    first: str
    then: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BuyRow:
    """what: each thing to buy in words. by: the cut-off, or when it is likely here. touch: marks its form."""

    number: int
    what: tuple[str, ...]
    by: str
    touch: str


@dataclass(frozen=True, slots=True)
class LeavesRow:
    number: int
    what: str
    customer: str
    due: str
    says: str


@dataclass(frozen=True, slots=True)
class ShakyRow:
    job: str
    what: str
    pegs: int
    odds: str
    holds: str


@dataclass(frozen=True, slots=True)
class TodayPage:
    """day: today, in words. alone: runs that need nobody now. stopped: jobs whose drawing changed.

    low: (number, name, what is the matter) of things to order, check or serve.
    """

    top: Top
    day: str
    people: tuple[PersonRow, ...]
    alone: tuple[str, ...]
    to_buy: tuple[BuyRow, ...]
    coming: tuple[BuyRow, ...]
    leaving: tuple[LeavesRow, ...]
    shaky: tuple[ShakyRow, ...]
    token: str
    stopped: tuple[StopMark, ...] = ()
    low: tuple[tuple[int, str, str], ...] = ()
