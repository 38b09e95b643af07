"""What the geometry of a milled part is asked, and what it answers: set-ups with their sides, and what each makes."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import MillLimits, Tool
from steadyrest.shop.part import Feature, Vec3
from steadyrest.shop.solid_grid import SolidGrid
from steadyrest.stations.mill.removal.cells import Bar
from steadyrest.stations.mill.set_ups.choose import SetUp
from steadyrest.stations.mill.set_ups.held import STEEL_MPA
from steadyrest.stations.mill.taking import Take


@dataclass(frozen=True, slots=True)
class Question:
    """What the geometry hangs on. drilled: ids of holes made along their axis. box_mm: the blank along the frame.

    bar: the section of a round or hexagon blank. as_stock: frame axes whose faces stay as they come.
    name: of the machine. both: ids of holes that are drilled half way from either side. e_mpa: modulus of the metal.
    """

    grid: SolidGrid
    features: tuple[Feature, ...]
    drilled: frozenset[str]
    box_mm: Vec3
    bar: Bar | None
    as_stock: tuple[int, ...]
    limits: MillLimits
    tools: tuple[Tool, ...]
    name: str = ""
    both: frozenset[str] = frozenset()
    e_mpa: float = STEEL_MPA


@dataclass(frozen=True, slots=True)
class Side:
    """What is done from one side of a set-up. faced: the blank's skin comes off there, so deep over so much.

    cutter_mm: diameter of the last cutter, 0: nothing to take. corners: it leaves its radius in inner corners.
    """

    up: Vec3
    faced_mm: tuple[float, float, float] | None
    takes: tuple[Take, ...]
    cutter_mm: float
    corners: bool


@dataclass(frozen=True, slots=True)
class Worked:
    """One set-up: its sides, and the ids of what it makes: cut, drilled along an axis, edges broken.

    height_mm: of the work as it lies. tilted: of those cut, sloped faces that tilting lays level under the spindle.
    """

    set_up: SetUp
    sides: tuple[Side, ...]
    cut: tuple[str, ...]
    drilled: tuple[str, ...]
    edges: tuple[str, ...]
    height_mm: float
    tilted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Geometry:
    """set_ups: in order. stays: features whose surface stays as the stock comes. undone: id and every reason.

    why_not: why there are no set-ups at all.
    """

    set_ups: tuple[Worked, ...]
    stays: tuple[str, ...]
    undone: tuple[tuple[str, tuple[Reason, ...]], ...]
    why_not: tuple[Reason, ...]
