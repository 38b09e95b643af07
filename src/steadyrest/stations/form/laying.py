"""The sheet as triangles: laid flat over a rim at first, and split finer where the film gets small."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely
from scipy.spatial import Delaunay

from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

CORNER = math.radians(25)  # a rim turning more than this keeps its corner
OFF_RIM = 0.6  # of a triangle's side: how near to the rim a point inside may be
TRIES = 4


def laid_flat(rim: shapely.Polygon, count: int, where: str) -> tuple[FloatArray, IndexArray, BoolArray]:
    """A flat sheet inside a rim, of about so many even triangles.

    Args:
        rim: in the plane z = 0; holes are islands, to which the sheet is fixed too.
        count: of triangles.
        where: the mould, for messages.
    Returns: (n, 3) points, (m, 3) triangles counter-clockwise from above, (n,) which points lie on the rim.
    Raises: BadInput: the rim is too crooked for that.
    """
    side = math.sqrt(rim.area / count / (math.sqrt(3) / 4))
    for _ in range(TRIES):
        loops = [_spaced(np.asarray(ring.coords)[:-1], side) for ring in (rim.exterior, *rim.interiors)]
        edges = np.concatenate([_ring(len(loop)) + sum(len(one) for one in loops[:k]) for k, loop in enumerate(loops)])
        border = np.concatenate(loops)
        points = np.concatenate((border, _inside(rim, side)))
        faces = Delaunay(points).simplices.astype(np.int64)
        middle = points[faces].mean(axis=1)
        shadow = _shadow(points, faces)
        faces = np.where(shadow[:, None] < 0, faces[:, [0, 2, 1]], faces)
        sheet = shapely.Polygon(loops[0], loops[1:])
        faces = faces[shapely.contains_xy(sheet, *middle.T) & (np.abs(shadow) > 1e-9 * side**2)]
        if sheet.is_valid and _has(faces, edges):
            flat = np.column_stack((points, np.zeros(len(points))))
            return flat, faces, np.arange(len(points)) < len(border)
        side *= 0.6
    what = "its rim is too crooked or too narrow to lay a sheet over it."
    raise BadInput(where=where, what=what, do="Check the rim in z = 0.")


def _spaced(loop: FloatArray, side: float) -> FloatArray:
    """Points on a closed line: its corners, and even steps of about one side between them."""
    back, on = loop - np.roll(loop, 1, axis=0), np.roll(loop, -1, axis=0) - loop
    turn = np.abs(np.angle(np.exp(1j * (np.arctan2(on[:, 1], on[:, 0]) - np.arctan2(back[:, 1], back[:, 0])))))
    corners = np.flatnonzero(turn > CORNER)
    if not len(corners):
        corners = np.zeros(1, dtype=np.int64)
    turned = np.roll(loop, -corners[0], axis=0)
    stops = np.concatenate((corners - corners[0], [len(loop)]))
    closed = np.concatenate((turned, turned[:1]))
    found: list[FloatArray] = []
    for begin, end in pairwise(stops):
        line = closed[begin : end + 1]
        at = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
        steps = max(1 if len(corners) > 1 else 6, round(at[-1] / side))
        wanted = np.linspace(0, at[-1], steps + 1)[:-1]
        found.append(np.column_stack([np.interp(wanted, at, line[:, d]) for d in (0, 1)]))
    return np.concatenate(found)


def _ring(count: int) -> IndexArray:
    return np.column_stack((np.arange(count), (np.arange(count) + 1) % count))


def _inside(rim: shapely.Polygon, side: float) -> FloatArray:
    """A lattice of even triangles inside the rim and off it."""
    x0, y0, x1, y1 = rim.bounds
    rise = side * math.sqrt(3) / 2
    rows = np.arange(math.ceil((y1 - y0) / rise) + 1)
    columns = np.arange(math.ceil((x1 - x0) / side) + 2)
    x = (x0 + side * (columns[None, :] - 0.5 * (rows % 2)[:, None])).ravel()
    y = np.repeat(y0 + 0.5 * rise + rise * rows, len(columns))
    within = rim.buffer(-OFF_RIM * side)
    shapely.prepare(within)
    keep = shapely.contains_xy(within, x, y)
    return np.column_stack((x[keep], y[keep])).astype(np.float64)


def _shadow(points: FloatArray, faces: IndexArray) -> FloatArray:
    u, v = points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]]
    return 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])


def _has(faces: IndexArray, edges: IndexArray) -> bool:
    """Whether each of the rim's edges is one triangle's side."""
    sides = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    most = int(faces.max()) + 1 if len(faces) else 1
    names, counts = np.unique(sides[:, 0] * most + sides[:, 1], return_counts=True)
    wanted = np.sort(edges, axis=1)
    found = np.isin(wanted[:, 0] * most + wanted[:, 1], names[counts == 1])
    return bool(found.all()) and int((counts == 1).sum()) == len(edges)


def split_in_four(points: FloatArray, faces: IndexArray) -> tuple[FloatArray, IndexArray, IndexArray, BoolArray]:
    """Each triangle split into four at the middles of its sides.

    Args:
        points: (n, 3). faces: (m, 3).
    Returns: (n + e, 3) points, the middles last; (4 m, 3) faces; (e, 2) the ends of each middle's edge; (e,) whether
        that edge is the film's border.
    """
    sides = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    names, back, counts = np.unique(sides[:, 0] * len(points) + sides[:, 1], return_inverse=True, return_counts=True)
    ends = np.column_stack((names // len(points), names % len(points)))
    a, b, c = faces.T
    ab, bc, ca = (back.reshape(-1, 3) + len(points)).T
    four = np.concatenate([np.column_stack(three) for three in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])
    return np.concatenate((points, points[ends].mean(axis=1))), four, ends, counts == 1
