"""The part with its drilled holes filled: what is made along an axis is not cleared by a cutter."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from steadyrest.shop.part import Feature
from steadyrest.shop.solid_grid import SolidGrid
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.sizes import value_mm


def with_holes_filled(grid: SolidGrid, holes: Sequence[Feature]) -> BoolArray:
    """Cells of a part and of its drilled holes.

    Args:
        grid: of the part.
        holes: bores and threads made along their axis, with diameter and depth or length.
    Returns: of the grid's shape.
    """
    filled = grid.filled().copy()
    for hole in holes:
        _fill(grid, filled, hole)
    return filled


def _fill(grid: SolidGrid, filled: BoolArray, hole: Feature) -> None:
    radius = (value_mm(hole, "diameter_mm") or 0.0) / 2.0 / grid.pitch_mm + 0.75
    long = (value_mm(hole, "depth_mm") or value_mm(hole, "length_mm") or 0.0) / grid.pitch_mm
    middle = np.array(grid.at(hole.at_mm))
    axis = np.array([sum(a * b for a, b in zip(one, hole.axis, strict=True)) for one in grid.frame])
    # A blind hole's cone goes on below its full diameter.
    before, after = long / 2.0 + 0.75, long / 2.0 + 0.75 + (0.0 if hole.through else 0.6 * radius)
    reach = np.abs(axis) * max(before, after) + radius * np.sqrt(np.maximum(1.0 - axis * axis, 0.0)) + 1.0
    low = np.maximum(np.floor(middle - reach), 0).astype(int)
    high = np.minimum(np.ceil(middle + reach) + 1, filled.shape).astype(int)
    if (high <= low).any():
        return
    x, y, z = (np.arange(a, b) + 0.5 - m for a, b, m in zip(low, high, middle, strict=True))
    along = x[:, None, None] * axis[0] + y[None, :, None] * axis[1] + z[None, None, :] * axis[2]
    square = x[:, None, None] ** 2 + y[None, :, None] ** 2 + z[None, None, :] ** 2
    inside = (square - along * along <= radius * radius) & (along >= -before) & (along <= after)
    filled[low[0] : high[0], low[1] : high[1], low[2] : high[2]] |= inside
