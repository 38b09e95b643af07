"""A closed surface as cells: along each line of cells the triangles that it crosses are counted, odd is inside.

A scan with open places is followed along all three directions: a line that comes out of the body as often as it goes
in, and never out before in, has a vote on its cells; one that met an open place has none. What no line settles goes by
the cells about it.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from steadyrest.part.features.box import directions, reach_mm
from steadyrest.part.features.frame import cross
from steadyrest.part.patch import PatchGraph
from steadyrest.shop.part import Vec3
from steadyrest.shop.solid_grid import Frame, SolidGrid, grid_of

MOST_CELLS = 1_500_000
FEWEST_ACROSS = 6
LEAST_MM = 0.05
# Lines of cells run a hair beside the cells' middles, so that none meets an edge of a triangle laid along them.
HAIR = np.array([1.2345e-5, 2.7183e-5])
LINES_AT_ONCE = 500_000

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]


def frame_of(graph: PatchGraph) -> Frame:
    """A part's own directions, the longest first, right-handed.

    Args:
        graph: of a part that is not turned.
    Returns: three unit vectors in the file's frame.
    """
    axes = directions(graph)
    points = [patch.points for patch in graph.patches if patch.points is not None and len(patch.points)]
    if not points:
        return axes
    every = np.vstack(points)
    first, second, _ = sorted(axes, key=lambda axis: -round(reach_mm(graph, every, axis), 6))
    return first, second, cross(first, second)


def solid_grid(corners: FloatArray, faces: npt.NDArray[np.integer], *, frame: Frame, closed: bool = True) -> SolidGrid:
    """The cells of a body.

    Args:
        corners: (n, 3) corners in mm, in the file's frame.
        faces: (m, 3) triangles.
        frame: directions of the cells.
        closed: the surface has no open places.
    Returns: the grid, at most some one and a half million cells.
    """
    axes = np.array(frame, dtype=np.float64)
    points = corners @ axes.T
    low, high = _ends(points, closed)
    size = np.maximum(high - low, 1e-6)
    pitch_mm = pitch_of((float(size[0]), float(size[1]), float(size[2])))
    count = np.maximum(np.round(size / pitch_mm).astype(np.int64), 1)
    start = (low + high - count * pitch_mm) / 2.0
    cells = (points - start) / pitch_mm
    threes = np.ascontiguousarray(faces, dtype=np.int64)
    inside = _inside_along(cells, threes, count) if closed else _voted(cells, threes, count)
    origin = start @ axes
    return grid_of(
        inside, pitch_mm=pitch_mm, origin_mm=(float(origin[0]), float(origin[1]), float(origin[2])), frame=frame
    )


def pitch_of(size_mm: Vec3) -> float:
    """Edge of a cell for a body of this size: the thinnest side is a whole number of cells.

    Args:
        size_mm: the body's box.
    Returns: mm.
    """
    thin = min(size_mm)
    wanted = max((size_mm[0] * size_mm[1] * size_mm[2] / MOST_CELLS) ** (1.0 / 3.0), LEAST_MM)
    return thin / max(int(np.ceil(thin / wanted)), FEWEST_ACROSS) if thin >= wanted else wanted


def _ends(points: FloatArray, closed: bool) -> tuple[FloatArray, FloatArray]:
    """The box; a scan's without the thousandth that stands out most."""
    if closed:
        return points.min(axis=0), points.max(axis=0)
    return np.quantile(points, 0.0005, axis=0), np.quantile(points, 0.9995, axis=0)


def _inside_along(cells: FloatArray, faces: npt.NDArray[np.int64], count: npt.NDArray[np.int64]) -> BoolArray:
    """Which cells lie inside of a closed surface, counted along the last direction."""
    nx, ny, nz = (int(n) for n in count)
    found = np.zeros((nx, ny, nz + 1), dtype=np.int8)
    _crossings(cells, faces, found)
    found &= 1
    np.bitwise_xor.accumulate(found, axis=2, out=found)
    return np.ascontiguousarray(found[:, :, :nz]).view(np.bool_)


def _voted(cells: FloatArray, faces: npt.NDArray[np.int64], count: npt.NDArray[np.int64]) -> BoolArray:
    """Which cells lie inside of a surface with open places; its triangles all look out, or all in."""
    votes = np.zeros(tuple(int(n) for n in count), dtype=np.int8)
    a, b, c = (cells[faces[:, k]] - count / 2.0 for k in range(3))
    outward = np.int8(1 if float(np.einsum("nk,nk->", a, np.cross(b, c))) >= 0.0 else -1)
    for axis in range(3):
        order = [(axis + 1) % 3, (axis + 2) % 3, axis]
        shape = [int(n) for n in count[order]]
        found = np.zeros((shape[0], shape[1], shape[2] + 1), dtype=np.int8)
        _crossings(np.ascontiguousarray(cells[:, order]), faces, found)
        np.cumsum(found, axis=2, dtype=np.int8, out=found)
        found *= outward
        # A line that meets nothing may have gone in and out through open places: half a vote.
        weight = ((found[:, :, -1] == 0) & (found.min(axis=2) == 0)) * (1 + found.any(axis=2))
        vote = np.where(found[:, :, :-1] > 0, np.int8(1), np.int8(-1)) * weight[:, :, None].astype(np.int8)
        votes += vote.transpose(np.argsort(order))
    return _settled(np.sign(votes))


def _settled(votes: npt.NDArray[np.int8]) -> BoolArray:
    """What is in (1) and out (-1), the undecided (0) as most of the cells about them, from the decided ones inwards."""
    while (open_ := votes == 0).any():
        about = np.sign(ndimage.uniform_filter(votes.astype(np.float32), size=3, mode="constant").round(6))
        news = np.where(open_, about, 0).astype(np.int8)
        if not news.any():
            break
        votes = votes + news
    return votes > 0


def _crossings(points: FloatArray, faces: npt.NDArray[np.int64], found: npt.NDArray[np.int8]) -> None:
    """Count each crossing of a line of cells and a triangle at the first cell whose middle lies beyond: 1 where the
    triangle looks against the line, -1 where along it. The layer after the last takes what lies beyond all cells."""
    corners, most = points[faces], np.array(found.shape[:2]) - 1
    a, b, c = (corners[:, k, :2] for k in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    low, high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
    first = np.maximum(np.ceil(low - 0.5 - HAIR).astype(np.int64), 0)
    last = np.minimum(np.floor(high - 0.5 - HAIR).astype(np.int64), most)
    wide = np.maximum(last - first + 1, 0)
    lines = np.where(area == 0.0, 0, wide.prod(axis=1))
    met = np.flatnonzero(lines)
    # A stretch of triangles at a time, so that a mesh of millions does not fill the memory.
    stretch = np.cumsum(lines[met]) // LINES_AT_ONCE
    for some in np.split(met, np.flatnonzero(np.diff(stretch)) + 1):
        _count(corners[some], area[some], first[some], wide[some], found)


def _count(
    corners: FloatArray,
    area: FloatArray,
    first: npt.NDArray[np.int64],
    wide: npt.NDArray[np.int64],
    found: npt.NDArray[np.int8],
) -> None:
    """The same for triangles of which each has so many lines in its box, from a first one on."""
    count = wide.prod(axis=1)
    of = np.repeat(np.arange(len(count)), count)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    row, column = np.divmod(nth, wide[of, 1])
    i, j = first[of, 0] + row, first[of, 1] + column
    x, y = i + 0.5 + HAIR[0], j + 0.5 + HAIR[1]
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (corners[of, k].T for k in range(3))
    u = ((bx - x) * (cy - y) - (cx - x) * (by - y)) / area[of]
    v = ((cx - x) * (ay - y) - (ax - x) * (cy - y)) / area[of]
    w = 1.0 - u - v
    k = np.clip(np.ceil(u * az + v * bz + w * cz - 0.5), 0.0, found.shape[2] - 1.0).astype(np.int64)
    met = (u >= 0.0) & (v >= 0.0) & (w >= 0.0)
    np.add.at(found, (i[met], j[met], k[met]), np.where(area[of[met]] > 0.0, -1, 1).astype(np.int8))
