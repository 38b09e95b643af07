"""An outline as convex pieces: triangles of its own corners, merged as long as what comes out stays convex."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import constrained_delaunay_triangles, is_valid_reason
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

Floats = NDArray[np.float64]
Corner = tuple[float, float]
STRAIGHT = 1e-9
SMALLEST_MM2 = 1e-6


def polygon(outline: Sequence[Corner], holes: Iterable[Sequence[Corner]] = ()) -> Polygon:
    """An outline with holes as a polygon.

    Args:
        outline: its corners. holes: the corners of each.
    Returns: the polygon.
    """
    return Polygon(outline, [tuple(ring) for ring in holes])


def polygons(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """The polygons of any shape, those without area left out.

    Args:
        shape: whatever an overlay gave.
    Returns: its polygons.
    """
    if isinstance(shape, Polygon):
        return (shape,) if shape.area > 0 else ()
    if isinstance(shape, BaseMultipartGeometry):
        return tuple(one for each in shape.geoms for one in polygons(each))
    return ()


def wrong_with(corners: Sequence[Corner], holes: Iterable[Sequence[Corner]] = ()) -> str | None:
    """What keeps corners from being an outline.

    Args:
        corners: in order. holes: the corners of each.
    Returns: what is wrong, in words, with the place; None: nothing.
    """
    shape = polygon(corners, holes)
    if not shape.is_valid:
        why, _, place = is_valid_reason(shape).partition("[")
        near = f" near {', '.join(place.rstrip(']').split())}" if place else ""
        return f"the outline crosses or touches itself{near}." if "Hole" not in why else f"a hole lies outside{near}."
    return "the outline bounds no area." if shape.area <= SMALLEST_MM2 else None


def convex_pieces(shape: Polygon) -> tuple[Floats, ...]:
    """Convex pieces that together are the polygon.

    Args:
        shape: simple, with or without holes.
    Returns: the corners of each piece, (n, 2), counter-clockwise.
    """
    hull = shape.convex_hull
    if not shape.interiors and isinstance(hull, Polygon) and hull.area - shape.area <= STRAIGHT * hull.area:
        return (_array(_ring(shape)),)
    pieces = [_ring(triangle) for triangle in polygons(constrained_delaunay_triangles(shape))]
    return tuple(_array(piece) for piece in _merged(pieces))


def _ring(shape: Polygon) -> list[Corner]:
    corners = [(float(x), float(y)) for x, y in list(shape.exterior.coords)[:-1]]
    return corners if shape.exterior.is_ccw else corners[::-1]


def _array(corners: Sequence[Corner]) -> Floats:
    """Corners, those on a straight line left out."""
    kept = list(corners)
    k = 0
    while len(kept) > 3 and k < len(kept):
        if abs(_bend(kept[k - 1], kept[k], kept[(k + 1) % len(kept)])) <= STRAIGHT:
            kept.pop(k)
        else:
            k += 1
    return np.array(kept, np.float64)


def _bend(a: Corner, b: Corner, c: Corner) -> float:
    """Sine of the turn to the left at b."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    return (ux * vy - uy * vx) / max(math.hypot(ux, uy) * math.hypot(vx, vy), 1e-300)


def _merged(pieces: list[list[Corner]]) -> list[list[Corner]]:
    """Longest shared edges first: few and round pieces."""
    alive = dict(enumerate(pieces))
    owner = {(a, b): k for k, piece in alive.items() for a, b in zip(piece, piece[1:] + piece[:1], strict=True)}
    shared = [edge for edge in owner if edge < edge[::-1] and edge[::-1] in owner]
    shared.sort(key=lambda edge: (-math.dist(*edge), edge))
    for a, b in shared:
        one, other = owner[a, b], owner[b, a]
        if one == other:
            continue
        first, second = alive[one], alive[other]
        i, j = first.index(b), second.index(a)
        # From b round the first back to a, then on round the second to b.
        joined = first[i:] + first[:i] + (second[j:] + second[:j])[1:-1]
        at = len(first) - 1
        corners = ((joined[at - 1], joined[at], joined[(at + 1) % len(joined)]), (joined[-1], joined[0], joined[1]))
        if any(_bend(*corner) < -STRAIGHT for corner in corners):
            continue
        alive[one] = joined
        del alive[other]
        for edge in zip(joined, joined[1:] + joined[:1], strict=True):
            owner[edge] = one
    return list(alive.values())
