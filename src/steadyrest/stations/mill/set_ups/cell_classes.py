"""Cells of stock by what sees them: those seen and shut in by the same sides are one class, however many they are."""

from __future__ import annotations

import numba as nb
import numpy as np
import numpy.typing as npt

from steadyrest.stations.mill.removal.cells import BoolArray, ByteArray


@nb.njit(cache=True, nogil=True)
def class_of(seen: ByteArray, low: npt.NDArray[np.int64], deepest: int, x: int, y: int, z: int) -> int:
    """A cell's class: bits of the sides that see it within a cutter's reach, then of those whose jaws close it in, then
    of those whose chuck does.

    low: for each side up, the layers gripped, the direction in which jaws close, the other, how many cells of either
    end hang free in that, and the layers that the chuck of a turning axis holds.
    """
    bits = int(seen[x, y, z])
    found = bits
    at = (x, y, z)
    for side in range(6):
        axis = side // 2
        n = seen.shape[axis]
        under = at[axis] if side % 2 == 0 else n - 1 - at[axis]
        if n - 1 - under >= deepest:
            found &= ~(1 << side)
        if under < low[side, 0] and bits & (3 << (2 * low[side, 1])):
            along, free = low[side, 2], low[side, 3]
            if free <= at[along] < seen.shape[along] - free:
                found |= 1 << (6 + side)
        if under < low[side, 4] and bits & ~(3 << (2 * axis)):
            found |= 1 << (12 + side)
    return found


@nb.njit(cache=True, nogil=True)
def classes(seen: ByteArray, stock: BoolArray, low: npt.NDArray[np.int64], deepest: int) -> npt.NDArray[np.int64]:
    """How many cells of stock there are of each class that some side sees."""
    counts = np.zeros(1 << 18, np.int64)
    nx, ny, nz = seen.shape
    for x in range(nx):
        for y in range(ny):
            for z in range(nz):
                if seen[x, y, z] and stock[x, y, z]:
                    counts[class_of(seen, low, deepest, x, y, z)] += 1
    return counts
