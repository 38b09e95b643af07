"""What a promise says: the finish with its odds, what it does to other promises, and the week behind it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from steadyrest import units
from steadyrest.shop.draws import FloatArray
from steadyrest.shop.figure import Figure, Reason

State = Literal["holds", "thin", "gone"]
Kind = Literal["person", "machine", "shared", "material", "work"]
HOLDS, THIN = 0.9, 0.5


def state(odds: float) -> State:
    """A promise holds from nine in ten, is thin from five in ten, else it is gone."""
    return "holds" if odds >= HOLDS else "thin" if odds >= THIN else "gone"


@dataclass(frozen=True, slots=True)
class Effect:
    """What the new job does to a promise already given. late_money: what the lateness costs, on average."""

    job: str
    what: str
    due: datetime
    odds_before: float
    odds_after: float
    late_money: float
    why: tuple[Reason, ...]

    @property
    def before(self) -> State:
        return state(self.odds_before)

    @property
    def after(self) -> State:
        return state(self.odds_after)


@dataclass(frozen=True, slots=True)
class Load:
    """Hours asked against hours there until the due time. kind: "person" or "machine"."""

    kind: Literal["person", "machine"]
    id: str
    asked: Figure
    there_s: float


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One unbroken stretch of one phase in the plan of the middle draw. phase counts from 0 within the step.

    of: the step's id in the plan of the work taken, or "".
    """

    job: str
    step: str
    phase: int
    name: str
    person: str | None
    machine: str | None
    start: datetime
    end: datetime
    new: bool = False
    of: str = ""


@dataclass(frozen=True, slots=True)
class Neck:
    """What holds the job back most. kind: as Kind says; "work": nothing but the work itself."""

    kind: Kind
    id: str
    gain_s: float
    why: Reason


@dataclass(frozen=True, slots=True)
class Promise:
    """By when, with its odds. Finishes are None when that share of the draws does not finish within the calendar.

    odds: chance to be done by `due`. can_promise: the finish that can be promised at the shop's wanted odds.
    behind_all: the same if this job is served last; None if even then a promise already given would no longer hold.
    arrival: when bought material is likely to be here; None: nothing is bought.
    yes_by: the latest moment to say yes at which the due time is still promised at the wanted odds; None: it is not.
    plan: the week of the middle draw: everyone's work, this job marked as new. order: who is served first.
    after_hours: share of this job's hours with people in that plan that lie outside the shop's day.
    waits_broken_odds: chance that some phase waits longer than it may.
    later_yes_by: where the due time is not kept: the latest moment to say yes at which `can_promise` is.
    """

    job: str
    due: datetime
    finish_p50: datetime | None
    finish_p90: datetime | None
    odds: Figure
    wanted_odds: float
    can_promise: datetime | None
    behind_all: datetime | None
    others: tuple[Effect, ...]
    loads: tuple[Load, ...]
    plan: tuple[PlanRow, ...]
    order: tuple[str, ...]
    arrival: datetime | None
    neck: Neck | None
    yes_by: datetime | None
    after_hours: float
    waits_broken_odds: float
    seed: int
    draws: int
    timezone: str
    why: tuple[Reason, ...]
    later_yes_by: datetime | None = None

    @property
    def pegs(self) -> int:
        return units.pegs(self.odds.value)

    @property
    def state(self) -> State:
        return state(self.odds.value)


@dataclass(frozen=True, slots=True)
class JobDraws:
    """The same draws for the price: n rows, never stored.

    finish_s: (n,) after now, inf if not within the calendar. person_s: (n, people of the shop) their hours on this job.
    machine_s: (n, machines of the shop). late_money: (n,) lateness inflicted on other promises.
    """

    finish_s: FloatArray
    person_s: FloatArray
    machine_s: FloatArray
    late_money: FloatArray
