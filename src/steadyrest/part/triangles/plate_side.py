"""The outlines of a part seen across its thickness: what a plate cutter would go round to make it.

The body is cut across at several heights; what is filled at any of them must stay, and what is open at all of them is
cut out. So a chamfered rim keeps its full width, and a counterbore opens as wide as the hole below it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from steadyrest.part.features.frame import square_to
from steadyrest.part.flat.curve import Curve
from steadyrest.part.flat.smooth import smoothed
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.part import Edge, Flat, Outline, Part, PlateSide
from steadyrest.shop.solid_grid import Frame

# Uneven, so that no floor or step lies at one of them.
HEIGHTS = (0.0213, 0.0917, 0.237, 0.413, 0.587, 0.763, 0.9083, 0.9787)
FULL = 0.55  # of outline times thickness that is metal; a part with less is no plate
OFF = 0.01  # by how much the two may contradict each other
CLOSE_MM, WELD_MM = 0.01, 1e-5
SEEN_CLOSE = 3.0  # the same in a scan, times its noise
LEAST_MM = 0.05  # of a scan
SLIVER = 0.002  # of the area; smaller pieces and openings are edges of the net

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]


def plate_side(
    part: Part, frame: Frame | None, corners: FloatArray, faces: npt.NDArray[np.integer]
) -> PlateSide | None:
    """A part's outlines across its thickness, where it is thin enough to be a plate.

    Args:
        part: with its size, volume and profile.
        frame: its own directions; None for a turned part, whose axis is the thickness.
        corners: (n, 3) corners of its surface, mm, in the file's frame.
        faces: (m, 3) triangles, counter-clockwise seen from outside.
    Returns: outlines with no features on them, or None: too thick, in several pieces, or hardly filled.
    """
    axes = frame if frame is not None else _across_axis(part)
    if axes is None or part.volume_mm3 is None or not len(faces):
        return None
    points, faces = _welded(corners @ np.array(axes).T, faces)
    thick = float(np.ptp(points[:, 2]))
    if thick <= 0:
        return None
    close = max(LEAST_MM, SEEN_CLOSE * part.noise_mm) if part.kind == "scan" else CLOSE_MM
    body = _seen(points, faces, close)
    if body is None:
        return None
    metal = part.volume_mm3 / (body.area * thick)
    return PlateSide(_flat(body, close), axes, thick) if FULL <= metal <= 1.0 + OFF else None


def _welded(points: FloatArray, faces: npt.NDArray[np.integer]) -> tuple[FloatArray, IntArray]:
    """Corners in the same place made one: the net of a solid is laid face by face."""
    _, kept, same = np.unique(
        np.round(points / WELD_MM).astype(np.int64), axis=0, return_index=True, return_inverse=True
    )
    return points[kept], same.reshape(-1)[faces.astype(np.int64)]


def _across_axis(part: Part) -> Frame | None:
    """A turned part's directions, its axis the third."""
    if part.profile is None:
        return None
    u, v = (tuple(float(x) for x in way) for way in square_to(part.profile.axis))
    return (u[0], u[1], u[2]), (v[0], v[1], v[2]), part.profile.axis


def _seen(points: FloatArray, faces: IntArray, close: float) -> Polygon | None:
    """All that is filled at any height, as one piece; None if it is none."""
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    filled = (_section(points, faces, low + share * (high - low)) for share in HEIGHTS)
    # Straight edges come in bits, a corner for each triangle of a wall that was cut: without them, a third of the work.
    plainer = [shapely.simplify(one, WELD_MM) for one in filled if not one.is_empty]
    whole = shapely.union_all(plainer, grid_size=1e-4)
    pieces = [one for one in getattr(whole, "geoms", [whole]) if isinstance(one, Polygon) and not one.is_empty]
    body = max(pieces, key=lambda one: one.area, default=None)
    if body is None or any(one.area > SLIVER * body.area for one in pieces if one is not body):
        return None
    plain = shapely.simplify(body, close / 4.0 if close > CLOSE_MM else 1e-3)
    if plain.is_empty:
        return None
    holes = [ring for ring in plain.interiors if Polygon(ring).area > (2.0 * close) ** 2]
    return Polygon(plain.exterior, holes)


def _section(points: FloatArray, faces: IntArray, height: float) -> BaseGeometry:
    """What is filled at one height."""
    rings = [Polygon(ring) for ring in _rings(points, faces, height) if len(ring) > 2]
    outer = [ring for ring in rings if ring.exterior.is_ccw]
    holes = [ring for ring in rings if not ring.exterior.is_ccw]
    if len(outer) == 1:
        whole = Polygon(outer[0].exterior, [ring.exterior for ring in holes])
        if whole.is_valid:
            return whole
    return shapely.difference(shapely.union_all(outer), shapely.union_all(holes))


def _rings(points: FloatArray, faces: IntArray, height: float) -> Iterator[FloatArray]:
    """The closed lines in which a plane meets a surface, material on their left; open ones are left out."""
    above = points[:, 2] > height
    met = faces[(above[faces].any(axis=1)) & ~above[faces].all(axis=1)]
    if not len(met):
        return
    up = above[met]
    # Of each triangle the corner that is alone on its side; the line runs through the two edges that meet there.
    alone = np.argmax(up == (up.sum(axis=1) == 1)[:, None], axis=1)
    rows = np.arange(len(met))
    tip, left, right = (met[rows, (alone + turn) % 3] for turn in (0, 1, 2))
    # With the tip above, material lies on the left on the way from the edge to the left corner to the other one.
    tip_up = up[rows, alone]
    starts = np.where(tip_up, left, right)
    ends = np.where(tip_up, right, left)
    follows = dict(zip(_edge(tip, starts, len(points)).tolist(), _edge(tip, ends, len(points)).tolist(), strict=True))
    place = _crossed(points, np.concatenate([tip, tip]), np.concatenate([starts, ends]), height)
    where = dict(zip(_edge(np.concatenate([tip, tip]), np.concatenate([starts, ends]), len(points)).tolist(),
                     place.tolist(), strict=True))  # fmt: skip
    while follows:
        first, at = follows.popitem()
        ring = [where[first]]
        while at != first and at in follows:
            ring.append(where[at])
            at = follows.pop(at)
        if at == first:
            yield np.array(ring)


def _edge(a: IntArray, b: IntArray, count: int) -> IntArray:
    """One number for an edge, whichever way it is gone."""
    return np.minimum(a, b) * count + np.maximum(a, b)


def _crossed(points: FloatArray, a: IntArray, b: IntArray, height: float) -> FloatArray:
    """(n, 2) where edges cross a height; always worked out from the lower numbered corner, so that neighbours agree."""
    one, other = points[np.minimum(a, b)], points[np.maximum(a, b)]
    share = (height - one[:, 2]) / (other[:, 2] - one[:, 2])
    return one[:, :2] + share[:, None] * (other[:, :2] - one[:, :2])


def _flat(body: Polygon, close: float) -> Flat:
    """A shape as outlines of lines and arcs."""
    outlines = [_outline(np.array(body.exterior.coords), False, close)]
    outlines.extend(_outline(np.array(ring.coords), True, close) for ring in body.interiors)
    length = math.fsum(ring.length for ring in (body.exterior, *body.interiors))
    return Flat(
        outlines=tuple(outlines),
        area=Figure(float(body.area), "mm2", (because("flat.seen_across"),)),
        cut_length=Figure(length, "mm", (because("flat.seen_across"),)),
    )


def _outline(corners: FloatArray, inside: bool, close: float) -> Outline:
    """One closed line, material on its left."""
    ring = Polygon(corners).exterior
    points = corners[:-1] if ring.is_ccw != inside else corners[:-1][::-1]
    ways = [(float(x), float(y)) for x, y in points]
    loop = tuple(Curve(a, b) for a, b in zip(ways, (*ways[1:], ways[0]), strict=True))
    curves, _ = smoothed(loop, close)
    return Outline(tuple(Edge(c.start, c.end, c.centre, c.turn_rad) for c in curves), inside, 0)
