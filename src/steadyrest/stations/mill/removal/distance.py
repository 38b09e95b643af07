"""How far each cell of a layer is from the nearest marked one: exact, two sweeps."""

from __future__ import annotations

import numba as nb
import numpy as np
import numpy.typing as npt

BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int32]

FAR = 2**30  # squared; where nothing is marked


@nb.njit(cache=True, nogil=True)
def distance_sq(marked: BoolArray) -> IntArray:
    """Squared distance of each cell's middle to the nearest marked cell's middle.

    Args:
        marked: (ny, nx) truths.
    Returns: (ny, nx), in cells squared; 0 where marked, FAR where nothing is.
    Source: Meijster, Roerdink and Hesselink 2000 (lower envelope of parabolas, in whole numbers), from memory.
        Checked in tests/stations/mill/removal/test_distance.py against scipy.
    """
    ny, nx = marked.shape
    found = np.empty((ny, nx), np.int32)
    far = ny + nx
    up = np.empty((ny, nx), np.int32)
    for x in range(nx):
        up[0, x] = 0 if marked[0, x] else far
    for y in range(1, ny):
        for x in range(nx):
            up[y, x] = 0 if marked[y, x] else min(up[y - 1, x] + 1, far)
    for y in range(ny - 2, -1, -1):
        for x in range(nx):
            if up[y + 1, x] + 1 < up[y, x]:
                up[y, x] = up[y + 1, x] + 1
    at = np.empty(nx, np.int64)
    start = np.empty(nx, np.int64)
    for y in range(ny):
        last = -1
        for x in range(nx):
            g = np.int64(up[y, x])
            if g >= far:
                continue
            while last >= 0:
                i, h = at[last], np.int64(up[y, at[last]])
                s = start[last]
                if (s - i) * (s - i) + h * h > (s - x) * (s - x) + g * g:
                    last -= 1
                else:
                    break
            if last < 0:
                last, at[0], start[0] = 0, x, 0
            else:
                i, h = at[last], np.int64(up[y, at[last]])
                begins = 1 + (x * x - i * i + g * g - h * h) // (2 * (x - i))
                if begins < nx:
                    last += 1
                    at[last], start[last] = x, begins
        if last < 0:
            found[y, :] = FAR
            continue
        k = last
        for x in range(nx - 1, -1, -1):
            while x < start[k]:
                k -= 1
            i, h = at[k], np.int64(up[y, at[k]])
            found[y, x] = (x - i) * (x - i) + h * h
    return found


@nb.njit(cache=True, nogil=True)
def within(marked: BoolArray, radius_sq: float) -> BoolArray:
    """Which cells' middles lie within a distance of a marked cell's.

    Args:
        marked: (ny, nx) truths. radius_sq: in cells squared.
    Returns: (ny, nx).
    """
    return distance_sq(marked) <= radius_sq
