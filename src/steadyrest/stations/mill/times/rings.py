"""The rings of a tool that clears an area parallel to its wall, from the area's figures alone.

The tool's centre stays a radius off the wall. With area A, wall P and x the separate areas less the islands in them,
the centre's own area and wall are (Steiner, exact for what a round tool can clear)
    A0 = A - P R + pi R2 x,    P0 = P - 2 pi R x.
Moving in by d, an inner corner that turns the wall by t takes 2 tan(t/2) d off it and an outer one gives t d back: the
wall of ring d would be P0 - q d. It ends where the way is no wider; ways are as wide as the narrowest at least and as
much wider, evenly spread, as the area asks for. For a rectangle that is exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.tables.practice import rule

HALVINGS = 50
WIDEST = 1e3  # times the mean way: a way that narrows to a point has no wider end
RIGHT = math.pi / 2.0
SHARPEST = 1.1 * RIGHT  # mean bend of inner corners, at most


@dataclass(frozen=True, slots=True)
class Area:
    """What is cleared, seen from the spindle.

    area_mm2: cleared by the tool, its round corners included. wall_mm: all of its boundary, open or not.
    regions: separate areas. islands: left standing inside them.
    corners: inner corners of all walls; 0: not known. outer: corners that the tool goes round; None: not known.
    narrowest_mm: width of the narrowest way; 0: not known.
    """

    area_mm2: float
    wall_mm: float
    regions: int = 1
    islands: int = 0
    corners: int = 0
    outer: int | None = None
    narrowest_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Ring:
    """What is cut at one distance from the wall. pieces: straight or round pieces between corners."""

    length_mm: float
    pieces: float


@dataclass(frozen=True, slots=True)
class Shrinking:
    """How the rings get shorter inwards: P0, q, and the half widths of the ways that the tool's centre has."""

    wall_mm: float
    shrink: float
    narrow_mm: float
    wide_mm: float
    pieces: float

    def left(self, in_mm: float) -> float:
        """Share of the ways that are still open so far in; none where the wall has shrunk to nothing."""
        if self.wall_mm <= self.shrink * in_mm:
            return 0.0
        if in_mm <= self.narrow_mm + 1e-9:
            return 1.0
        if in_mm >= self.wide_mm:
            return 0.0
        return (self.wide_mm - in_mm) / (self.wide_mm - self.narrow_mm)

    def ring(self, in_mm: float) -> Ring:
        share = self.left(in_mm)
        return Ring((self.wall_mm - self.shrink * in_mm) * share, self.pieces * share)


def spread_of(area: Area, *, diameter_mm: float) -> float:
    """How far the time of clearing an area may be off: more where its ways are narrow, drawn out, or round islands.

    There its bottoms fall apart, and every separate bottom is entered down a ramp that the figures do not show.

    Args:
        area: what is cleared.
        diameter_mm: of the tool; > 0.
    Returns: sd of the logarithm.
    Source: computed, tests/scoring/routes.py; docs/times.md says how well it covers.
    """
    wide = 2.0 * area.area_mm2 / max(area.wall_mm, 1e-9) / diameter_mm
    if wide <= 0:
        return rule("spread_rings_most")
    regions = max(area.regions, 1)
    # Separate areas are each as round as one of their share of area and boundary.
    roundness = min(4.0 * math.pi * area.area_mm2 * regions / max(area.wall_mm * area.wall_mm, 1e-9), 1.0)
    found = rule("spread_rings") * wide ** -rule("spread_rings_narrow")
    found *= math.exp(rule("spread_rings_branched") * (1.0 - roundness))
    found *= rule("spread_rings_island") if area.islands else 1.0
    return min(max(found, rule("spread_holes")), rule("spread_rings_most"))


def rings(area: Area, *, diameter_mm: float, step_mm: float) -> tuple[Ring, ...]:
    """The rings from the wall inwards.

    Args:
        area: what is cleared.
        diameter_mm: of the tool; > 0.
        step_mm: from ring to ring; 0 < step <= diameter.
    Returns: at least one ring; in an area no wider than the tool, one way along it.
    Source: Steiner's formula for inner parallel bodies.
    """
    shrinking = _shrinking(area, diameter_mm)
    if isinstance(shrinking, Ring):
        return (shrinking,)
    radius, found, in_mm = diameter_mm / 2.0, [shrinking.ring(0.0)], step_mm
    while shrinking.left(in_mm) > 0.0:
        found.append(shrinking.ring(in_mm))
        in_mm += step_mm
    if step_mm > radius:
        # A middle further from the innermost ring than a radius is cut by one more.
        last = in_mm - step_mm + radius
        if shrinking.left(last) > 0.0:
            found.append(shrinking.ring(last))
    return tuple(found)


def _shrinking(area: Area, diameter_mm: float) -> Shrinking | Ring:
    radius, whole = diameter_mm / 2.0, area.regions - area.islands
    inner_mm2 = area.area_mm2 - area.wall_mm * radius + math.pi * radius * radius * whole
    inner_mm = area.wall_mm - 2.0 * math.pi * radius * whole
    if inner_mm <= 0 or inner_mm2 <= 0:
        along_mm = max(inner_mm / 2.0, area.area_mm2 / diameter_mm - diameter_mm * area.regions, 0.0)
        return Ring(along_mm, float(area.regions))
    corners = area.corners or 4 * max(area.regions, 1)
    outer = max(corners - 4 * whole, 0) if area.outer is None else area.outer
    # All corners together turn the wall once round; outer ones that a wall cuts off turn by less than a right angle.
    turn = min(max((2.0 * math.pi * whole + RIGHT * outer) / max(corners, 1), 0.0), SHARPEST)
    back = max(corners * turn - 2.0 * math.pi * whole, 0.0)
    # No wall shrinks so fast that it is a point before the area is used up.
    shrink = min(2.0 * corners * math.tan(turn / 2.0) - back, inner_mm * inner_mm / (2.0 * inner_mm2))
    deep_mm = _even_mm(inner_mm2, inner_mm, shrink)
    known_mm = (area.narrowest_mm - diameter_mm) / 2.0 if area.narrowest_mm > 0 else 0.6 * deep_mm
    narrow_mm = min(max(known_mm, 0.0), deep_mm)
    pieces = float(corners + 2 * outer)
    wide_mm = _wide_mm(inner_mm2, inner_mm, shrink, narrow_mm, deep_mm)
    return Shrinking(inner_mm, shrink, narrow_mm, wide_mm, pieces)


def _even_mm(inner_mm2: float, inner_mm: float, shrink: float) -> float:
    """Half the width if all ways were alike: the smaller root of A0 = P0 r - q r2 / 2."""
    if abs(shrink) < 1e-9:
        return inner_mm2 / inner_mm
    under = max(inner_mm * inner_mm - 2.0 * shrink * inner_mm2, 0.0)
    return (inner_mm - math.sqrt(under)) / shrink


def _wide_mm(inner_mm2: float, inner_mm: float, shrink: float, narrow_mm: float, deep_mm: float) -> float:
    """Half the width of the widest way, so that rings infinitely close would cover the area."""
    end_mm = inner_mm / shrink if shrink > 1e-9 else math.inf

    def covered(wide: float) -> float:
        # Integral of (P0 - q d) times the share of ways still open, in two stretches: all open, then fewer and fewer.
        a, b = narrow_mm, min(wide, end_mm)
        whole = inner_mm * a - shrink * a * a / 2.0
        if wide - a < 1e-9:
            return whole

        def moment(d: float) -> float:
            return inner_mm * wide * d - (inner_mm + shrink * wide) * d * d / 2.0 + shrink * d**3 / 3.0

        return whole + (moment(b) - moment(a)) / (wide - a)

    low, high = narrow_mm, WIDEST * max(deep_mm, 1e-6)
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if covered(middle) < inner_mm2:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
