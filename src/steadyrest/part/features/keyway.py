"""What a keyway is: two walls beside the axis, a floor between them, and the piece of the part that carries it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.part.features.profile import Piece
from steadyrest.part.patch import Patch
from steadyrest.shop.part import Vec3

FACING_RAD = math.radians(3)
OFF_CENTRE = 0.15  # of the width; a key sits on the centre line
SHORTEST = 0.75  # of the width; shorter is a notch
DEEPEST = 0.8  # of the width; parallel keys sit 0.6 deep at most (DIN 6885-1, from memory): deeper is a slot
WORN_MM = 0.5  # of a radius: between pieces that may be one, worn in places
CARRIES = 0.5  # share of the key's length on the stretch that carries it


@dataclass(frozen=True, slots=True)
class Keyway:
    """A keyway. walls: two, or what a scan shows of them, in pieces or one alone. floor_mm: of the floor from the axis.

    out: unit vector from the axis square through the floor.
    round_ends: end-milled, how many of its two ends are round. on: the piece that carries it. inside: in a bore.
    """

    walls: tuple[Patch, ...]
    floor: Patch
    ends: tuple[Patch, ...]
    width_mm: float
    floor_mm: float
    low_mm: float
    high_mm: float
    out: Vec3
    on: Piece
    inside: bool

    @property
    def round_ends(self) -> int:
        return sum(1 for patch in self.ends if patch.kind == "cylinder")

    @property
    def is_keyway(self) -> bool:
        """Shorter than wide is a notch in a disc's edge, deeper than any key sits is a slot: no key fits."""
        return self.high_mm - self.low_mm >= SHORTEST * self.width_mm and self.depth_mm <= DEEPEST * self.width_mm

    @property
    def surface_mm(self) -> float:
        """Radius of the surface that the depth counts from."""
        return max(self.on.low_radius_mm, self.on.high_radius_mm)

    @property
    def depth_mm(self) -> float:
        """From the cylinder's surface at the key's centre line to the floor."""
        return abs(self.surface_mm - self.floor_mm)

    @property
    def patches(self) -> tuple[Patch, ...]:
        return (*self.walls, self.floor, *self.ends)


def carrier(pieces: Sequence[Piece], low: float, high: float) -> Piece | None:
    """The piece that carries a stretch, with others as wide as it if that is what most of it lies on.

    A seat that is worn in its middle is three pieces of one size: the one that lost least is asked.
    """

    def shared(piece: Piece) -> float:
        return min(piece.high.at_mm, high) - max(piece.low.at_mm, low)

    def radius(piece: Piece) -> float:
        return max(piece.low_radius_mm, piece.high_radius_mm)

    best = max(pieces, key=shared, default=None)
    if best is None or shared(best) >= CARRIES * (high - low):
        return best
    alike = [p for p in pieces if shared(p) > 0 and abs(radius(p) - radius(best)) < WORN_MM]
    if sum(shared(p) for p in alike) < CARRIES * (high - low):
        return None
    long = [p for p in alike if shared(p) > 0.3 * shared(best)]
    inside = best.ring is not None and best.ring.inside
    return min(long, key=radius) if inside else max(long, key=radius)
