"""A closed surface as cells: along each line of cells the triangles that it crosses are counted, odd is inside.

A scan with open places is counted along all three directions, and two of three decide.
"""

from __future__ import annotations

import numba as nb
import numpy as np
import numpy.typing as npt

from steadyrest.part.features.box import directions, reach_mm
from steadyrest.part.features.frame import cross
from steadyrest.part.patch import PatchGraph
from steadyrest.shop.part import Vec3
from steadyrest.shop.solid_grid import Frame, SolidGrid, grid_of

MOST_CELLS = 1_500_000
FEWEST_ACROSS = 6
LEAST_MM = 0.05
# Lines of cells run a hair beside the cells' middles, so that none meets an edge of a triangle laid along them.
HAIR = (1.2345e-5, 2.7183e-5)

FloatArray = npt.NDArray[np.float64]


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
    inside = _inside_along(cells, threes, count, 2)
    if not closed:
        votes = inside.astype(np.uint8)
        for axis in (0, 1):
            votes += _inside_along(cells, threes, count, axis)
        inside = votes >= 2
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


def _inside_along(
    cells: FloatArray, faces: npt.NDArray[np.int64], count: npt.NDArray[np.int64], axis: int
) -> npt.NDArray[np.bool_]:
    """Which cells lie inside, counted along one direction; in the grid's own order."""
    order = [(axis + 1) % 3, (axis + 2) % 3, axis]
    turned = np.ascontiguousarray(cells[:, order])
    shape = count[order]
    found = np.zeros((int(shape[0]), int(shape[1]), int(shape[2])), dtype=np.uint8)
    _crossings(turned, faces, found)
    np.bitwise_xor.accumulate(found, axis=2, out=found)
    back = np.argsort(order)
    return np.ascontiguousarray(found.transpose(*back)).view(np.bool_)


@nb.njit(cache=True, nogil=True)
def _crossings(points: FloatArray, faces: npt.NDArray[np.int64], found: npt.NDArray[np.uint8]) -> None:
    """Turn over, on each line of cells, the first cell whose middle lies beyond a triangle that the line crosses."""
    nx, ny, nz = found.shape
    dx, dy = HAIR
    for f in range(len(faces)):
        ax, ay, az = points[faces[f, 0], 0], points[faces[f, 0], 1], points[faces[f, 0], 2]
        bx, by, bz = points[faces[f, 1], 0], points[faces[f, 1], 1], points[faces[f, 1], 2]
        cx, cy, cz = points[faces[f, 2], 0], points[faces[f, 2], 1], points[faces[f, 2], 2]
        area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
        if area == 0.0:
            continue
        x0 = max(int(np.ceil(min(ax, bx, cx) - 0.5 - dx)), 0)
        x1 = min(int(np.floor(max(ax, bx, cx) - 0.5 - dx)), nx - 1)
        y0 = max(int(np.ceil(min(ay, by, cy) - 0.5 - dy)), 0)
        y1 = min(int(np.floor(max(ay, by, cy) - 0.5 - dy)), ny - 1)
        for i in range(x0, x1 + 1):
            x = i + 0.5 + dx
            for j in range(y0, y1 + 1):
                y = j + 0.5 + dy
                u = ((bx - x) * (cy - y) - (cx - x) * (by - y)) / area
                v = ((cx - x) * (ay - y) - (ax - x) * (cy - y)) / area
                w = 1.0 - u - v
                if u < 0.0 or v < 0.0 or w < 0.0:
                    continue
                k = int(np.ceil(u * az + v * bz + w * cz - 0.5))
                if k < nz:
                    found[i, j, max(k, 0)] ^= np.uint8(1)
