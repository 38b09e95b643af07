"""The week: what is promised, how sure, who does what when; and a change tried on it."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class WeekJobRow:
    """address: of the job's page, or "" for work of the shop file alone. holds: when it would hold, if it does not."""

    job: str
    what: str
    address: str
    due: str
    pegs: int
    odds: str
    holds: str


@dataclass(frozen=True, slots=True)
class TriedRow:
    """A job before a change and after it. late: how late on average, before and then, in time and money."""

    job: str
    before: str
    after: str
    pegs: int
    late: str
    holds: str


@dataclass(frozen=True, slots=True)
class WayShown:
    """A way out: what it asks people to do, what it costs and leaves."""

    does: tuple[str, ...]
    money: str
    jobs: tuple[TriedRow, ...]


@dataclass(frozen=True, slots=True)
class TriedShown:
    """said: as it was understood. after: every job if nothing else is done."""

    said: tuple[str, ...]
    late: str
    after: tuple[TriedRow, ...]
    ways: tuple[WayShown, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    value: str
    says: str


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A stretch of work in words."""

    when: str
    job: str
    what: str
    who: str
    machine: str


@dataclass(frozen=True, slots=True)
class NightRow:
    """A run with nobody in. leave: whether its program may be left; holds, good: its hold points, parts by morning."""

    when: str
    run: str
    machine: str
    leave: str
    holds: str
    good: str


@dataclass(frozen=True, slots=True)
class NightShown:
    """A night in which something runs. rows: in the order in which they run. advice: of each machine, in words."""

    says: str
    rows: tuple[NightRow, ...]
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeekPage:
    """people, machines: whom a change may be about. begins: now, as a form's field says it.

    programs: steps whose time is their program's, with what to expect by morning. nights: what runs with nobody in.
    changed: jobs whose hours count otherwise than planned, and why.

    trouble, typed: of the last change tried. old: that it could not be counted anew, and why.
    """

    top: Top
    old: str
    jobs: tuple[WeekJobRow, ...]
    rows: tuple[WeekRow, ...]
    programs: tuple[str, ...]
    changed: tuple[str, ...]
    nights: tuple[NightShown, ...]
    people: tuple[Choice, ...]
    machines: tuple[Choice, ...]
    begins: str
    typed: str
    trouble: str
    tried: TriedShown | None
    token: str
