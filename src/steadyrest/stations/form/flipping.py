"""Better triangles for the same corners: where two triangles share a side that looks too long, they share the other."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]

PASSES = 3
BENT = 0.5  # cosine: two triangles that lean further from each other keep their side
FEWEST = 4  # triangles around a corner: fewer would fold


def flipped(points: FloatArray, faces: IndexArray) -> IndexArray:
    """The film's triangles with sides exchanged wherever the angles that look at them make more than a half turn.

    Args:
        points: (n, 3). faces: (m, 3), each turned the same way.
    Returns: (m, 3), over the same corners and border.
    """
    faces = faces.copy()
    for _ in range(PASSES):
        a, b = faces.ravel(), faces[:, [1, 2, 0]].ravel()
        key = np.minimum(a, b) * len(points) + np.maximum(a, b)
        order = np.argsort(key, kind="stable")
        key = key[order]
        twins = np.flatnonzero(key[1:] == key[:-1])
        around = np.bincount(faces.ravel(), minlength=len(points))
        if not _flip(points, faces, order[twins], order[twins + 1], key, around):
            break
    return faces


@njit(cache=True, nogil=True)
def _flip(
    points: FloatArray, faces: IndexArray, one: IndexArray, other: IndexArray, keys: IndexArray, around: IndexArray
) -> int:
    """Flip what should be; each triangle once at most. one, other: the same side as corner 3 f + k of either face."""
    used = np.zeros(len(faces), dtype=np.bool_)
    n, count = len(points), 0
    for e in range(len(one)):
        f, g = int(one[e]) // 3, int(other[e]) // 3
        if used[f] or used[g]:
            continue
        i, j = int(one[e]) % 3, int(other[e]) % 3
        p, q, r = int(faces[f, i]), int(faces[f, (i + 1) % 3]), int(faces[f, (i + 2) % 3])
        s = int(faces[g, (j + 2) % 3])
        if faces[g, j] != q or faces[g, (j + 1) % 3] != p or around[p] <= FEWEST or around[q] <= FEWEST or r == s:
            continue
        if _cot(points[r], points[p], points[q]) + _cot(points[s], points[p], points[q]) >= -1e-6:
            continue
        key = min(r, s) * n + max(r, s)
        at = np.searchsorted(keys, key)
        if at < len(keys) and keys[at] == key:
            continue
        if _lean(points, p, q, r, q, p, s) < BENT or _lean(points, p, s, r, s, q, r) < BENT:
            continue
        faces[f, 0], faces[f, 1], faces[f, 2] = p, s, r
        faces[g, 0], faces[g, 1], faces[g, 2] = s, q, r
        around[p] -= 1
        around[q] -= 1
        around[r] += 1
        around[s] += 1
        used[f] = used[g] = True
        count += 1
    return count


@njit(cache=True, nogil=True)
def _cot(a: FloatArray, b: FloatArray, c: FloatArray) -> float:
    """The cotangent of the angle at a."""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    return (ux * vx + uy * vy + uz * vz) / max(np.sqrt(x * x + y * y + z * z), 1e-300)


@njit(cache=True, nogil=True)
def _lean(points: FloatArray, a: int, b: int, c: int, d: int, e: int, f: int) -> float:
    """The cosine between the normals of triangles a b c and d e f."""
    u, v = points[b] - points[a], points[c] - points[a]
    w, t = points[e] - points[d], points[f] - points[d]
    x, y, z = u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]
    k, h, m = w[1] * t[2] - w[2] * t[1], w[2] * t[0] - w[0] * t[2], w[0] * t[1] - w[1] * t[0]
    size = np.sqrt((x * x + y * y + z * z) * (k * k + h * h + m * m))
    return (x * k + y * h + z * m) / max(size, 1e-300)
