"""Several parts in one job, as the parts list says: the parts, how they go together, and work at the customer's.

Nothing here computes. parts_list_file.py reads it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

JointKind = Literal["press fit", "bolted", "keyed", "pinned", "welded tack", "by hand"]
JOINTS: tuple[JointKind, ...] = ("press fit", "bolted", "keyed", "pinned", "welded tack", "by hand")


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part that is made here. file: as written; quantity: in one of the job; the rest as typed for one part."""

    id: str
    file: str
    material: str
    quantity: int
    unit: str | None = None
    body: int | None = None
    finishes: tuple[str, ...] = ()
    where: str = ""
    thickness: str = ""


@dataclass(frozen=True, slots=True)
class BoughtPart:
    """A part that is bought in. price: of one. lead_days: working days. mass_kg: of one; 0 where nobody said."""

    id: str
    what: str
    quantity: int
    price: Decimal
    lead_days: int
    seller: str
    delay_odds: float | None = None
    mass_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Fitting:
    """Parts, or what was fitted before, put together. trial: they come apart again (fit-up): nothing is made of them.

    joints: in one of the job. hands_s: one joint's time as the owner says it; None: by the trade's rule.
    after: ids of fittings done before, besides those that it names or shares parts with.
    """

    id: str
    of: tuple[str, ...]
    joint: JointKind
    joints: int
    trial: bool
    hands_s: float | None = None
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Site:
    """Work at the customer's. travel_s: one way. hands_s: work there, in all. who: ids; empty: whoever does hand work.

    never_alone: two have to be there. tools: to take along.
    """

    travel_s: float
    hands_s: float
    who: tuple[str, ...]
    tools: tuple[str, ...]
    never_alone: bool


@dataclass(frozen=True, slots=True)
class PartsList:
    """A whole job. quantity: how many. made, bought: in the file's order. fittings: those that come first, first."""

    name: str
    customer: str
    due: datetime | None
    quantity: int
    made: tuple[ListedPart, ...]
    bought: tuple[BoughtPart, ...]
    fittings: tuple[Fitting, ...]
    site: Site | None
