"""How triangles hang together: welding equal corners, neighbours across edges, one way round, shells.

Compiled loops over flat arrays. A half edge k of a triangle runs from its corner k to corner k+1.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int32]


def welded(points: FloatArray) -> tuple[FloatArray, IndexArray]:
    """Equal corners made one, in the order of their first mention.

    Args:
        points: (n, 3) corners, finite.
    Returns: (k, 3) different corners; (n,) which of them each old one became.
    """
    new, count = _weld(points + 0.0)  # + 0.0: minus nought and nought are one place
    kept = np.empty((count, 3))
    kept[new] = points  # all that share a place have equal coordinates
    return kept + 0.0, new


@njit(cache=True)
def _weld(points: FloatArray) -> tuple[IndexArray, int]:  # pragma: no cover  compiled
    n = len(points)
    size = 1
    while size < 2 * n:
        size *= 2
    table = np.full(size, -1, np.int32)
    first = np.empty(n, np.int32)
    new = np.empty(n, np.int32)
    bits = points.view(np.uint64)
    count = 0
    for i in range(n):
        h = bits[i, 0] * np.uint64(0x9E3779B97F4A7C15)
        h = (h ^ (h >> np.uint64(29))) + bits[i, 1] * np.uint64(0xC2B2AE3D27D4EB4F)
        h = (h ^ (h >> np.uint64(31))) + bits[i, 2] * np.uint64(0x165667B19E3779F9)
        h = (h ^ (h >> np.uint64(32))) * np.uint64(0x9E3779B97F4A7C15)
        slot = np.int64((h >> np.uint64(20)) & np.uint64(size - 1))
        while True:
            held = table[slot]
            if held < 0:
                table[slot] = count
                first[count] = i
                new[i] = count
                count += 1
                break
            j = first[held]
            if points[i, 0] == points[j, 0] and points[i, 1] == points[j, 1] and points[i, 2] == points[j, 2]:
                new[i] = held
                break
            slot = (slot + 1) & (size - 1)
    return new, count


def doubled(corners: IndexArray) -> npt.NDArray[np.int64]:
    """Triangles that repeat an earlier one, whichever way round.

    Args:
        corners: (m, 3) corner indices.
    Returns: (k,) indices of the repeats, rising.
    """
    ordered = np.sort(corners, axis=1).astype(np.int64)
    key = (ordered[:, 0] * 1_000_003 + ordered[:, 1]) * 1_000_003 + ordered[:, 2]  # may wrap: candidates only
    rank = np.argsort(key, kind="stable")
    same = np.flatnonzero(key[rank[1:]] == key[rank[:-1]])
    if not len(same):
        return np.empty(0, dtype=np.int64)
    near = np.unique(np.concatenate((rank[same], rank[same + 1])))
    _, first = np.unique(ordered[near], axis=0, return_index=True)
    return np.setdiff1d(near, near[first])


def open_corners(corners: IndexArray, count: int) -> npt.NDArray[np.int64]:
    """Corners that lie on an edge of one triangle only.

    Args:
        corners: (m, 3) corner indices. count: how many corners there are.
    Returns: (k,) corner indices, rising.
    """
    beside = _neighbours(corners, count)
    face, edge = np.nonzero(beside == -1)
    return np.unique(np.concatenate((corners[face, edge], corners[face, (edge + 1) % 3]))).astype(np.int64)


def oriented(corners: IndexArray, count: int) -> tuple[IndexArray, IndexArray, int, int, int]:
    """Neighbours, shells, and all triangles of a shell turned the same way (in place).

    Args:
        corners: (m, 3) corner indices; turned in place where they disagree with the most of their shell.
        count: how many corners there are.
    Returns: (m, 3) neighbours (-1 open, -2 crooked); (m,) shell of each; shells; turned triangles; crooked edges.
    """
    beside = _neighbours(corners, count)
    shell, shells, turned = _orient(corners, beside)
    f, k = np.nonzero(beside == -2)
    ends = np.sort(np.stack((corners[f, k], corners[f, (k + 1) % 3]), axis=1), axis=1)
    crooked = len(np.unique(ends, axis=0))
    return beside, shell, int(shells), int(turned), crooked


@njit(cache=True)
def _neighbours(corners: IndexArray, count: int) -> IndexArray:  # pragma: no cover  compiled
    m = len(corners)
    start = np.zeros(count + 1, np.int64)
    for f in range(m):
        for k in range(3):
            a, b = corners[f, k], corners[f, (k + 1) % 3]
            start[min(a, b) + 1] += 1
    for i in range(count):
        start[i + 1] += start[i]
    fill = start[:-1].copy()
    half = np.empty(3 * m, np.int64)
    other = np.empty(3 * m, np.int32)
    for f in range(m):
        for k in range(3):
            a, b = corners[f, k], corners[f, (k + 1) % 3]
            low = min(a, b)
            half[fill[low]] = 3 * f + k
            other[fill[low]] = max(a, b)
            fill[low] += 1
    beside = np.full((m, 3), -1, np.int32)
    for i in range(count):
        for p in range(start[i], start[i + 1]):
            if other[p] < 0:
                continue
            found, second = 1, -1
            for q in range(p + 1, start[i + 1]):
                if other[q] == other[p]:
                    found += 1
                    second = q
            if found == 2:
                beside[half[p] // 3, half[p] % 3] = half[second] // 3
                beside[half[second] // 3, half[second] % 3] = half[p] // 3
                other[second] = -1
            elif found > 2:
                this = other[p]
                for q in range(p, start[i + 1]):
                    if other[q] == this:
                        beside[half[q] // 3, half[q] % 3] = -2
                        other[q] = -1
    return beside


@njit(cache=True)
def _orient(corners: IndexArray, beside: IndexArray) -> tuple[IndexArray, int, int]:  # pragma: no cover  compiled
    m = len(corners)
    shell = np.full(m, -1, np.int32)
    flip = np.zeros(m, np.bool_)
    queue = np.empty(m, np.int32)
    shells, turned = 0, 0
    for seed in range(m):
        if shell[seed] >= 0:
            continue
        head, tail, flipped = 0, 1, 0
        queue[0] = seed
        shell[seed] = shells
        while head < tail:
            f = queue[head]
            head += 1
            for k in range(3):
                g = beside[f, k]
                if g < 0 or shell[g] >= 0:
                    continue
                a, b = corners[f, k], corners[f, (k + 1) % 3]
                same = False  # an edge that both run the same way means that one of them is turned
                for j in range(3):
                    if beside[g, j] == f and corners[g, j] == a and corners[g, (j + 1) % 3] == b:
                        same = True
                flip[g] = flip[f] != same
                flipped += flip[g]
                shell[g] = shells
                queue[tail] = g
                tail += 1
        most = flipped > tail // 2
        for p in range(tail):
            f = queue[p]
            if flip[f] != most:
                corners[f, 0], corners[f, 2] = corners[f, 2], corners[f, 0]
                beside[f, 0], beside[f, 1] = beside[f, 1], beside[f, 0]
                turned += 1
        shells += 1
    return shell, shells, turned
