"""Slivers of faces in sharp inner corners, such as a scan shows: what a cutter leaves of them is its own radius."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import cast

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from steadyrest.stations.mill.geometry import Side
from steadyrest.stations.mill.removal.cells import BoolArray, Cells
from steadyrest.stations.mill.set_ups.needs import Need

KINDS = ("face", "free")


def in_a_corner(cells: Cells, left: BoolArray, need: Need, sides: Sequence[tuple[Side, ...]]) -> int | None:
    """The set-up whose cutter leaves no more before a face than its own radius in a corner.

    Args:
        cells: part and blank.
        left: (nx, ny, nz) stock when all is cut.
        need: of a feature that is not yet made.
        sides: of each set-up, with their last cutters.
    Returns: the set-up's place; None where more stays than that, or the feature has a size of its own.
    """
    if need.cell is None or need.feature.kind not in KINDS or not need.sides:
        return None
    last = [(one.cutter_mm / 2.0, number) for number, side in enumerate(sides) for one in side if one.cutter_mm]
    if not last:
        return None
    radius_mm, number = min(last)
    near = math.ceil(2.0 * radius_mm / cells.pitch_mm) + 1
    i, j, k = (slice(max(at - near, 0), at + near + 1) for at in need.cell)
    out = ~cells.finished[i, j, k]
    stays, free = (np.pad(one & out, 1) for one in (left[i, j, k], ~left[i, j, k]))
    if not free.any():
        return None
    found: object = ndimage.label(stays)
    spots, _ = cast(tuple[npt.NDArray[np.int32], int], found)
    mine = spots == spots[tuple(at - part.start + 1 for at, part in zip(need.cell, (i, j, k), strict=True))]
    far: object = ndimage.distance_transform_edt(~free)
    deepest = float(np.asarray(far, dtype=np.float64)[mine].max())
    return number if deepest * cells.pitch_mm <= radius_mm else None
