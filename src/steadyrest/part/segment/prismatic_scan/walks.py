"""Walks over the mesh that the finder of regions takes: compiled loops over flat arrays."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


@njit(cache=True)
def gather(  # pragma: no cover
    points: FloatArray,
    normals: FloatArray,
    start: IntArray,
    near: npt.NDArray[np.int32],
    free: BoolArray,
    seeds: IntArray,
    code: int,
    p: FloatArray,
    turn: float,
    reach: float,
    agrees: float,
) -> IntArray:
    """The connected free points that lie on a surface: code 0 plane, 1 cylinder or cone, 2 sphere; p its numbers.

    p: point or centre (3), normal or axis (3), radius, half angle. turn: -1 for a hollow one. Returns: (k,) indices.
    """
    n = len(points)
    state = np.zeros(n, np.uint8)  # 1: belongs, 2: looked at and does not
    queue = np.empty(n, np.int64)
    tail = 0
    cos, sin = np.cos(p[7]), np.sin(p[7])
    head = -len(seeds)
    while head < tail:
        if head < 0:
            low, high = 0, 1
        else:
            low, high = start[queue[head]], start[queue[head] + 1]
        for k in range(low, high):
            i = seeds[head + len(seeds)] if head < 0 else np.int64(near[k])
            if state[i] or not free[i]:
                continue
            x, y, z = points[i, 0] - p[0], points[i, 1] - p[1], points[i, 2] - p[2]
            nx, ny, nz = normals[i, 0], normals[i, 1], normals[i, 2]
            if code == 0:
                off = x * p[3] + y * p[4] + z * p[5]
                dot = nx * p[3] + ny * p[4] + nz * p[5]
            elif code == 1:
                h = x * p[3] + y * p[4] + z * p[5]
                ax, ay, az = x - h * p[3], y - h * p[4], z - h * p[5]
                rho = np.sqrt(ax * ax + ay * ay + az * az) + 1e-300
                off = (rho - p[6]) * cos - h * sin
                along = nx * p[3] + ny * p[4] + nz * p[5]
                dot = turn * ((nx * ax + ny * ay + nz * az) / rho * cos - along * sin)
            else:
                rho = np.sqrt(x * x + y * y + z * z) + 1e-300
                off = rho - p[6]
                dot = turn * (nx * x + ny * y + nz * z) / rho
            if abs(off) < reach and dot > agrees:
                state[i] = 1
                queue[tail] = i
                tail += 1
            else:
                state[i] = 2
        head += 1
    return queue[:tail].copy()


@njit(cache=True)
def unrest_of(normals: FloatArray, start: IntArray, near: npt.NDArray[np.int32]) -> FloatArray:  # pragma: no cover
    """How much the normals turn about each point, over two rings: 0 calm, 2 unknown."""
    n = len(normals)
    once = np.zeros(n)
    for i in range(n):
        for k in range(start[i], start[i + 1]):
            j = near[k]
            d = 1 - normals[i, 0] * normals[j, 0] - normals[i, 1] * normals[j, 1] - normals[i, 2] * normals[j, 2]
            once[i] = max(once[i], d)
    out = np.zeros(n)
    for i in range(n):
        out[i] = once[i] if start[i + 1] - start[i] > 3 else 2.0
        for k in range(start[i], start[i + 1]):
            out[i] = max(out[i], once[near[k]])
    return out


@njit(cache=True)
def pieces_of(  # pragma: no cover
    normals: FloatArray, start: IntArray, near: npt.NDArray[np.int32], free: BoolArray, smooth: float
) -> tuple[npt.NDArray[np.int32], int]:
    """Free points parted where neighbours turn more than `smooth`: piece of each (-1 none), and how many."""
    n = len(normals)
    piece = np.full(n, -1, np.int32)
    queue = np.empty(n, np.int32)
    count = 0
    for seed in range(n):
        if piece[seed] >= 0 or not free[seed]:
            continue
        queue[0] = seed
        piece[seed] = count
        head, tail = 0, 1
        while head < tail:
            i = queue[head]
            head += 1
            for k in range(start[i], start[i + 1]):
                j = near[k]
                if piece[j] >= 0 or not free[j]:
                    continue
                dot = normals[i, 0] * normals[j, 0] + normals[i, 1] * normals[j, 1] + normals[i, 2] * normals[j, 2]
                if dot > smooth:
                    piece[j] = count
                    queue[tail] = j
                    tail += 1
        count += 1
    return piece, count


@njit(cache=True)
def surroundings_of(  # pragma: no cover
    normals: FloatArray,
    start: IntArray,
    near: npt.NDArray[np.int32],
    free: BoolArray,
    seed: int,
    most: int,
    smooth: float,
) -> IntArray:
    """The nearest free points over smooth steps, nearest first, at most `most` of them."""
    ring = np.empty(most, np.int64)
    known = set([np.int64(seed)])  # noqa: C405  the compiler wants it so
    ring[0] = seed
    head, tail = 0, 1
    while head < tail and tail < most:
        i = ring[head]
        head += 1
        for k in range(start[i], start[i + 1]):
            j = np.int64(near[k])
            if j in known or not free[j] or tail >= most:
                continue
            known.add(j)
            dot = normals[i, 0] * normals[j, 0] + normals[i, 1] * normals[j, 1] + normals[i, 2] * normals[j, 2]
            if dot > smooth:
                ring[tail] = j
                tail += 1
    return ring[:tail].copy()


@njit(cache=True)
def border_of(  # pragma: no cover
    normals: FloatArray,
    start: IntArray,
    near: npt.NDArray[np.int32],
    belongs: BoolArray,
    free: BoolArray,
    members: IntArray,
    smooth: float,
) -> tuple[int, int]:
    """Border steps out of a find that turn (hard) and that go on smoothly over free surface (soft)."""
    hard, soft = 0, 0
    for i in members:
        for k in range(start[i], start[i + 1]):
            j = near[k]
            if belongs[j]:
                continue
            dot = normals[i, 0] * normals[j, 0] + normals[i, 1] * normals[j, 1] + normals[i, 2] * normals[j, 2]
            if dot > smooth and free[j]:
                soft += 1
            else:
                hard += 1
    return hard, soft
