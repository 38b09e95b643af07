"""A flat part's outlines as corners: what is laid on a sheet, and what a torch goes round."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from shapely.geometry import Polygon

from steadyrest.shop.part import Edge, Flat, Vec2
from steadyrest.shop.same import Same
from steadyrest.stock.nesting.wanted import Ring

CHORD_MM = 0.1


@dataclass(frozen=True, slots=True)
class Body:
    """One of the parts of a drawing. number: as in Outline; ring: outside; holes: cut out of it."""

    number: int
    ring: Ring
    holes: tuple[Ring, ...]

    @property
    def shape(self) -> Polygon:
        """As a polygon, in the drawing's own place."""
        return _shape(Same(self))


@lru_cache(maxsize=128)  # asked again for each sheet, cutter and lot
def _shape(of: Same[Body]) -> Polygon:
    return Polygon(of.it.ring, of.it.holes)


@lru_cache(maxsize=32)
def bodies(flat: Flat) -> tuple[Body, ...]:
    """The parts of a drawing, each with its cut-outs, by number.

    Args:
        flat: outlines as read.
    Returns: one for each outside.
    """
    rings = [(outline, ring_of(outline.edges)) for outline in flat.outlines]
    found = [
        Body(outside.body, ring, tuple(hole for cut, hole in rings if cut.inside and cut.body == outside.body))
        for outside, ring in rings
        if not outside.inside
    ]
    return tuple(sorted(found, key=lambda body: body.number))


def ring_of(edges: Sequence[Edge], chord_mm: float = CHORD_MM) -> Ring:
    """A closed line as corners, arcs in chords that stay within chord_mm of them.

    Args:
        edges: end to end.
        chord_mm: > 0.
    Returns: corners in order, the first not repeated.
    """
    corners: list[Vec2] = []
    for edge in edges:
        corners.extend(points_of(edge, chord_mm)[:-1])
    return tuple(corners)


def points_of(edge: Edge, chord_mm: float) -> list[Vec2]:
    """An edge from start to end, an arc in chords."""
    if edge.centre is None:
        return [edge.start, edge.end]
    (cx, cy), (x, y) = edge.centre, edge.start
    radius = math.hypot(x - cx, y - cy)
    step = 2.0 * math.acos(max(1.0 - chord_mm / radius, 0.0)) if radius > chord_mm else math.pi / 2.0
    count = max(math.ceil(abs(edge.turn_rad) / min(step, math.pi / 4.0) - 1e-9), 1)
    begin = math.atan2(y - cy, x - cx)
    inner = [
        (
            cx + radius * math.cos(begin + edge.turn_rad * k / count),
            cy + radius * math.sin(begin + edge.turn_rad * k / count),
        )
        for k in range(1, count)
    ]
    return [edge.start, *inner, edge.end]
