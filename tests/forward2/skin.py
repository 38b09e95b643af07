"""Skin: the triangles of a part's surface, near even, each corner on the surface and knowing which face it lies on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit

from .bodies import Part, distance

BLOCK = 8


@dataclass(slots=True)
class Skin:
    """Corners (n, 3), triangles (m, 3), outward normals (n, 3), owner step (n,) and face of it (n,)."""

    points: np.ndarray
    triangles: np.ndarray
    normals: np.ndarray
    owner: np.ndarray
    face: np.ndarray


@njit(cache=True, nogil=True)
def _fill(kinds, cuts, sizes, rows, origins, low, h, shape, k):
    grid = np.full(shape, np.float32(1e9))
    half = 0.5 * BLOCK * h * 1.7320508 + 2 * h
    for bi in range(0, shape[0], BLOCK):
        for bj in range(0, shape[1], BLOCK):
            for bk in range(0, shape[2], BLOCK):
                x, y, z = (low[0] + (bi + 4) * h, low[1] + (bj + 4) * h, low[2] + (bk + 4) * h)
                f, _, _ = distance(kinds, cuts, sizes, rows, origins, x, y, z, k)
                near = abs(f) < half
                for i in range(bi, min(bi + BLOCK, shape[0])):
                    for j in range(bj, min(bj + BLOCK, shape[1])):
                        for o in range(bk, min(bk + BLOCK, shape[2])):
                            if near:
                                grid[i, j, o] = distance(
                                    kinds, cuts, sizes, rows, origins, low[0] + i * h, low[1] + j * h, low[2] + o * h, k
                                )[0]
                            else:
                                grid[i, j, o] = f
    return grid


@njit(cache=True, nogil=True)
def _nets(grid, low, h):
    nx, ny, nz = grid.shape
    index = np.full((nx, ny, nz), -1, np.int32)
    count = 0
    for i in range(nx - 1):
        for j in range(ny - 1):
            for o in range(nz - 1):
                inside = 0
                for c in range(8):
                    inside += grid[i + (c & 1), j + ((c >> 1) & 1), o + (c >> 2)] < 0
                if 0 < inside < 8:
                    index[i, j, o] = count
                    count += 1
    points = np.empty((count, 3))
    quads = np.empty((3 * count, 4), np.int32)
    n = 0
    for i in range(nx - 1):
        for j in range(ny - 1):
            for o in range(nz - 1):
                v = index[i, j, o]
                if v < 0:
                    continue
                sx = sy = sz = 0.0
                m = 0
                for c in range(8):
                    for d in range(3):
                        if (c >> d) & 1:
                            continue
                        e = c | (1 << d)
                        a = grid[i + (c & 1), j + ((c >> 1) & 1), o + (c >> 2)]
                        b = grid[i + (e & 1), j + ((e >> 1) & 1), o + (e >> 2)]
                        if (a < 0) != (b < 0):
                            t = a / (a - b)
                            sx += (c & 1) + (t if d == 0 else 0.0)
                            sy += ((c >> 1) & 1) + (t if d == 1 else 0.0)
                            sz += (c >> 2) + (t if d == 2 else 0.0)
                            m += 1
                points[v, 0] = low[0] + (i + sx / m) * h
                points[v, 1] = low[1] + (j + sy / m) * h
                points[v, 2] = low[2] + (o + sz / m) * h
                if i == 0 or j == 0 or o == 0:
                    continue
                a = grid[i, j, o] < 0
                for d in range(3):
                    if d == 0:
                        b = grid[i + 1, j, o] < 0
                        q = (index[i, j - 1, o - 1], index[i, j, o - 1], v, index[i, j - 1, o])
                    elif d == 1:
                        b = grid[i, j + 1, o] < 0
                        q = (index[i - 1, j, o - 1], index[i - 1, j, o], v, index[i, j, o - 1])
                    else:
                        b = grid[i, j, o + 1] < 0
                        q = (index[i - 1, j - 1, o], index[i, j - 1, o], v, index[i - 1, j, o])
                    if a != b:
                        for c in range(4):
                            quads[n, c] = q[c] if a else q[3 - c]
                        n += 1
    return points, quads[:n]


@njit(cache=True, nogil=True)
def _settle(kinds, cuts, sizes, rows, origins, points, h, k):
    n = points.shape[0]
    normals, owner, face = np.empty((n, 3)), np.empty(n, np.int32), np.empty(n, np.int32)
    e = 0.02
    for v in range(n):
        for turn in range(4):
            x, y, z = points[v, 0], points[v, 1], points[v, 2]
            f, o, s = distance(kinds, cuts, sizes, rows, origins, x, y, z, k)
            gx = distance(kinds, cuts, sizes, rows, origins, x + e, y, z, k)[0]
            gx -= distance(kinds, cuts, sizes, rows, origins, x - e, y, z, k)[0]
            gy = distance(kinds, cuts, sizes, rows, origins, x, y + e, z, k)[0]
            gy -= distance(kinds, cuts, sizes, rows, origins, x, y - e, z, k)[0]
            gz = distance(kinds, cuts, sizes, rows, origins, x, y, z + e, k)[0]
            gz -= distance(kinds, cuts, sizes, rows, origins, x, y, z - e, k)[0]
            gx, gy, gz = gx / (2 * e), gy / (2 * e), gz / (2 * e)
            g2 = max(gx * gx + gy * gy + gz * gz, 0.2)
            g = np.sqrt(max(gx * gx + gy * gy + gz * gz, 1e-12))
            normals[v, 0], normals[v, 1], normals[v, 2] = gx / g, gy / g, gz / g
            owner[v], face[v] = o, s
            if turn == 3 or abs(f) < 1e-4:
                break
            step = min(max(-f / g2, -h), h)
            points[v, 0] += step * gx
            points[v, 1] += step * gy
            points[v, 2] += step * gz
    return normals, owner, face


def skin(part: Part, half_mm: np.ndarray, turn: np.ndarray, triangles: int, rounding_mm: float) -> Skin:
    """The surface of `part` turned by `turn` (3, 3), in about so many triangles; `half_mm` (3,) holds it all."""
    packed = part.packed(turn)
    reach = np.abs(turn) @ np.asarray(half_mm, float) + 3.0

    def grid_of(h: float) -> tuple[np.ndarray, np.ndarray]:
        shape = tuple(int(c) for c in np.ceil(2 * reach / h) + 3)
        return _fill(*packed, -reach, h, shape, rounding_mm), -reach

    coarse = max(1.5, float(reach.max()) / 80)
    rough, low = grid_of(coarse)
    found = max(len(_nets(rough, low, coarse)[0]), 100)
    h = coarse * np.sqrt(2.0 * found / triangles)
    h = max(h, float((np.prod(2 * reach) / 4e7) ** (1 / 3)))
    grid, low = grid_of(h)
    points, quads = _nets(grid, low, h)
    normals, owner, face = _settle(*packed, points, h, rounding_mm)
    d = ((points[quads[:, 0]] - points[quads[:, 2]]) ** 2).sum(1) <= (
        (points[quads[:, 1]] - points[quads[:, 3]]) ** 2
    ).sum(1)
    one = np.where(d[:, None], quads[:, [0, 1, 2]], quads[:, [0, 1, 3]])
    two = np.where(d[:, None], quads[:, [0, 2, 3]], quads[:, [1, 2, 3]])
    faces = np.concatenate([one, two])
    faces = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 0] != faces[:, 2])]
    return Skin(points, faces.astype(np.int32), normals, owner, face)
