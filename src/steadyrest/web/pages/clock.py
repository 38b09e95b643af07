"""The clock: who is on what, switch in one touch, what was forgotten, what was done lately."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.revisions import StopMark
from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class Who:
    """person: their id. says: what they are on."""

    person: str
    name: str
    says: str


@dataclass(frozen=True, slots=True)
class On:
    """What runs. step: 0 for none. stop, done: marks of the two forms, so that each counts once."""

    job: int
    step: int
    says: str
    since: str
    stop: str
    done: str


@dataclass(frozen=True, slots=True)
class Ask:
    """A stop that seems forgotten. begun_by: the entry that began it. likely: for the field. stop, there: marks."""

    begun_by: int
    job: int
    step: int
    says: str
    likely: str
    stop: str
    there: str


@dataclass(frozen=True, slots=True)
class OtherStep:
    step: int
    says: str
    touch: str


@dataclass(frozen=True, slots=True)
class Offer:
    """A job to switch to. step: the next one, 0 for none. touch, beside: marks.

    stop: its drawing changed since it was planned. opened: it was asked for, and shows its steps.
    """

    job: int
    step: int
    what: str
    says: str
    due: str
    touch: str
    beside: str
    others: tuple[OtherStep, ...]
    stop: StopMark | None = None
    opened: bool = False


@dataclass(frozen=True, slots=True)
class Besides:
    """A job that is open too, in one line."""

    job: int
    says: str


@dataclass(frozen=True, slots=True)
class Did:
    """What was done lately. entry: that began it. at: when, for the field. fix, strike: marks."""

    says: str
    when: str
    worked: str
    entry: int
    at: str
    fix: str
    strike: str


@dataclass(frozen=True, slots=True)
class ClockPage:
    """me: whose page it is, "" if nobody said yet. note: mark of the note's form. alone: nobody else is in now.

    besides: more open jobs than stand here with a touch each.
    """

    top: Top
    guard: str
    people: tuple[Who, ...]
    me: str
    name: str
    alone: bool
    on: tuple[On, ...]
    asks: tuple[Ask, ...]
    offers: tuple[Offer, ...]
    besides: tuple[Besides, ...]
    did: tuple[Did, ...]
    note: str
    trouble: str
