"""Where a moving point meets the mould: the mould's triangles sorted into boxes, and the first of them on the way."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

HALF_DIAGONAL = 0.8661  # of a cube of side 1
BOXES = 60  # along the longest side
EDGE = 1e-9  # a triangle reaches so much past its edges, so that nothing slips between two
NEAR = 1e-9  # mm: how much a box reaches past its sides


@dataclass(frozen=True, slots=True)
class Boxes:
    """The mould in boxes.

    triangles: (m, 3, 3). planes: (m, 4) unit normal and distance of each. low, size: of the grid. shape: boxes along
    each axis. first: (boxes + 1,) where each box's list begins in `inside`, the triangles that reach into it.
    """

    triangles: FloatArray
    planes: FloatArray
    low: FloatArray
    size: float
    shape: IndexArray
    first: IndexArray
    inside: IndexArray


def boxed(triangles: FloatArray) -> Boxes:
    """The mould's triangles, each in every box that it reaches into.

    Args:
        triangles: (m, 3, 3) corners, mm.
    Returns: the boxes.
    """
    low, high = triangles.min(axis=(0, 1)), triangles.max(axis=(0, 1))
    size = float((high - low).max()) / BOXES
    low = low - 0.5 * size
    shape = np.floor((high - low) / size).astype(np.int64) + 1
    counts = _counted(triangles, low, size, shape)
    first = np.concatenate((np.zeros(1, dtype=np.int64), np.cumsum(counts)))
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    planes = np.column_stack((normal, np.einsum("ij,ij->i", normal, triangles[:, 0])))
    return Boxes(triangles, planes, low, size, shape, first, _listed(triangles, low, size, shape, first))


@njit(cache=True, nogil=True)
def _reaches(triangle: FloatArray, normal: FloatArray, low: FloatArray, size: float, x: int, y: int, z: int) -> bool:
    """Whether a triangle's plane comes near a box; its extent was seen to before."""
    off = (
        (low[0] + size * (x + 0.5) - triangle[0, 0]) * normal[0]
        + (low[1] + size * (y + 0.5) - triangle[0, 1]) * normal[1]
        + (low[2] + size * (z + 0.5) - triangle[0, 2]) * normal[2]
    )
    return abs(off) <= HALF_DIAGONAL * size + NEAR


@njit(cache=True, nogil=True)
def _normal(triangle: FloatArray) -> FloatArray:
    u, v = triangle[1] - triangle[0], triangle[2] - triangle[0]
    n = np.array([u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]])
    return n / max(np.sqrt(np.sum(n * n)), 1e-300)


@njit(cache=True, nogil=True)
def _span(triangle: FloatArray, low: FloatArray, size: float, shape: IndexArray) -> IndexArray:
    found = np.empty((3, 2), dtype=np.int64)
    for d in range(3):
        a = min(triangle[0, d], triangle[1, d], triangle[2, d])
        b = max(triangle[0, d], triangle[1, d], triangle[2, d])
        found[d, 0] = max(0, int(np.floor((a - low[d]) / size - 1e-6)))
        found[d, 1] = min(shape[d] - 1, int(np.floor((b - low[d]) / size + 1e-6)))
    return found


@njit(cache=True, nogil=True)
def _counted(triangles: FloatArray, low: FloatArray, size: float, shape: IndexArray) -> IndexArray:
    counts = np.zeros(shape[0] * shape[1] * shape[2], dtype=np.int64)
    for k in range(len(triangles)):
        normal, s = _normal(triangles[k]), _span(triangles[k], low, size, shape)
        for x in range(s[0, 0], s[0, 1] + 1):
            for y in range(s[1, 0], s[1, 1] + 1):
                for z in range(s[2, 0], s[2, 1] + 1):
                    if _reaches(triangles[k], normal, low, size, x, y, z):
                        counts[(x * shape[1] + y) * shape[2] + z] += 1
    return counts


@njit(cache=True, nogil=True)
def _listed(triangles: FloatArray, low: FloatArray, size: float, shape: IndexArray, first: IndexArray) -> IndexArray:
    filled = first[:-1].copy()
    inside = np.empty(first[-1], dtype=np.int64)
    for k in range(len(triangles)):
        normal, s = _normal(triangles[k]), _span(triangles[k], low, size, shape)
        for x in range(s[0, 0], s[0, 1] + 1):
            for y in range(s[1, 0], s[1, 1] + 1):
                for z in range(s[2, 0], s[2, 1] + 1):
                    if _reaches(triangles[k], normal, low, size, x, y, z):
                        box = (x * shape[1] + y) * shape[2] + z
                        inside[filled[box]] = k
                        filled[box] += 1
    return inside


@njit(cache=True, nogil=True)
def _met(a: FloatArray, b: FloatArray, t: FloatArray) -> float:
    """The share of the way from a to b at which triangle t is met; above 1: it is not."""
    d0, d1, d2 = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    u0, u1, u2 = t[1, 0] - t[0, 0], t[1, 1] - t[0, 1], t[1, 2] - t[0, 2]
    v0, v1, v2 = t[2, 0] - t[0, 0], t[2, 1] - t[0, 1], t[2, 2] - t[0, 2]
    p0, p1, p2 = d1 * v2 - d2 * v1, d2 * v0 - d0 * v2, d0 * v1 - d1 * v0
    det = u0 * p0 + u1 * p1 + u2 * p2
    if det == 0.0:
        return 2.0
    s0, s1, s2 = a[0] - t[0, 0], a[1] - t[0, 1], a[2] - t[0, 2]
    u = (s0 * p0 + s1 * p1 + s2 * p2) / det
    if u < -EDGE or u > 1 + EDGE:
        return 2.0
    q0, q1, q2 = s1 * u2 - s2 * u1, s2 * u0 - s0 * u2, s0 * u1 - s1 * u0
    v = (d0 * q0 + d1 * q1 + d2 * q2) / det
    if v < -EDGE or u + v > 1 + EDGE:
        return 2.0
    w = (v0 * q0 + v1 * q1 + v2 * q2) / det
    return w if 0.0 <= w <= 1.0 else 2.0


@njit(cache=True, nogil=True)
def _first_met(
    begin: FloatArray,
    end: FloatArray,
    skip: BoolArray,
    triangles: FloatArray,
    planes: FloatArray,
    low: FloatArray,
    size: float,
    shape: IndexArray,
    first: IndexArray,
    inside: IndexArray,
) -> FloatArray:
    """As meets(), on plain arrays."""
    found = np.full(len(begin), 2.0)
    cell = np.empty((3, 2), dtype=np.int64)
    for i in range(len(begin)):
        if skip[i]:
            continue
        for k in range(3):
            a, b = min(begin[i, k], end[i, k]), max(begin[i, k], end[i, k])
            cell[k, 0] = max(0, int(np.floor((a - low[k]) / size - 1e-6)))
            cell[k, 1] = min(shape[k] - 1, int(np.floor((b - low[k]) / size + 1e-6)))
        for x in range(cell[0, 0], cell[0, 1] + 1):
            for y in range(cell[1, 0], cell[1, 1] + 1):
                for z in range(cell[2, 0], cell[2, 1] + 1):
                    box = (x * shape[1] + y) * shape[2] + z
                    for at in range(first[box], first[box + 1]):
                        k = inside[at]
                        before = begin[i, 0] * planes[k, 0] + begin[i, 1] * planes[k, 1] + begin[i, 2] * planes[k, 2]
                        after = end[i, 0] * planes[k, 0] + end[i, 1] * planes[k, 1] + end[i, 2] * planes[k, 2]
                        if min(before, after) <= planes[k, 3] <= max(before, after):
                            found[i] = min(found[i], _met(begin[i], end[i], triangles[k]))
    return found


def meets(boxes: Boxes, begin: FloatArray, end: FloatArray, skip: BoolArray) -> FloatArray:
    """For each point, the share of its way at which it first meets the mould.

    Args:
        boxes: the mould. begin, end: (n, 3). skip: (n,) not asked about.
    Returns: (n,) from 0 to 1; 2 where it meets nothing.
    """
    b = boxes
    return _first_met(begin, end, skip, b.triangles, b.planes, b.low, b.size, b.shape, b.first, b.inside)
