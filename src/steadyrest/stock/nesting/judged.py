"""What is wrong with a nest, judged by exact polygons: shares no code with the search but the outline itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely import STRtree
from shapely.geometry import LinearRing, Polygon
from shapely.geometry.base import BaseGeometry

from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.wanted import Left, NestWanted, Placed, Ring

ALLOWED_MM = 0.01


@dataclass(frozen=True, slots=True)
class Fault:
    """Something too near. parts: which of the placed ones; lacks_mm: how much."""

    parts: tuple[int, ...]
    what: str
    lacks_mm: float


def outline_on_plate(one: Placed) -> Polygon:
    """A placed part as a polygon on the plate.

    Args:
        one: the part and its place.
    Returns: its polygon.
    """
    return polygon(one.ring_mm(one.part.outline_mm), [one.ring_mm(ring) for ring in one.part.holes_mm])


def closest(placed: Sequence[Placed]) -> float | None:
    """The least distance from part to part.

    Args:
        placed: parts on one plate.
    Returns: mm; None with fewer than two.
    """
    shapes = [outline_on_plate(one) for one in placed]
    if len(shapes) < 2:
        return None
    tree = STRtree(shapes)
    _, distance = tree.query_nearest(shapes, exclusive=True, return_distance=True, all_matches=False)
    return float(distance.min())


def faults(wanted: NestWanted, placed: Sequence[Placed]) -> tuple[Fault, ...]:
    """Everything that stands too near, by more than what is allowed to rounding.

    Args:
        wanted: the plate and what is to be kept clear. placed: where the parts are.
    Returns: what is wrong; empty: nothing.
    """
    shapes = [outline_on_plate(one) for one in placed]
    plate = polygon(wanted.plate_mm)
    found = list[Fault]()

    def note(parts: tuple[int, ...], what: str, clear: float, distance: float) -> None:
        if clear - distance > ALLOWED_MM:
            found.append(Fault(parts, what, clear - distance))

    for k, shape in enumerate(shapes):
        out = depth(shape.difference(plate))
        note((k,), "margin", wanted.margin_mm, -out or shape.distance(plate.exterior))
        for ring in wanted.holes_mm:
            hole = polygon(ring)
            note((k,), "hole", wanted.hole_clear_mm, -depth(shape.intersection(hole)) or shape.distance(hole))
        for ring in wanted.clamps_mm:
            clamp = polygon(ring)
            note((k,), "clamp", wanted.clamp_clear_mm, -depth(shape.intersection(clamp)) or shape.distance(clamp))
    tree = STRtree(shapes)
    for k, shape in enumerate(shapes):
        for other in tree.query(shape, predicate="dwithin", distance=wanted.gap_mm + ALLOWED_MM).tolist():
            if other > k:
                common = depth(shape.intersection(shapes[other]))
                note((k, other), "gap", wanted.gap_mm, -common or shape.distance(shapes[other]))
    return tuple(found)


def depth(common: BaseGeometry) -> float:
    """How thick what two shapes have in common is on the whole: its area over half its edge.

    Args:
        common: any overlay.
    Returns: mm; 0 without area.
    """
    found = polygons(common)
    return sum(one.area for one in found) * 2 / sum(one.length for one in found) if found else 0.0


def left_beyond(wanted: NestWanted, beyond_mm: float, axis: int, *, upward: bool) -> Left:
    """What stays in one piece beyond a straight cut that keeps the gap from all parts.

    Args:
        wanted: the plate. beyond_mm: how far the parts reach. axis: 0 across x, 1 across y. upward: to which end.
    Returns: the largest piece.
    """
    plate = polygon(wanted.plate_mm, ())
    for ring in wanted.holes_mm:
        plate = plate.difference(polygon(ring))
    cut = beyond_mm + (wanted.gap_mm if upward else -wanted.gap_mm)
    x0, y0, x1, y1 = plate.bounds
    sides = [x0 - 1, y0 - 1, x1 + 1, y1 + 1]
    sides[axis if upward else axis + 2] = cut
    low_x, low_y, high_x, high_y = sides
    if low_x >= high_x or low_y >= high_y:
        return Left(0.0, "xy"[axis], cut, upward)
    half = polygon(((low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)))
    pieces = polygons(plate.intersection(half))
    if not pieces:
        return Left(0.0, "xy"[axis], cut, upward)
    piece = max(pieces, key=lambda one: one.area)
    inner = tuple(ring_of(hole) for hole in piece.interiors)
    return Left(piece.area, "xy"[axis], cut, upward, ring_of(piece.exterior), inner)


def ring_of(line: LinearRing) -> Ring:
    """The corners of a closed line, the first not given again at the end.

    Args:
        line: of a polygon.
    Returns: its corners.
    """
    return tuple((float(x), float(y)) for x, y in list(line.coords)[:-1])
