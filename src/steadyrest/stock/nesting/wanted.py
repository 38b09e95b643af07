"""What is to be nested on which plate, and what comes of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Reason

Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class NestPart:
    """A part wanted so many times. outline_mm: its outer edge about its own origin; holes_mm: cut out of it.

    due: its rank, 0 the first; where not all find a place, those due first do.
    """

    id: str
    count: int
    outline_mm: Ring
    holes_mm: tuple[Ring, ...] = ()
    due: int = 0


@dataclass(frozen=True, slots=True)
class NestWanted:
    """Parts and the plate.

    gap_mm: least distance from part to part. margin_mm: from part to the plate's outline. hole_clear_mm: from part to a
    hole of the plate. turns_deg: the turns that are allowed, counter-clockwise; None: any. clamps_mm: what lies on the
    plate while it is cut, clamp_clear_mm: from part to each; what is under a clamp stays plate.
    """

    parts: tuple[NestPart, ...]
    plate_mm: Ring
    holes_mm: tuple[Ring, ...]
    gap_mm: float
    margin_mm: float
    hole_clear_mm: float
    turns_deg: tuple[float, ...] | None
    may_mirror: bool
    clamps_mm: tuple[Ring, ...] = ()
    clamp_clear_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """One part on the plate: (x to -x if mirrored,) turned counter-clockwise about its own origin, then shifted."""

    part: NestPart
    x_mm: float
    y_mm: float
    turn_deg: float
    mirrored: bool

    def ring_mm(self, ring: Ring) -> Ring:
        """A ring of the part as it lies on the plate.

        Args:
            ring: about the part's own origin.
        Returns: the same points on the plate.
        """
        cos, sin = turned(self.turn_deg)
        side = -1.0 if self.mirrored else 1.0
        return tuple((self.x_mm + cos * side * x - sin * y, self.y_mm + sin * side * x + cos * y) for x, y in ring)


@dataclass(frozen=True, slots=True)
class Left:
    """What stays of the plate in one piece beyond a straight cut across x or y, clear of parts by the gap.

    outline_mm, holes_mm: of that piece, where the plate's own coordinates have it.
    """

    area_mm2: float
    axis: str
    beyond_mm: float
    upward: bool
    outline_mm: Ring = ()
    holes_mm: tuple[Ring, ...] = ()


@dataclass(frozen=True, slots=True)
class NotPlaced:
    """So many of a part that found no place."""

    part: NestPart
    count: int


@dataclass(frozen=True, slots=True)
class NestPlan:
    """placed: every part that found a place. closest_mm: the least distance from part to part; None: fewer than two."""

    placed: tuple[Placed, ...]
    unplaced: tuple[NotPlaced, ...]
    left: Left | None
    closest_mm: float | None
    used: float
    doubts: tuple[Reason, ...]


def turned(turn_deg: float) -> tuple[float, float]:
    """Cosine and sine, exact at quarter turns.

    Args:
        turn_deg: counter-clockwise.
    Returns: cosine, sine.
    """
    quarters = turn_deg / 90.0
    if quarters == round(quarters):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    return math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
