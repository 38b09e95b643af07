"""The layers of one set-up: slabs over which what stands in a cutter's way stays alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.removal.distance import IntArray, distance_sq

FLOOR_SHARE = 0.004  # of a layer's cells: so many that end together, twice those beside them, are a floor
CREEP_SHARE = 0.02  # so many that end one after another make a new slab, if it is thick enough for a pass


@dataclass(frozen=True, slots=True)
class Slab:
    """Layers first to last - 1 below the blank's top.

    standing: (ny, nx) where the part stands, as at the lowest of the layers. shut: the same, and what holds the work.
    far_sq: squared distance to what is shut, in cells, with a rim of `rim` cells all round; rim: free of everything.
    """

    first: int
    last: int
    standing: BoolArray
    shut: BoolArray
    far_sq: IntArray


def slabs_of(
    finished: BoolArray, high: IntArray, held: BoolArray | None, *, held_from: int, rim: int, thin: int = 1
) -> tuple[Slab, ...]:
    """The slabs of a set-up from the top down.

    Args:
        finished: (nz, ny, nx) part cells, nearest layer first.
        high: (ny, nx) the first layer of each column that holds one.
        held: (nz, ny, nx) cells beside the part that jaws or clamps close in, or None.
        held_from: first layer where that counts.
        rim: cells of free room round a layer, for a cutter that comes from outside.
        thin: layers below which a slope makes no slab of its own.
    Returns: slabs; where the part closes every column, nothing below.
    """
    nz = finished.shape[0]
    cells = high.size
    ends = np.bincount(high.ravel(), minlength=nz + 1)[:nz]
    starts = [0]
    crept = 0
    for z in range(1, nz):
        crept += int(ends[z])
        beside = max(int(ends[z - 1]), int(ends[z + 1]) if z + 1 < nz else 0)
        floor = ends[z] >= FLOOR_SHARE * cells and ends[z] >= 2 * beside
        slope = crept >= CREEP_SHARE * cells and z - starts[-1] >= thin
        if floor or slope or (held is not None and z == held_from):
            starts.append(z)
            crept = 0
    found: list[Slab] = []
    for first, last in zip(starts, [*starts[1:], nz], strict=True):
        standing = high < last
        shut = standing
        if held is not None and last > held_from:
            shut = standing | held[max(first, held_from) : last].any(axis=0)
        if shut.all():
            break
        far = distance_sq(np.pad(shut, rim))
        found.append(Slab(first, last, standing, shut, far))
    return tuple(found)


def holder_above(slabs: tuple[Slab, ...], layer: int) -> npt.NDArray[np.int32] | None:
    """Squared distance to the part as it stands at a layer; None above the first slab.

    Args:
        slabs: of the set-up.
        layer: below the blank's top; below 0 the holder is in the air.
    Returns: with the slabs' rim.
    """
    for slab in slabs:
        if slab.first <= layer < slab.last:
            return slab.far_sq
    return None
