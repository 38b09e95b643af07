"""A nest as it is kept: what lies where on which plate, how it is cut, what it takes, what is left."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.work import SheetCut
from steadyrest.stock.nesting.wanted import Ring
from steadyrest.stock.sheet_outlines import Body


@dataclass(frozen=True, slots=True)
class Line:
    """One part that was asked for: so many, so many placed. job: whose, 0 for none. area_mm2, mass_kg: of one."""

    name: str
    count: int
    placed: int
    job: int
    area_mm2: float
    mass_kg: float


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the torch pierces, and where it meets the outline from there. place: of the part among those laid."""

    place: int
    x_mm: float
    y_mm: float
    inside: bool
    to_x_mm: float
    to_y_mm: float


@dataclass(frozen=True, slots=True)
class Drill:
    """A hole that is not cut but drilled. wide_mm: its diameter."""

    x_mm: float
    y_mm: float
    wide_mm: float


@dataclass(frozen=True, slots=True)
class NestedSheet:
    """One plate. cut: what lies on it, in the order in which parts come free. lies: its place on the floor; seen: its
    turn when it was looked at. order: of all cuts. Times: torch on, way between, a person's before and after."""

    cut: SheetCut
    lies: str
    seen: int
    rest_holes_mm: tuple[Ring, ...]
    order: tuple[Spot, ...]
    drills: tuple[Drill, ...]
    cut_s: float
    way_s: float
    load_s: float
    hands_s: float
    rest_kg: float

    @property
    def label(self) -> str:
        """Of the rack's piece."""
        return self.cut.name


@dataclass(frozen=True, slots=True)
class Nested:
    """A nest. bodies: by number, as `laid` names them; lines: one for each body. shown: the setting, as the machine has
    it. machine: "" where nobody here cuts it, no_cutter: why. worn, cash: tips and money; None without a machine.
    drilled: why some holes are, drilled_names: which. cannot: what the cut does not hold. stopped: before its time.
    cost, least: of the plates opened, and the least possible. worth: of what goes back."""

    lines: tuple[Line, ...]
    bodies: tuple[Body, ...]
    sheets: tuple[NestedSheet, ...]
    material: str
    condition: str
    thickness_mm: float
    turns: str
    machine: str
    shown: str
    set_up_s: float
    worn: Figure | None
    cash: Decimal | None
    said: tuple[Figure, ...]
    drilled: tuple[Reason, ...]
    drilled_names: tuple[str, ...]
    notes: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    cannot: tuple[Reason, ...]
    doubts: tuple[Reason, ...]
    cost: Decimal
    least: Decimal
    worth: Decimal
    currency: str
    seconds: float
    gap: Figure | None = None
    margin: Figure | None = None
    no_cutter: tuple[Reason, ...] = ()
    stopped: bool = False

    @property
    def lacking(self) -> tuple[Line, ...]:
        """Lines of which not all found a place."""
        return tuple(one for one in self.lines if one.placed < one.count)

    @property
    def run_s(self) -> float:
        """The machine's time for all plates, its setting up left out."""
        return sum(one.cut_s + one.way_s for one in self.sheets)

    @property
    def hands_s(self) -> float:
        """A person's time besides."""
        return self.set_up_s + sum(one.load_s + one.hands_s for one in self.sheets)


def too_heavy(mass_kg: float, alone_kg: float) -> Reason | None:
    """That a plate is not lifted by one person.

    Args:
        mass_kg: of the plate. alone_kg: what one person lifts here.
    Returns: None where one person may.
    """
    return because("nest.too_heavy", mass_kg=mass_kg, alone_kg=alone_kg) if mass_kg > alone_kg else None
