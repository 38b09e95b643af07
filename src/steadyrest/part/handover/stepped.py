"""A part that is not turned as boxes between its levels: which of them are filled, by its cells.

Holes, bosses and rounded corners are left aside here: they are cut and added afterwards (milled.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.levels import Levels
from steadyrest.shop.solid_grid import SolidGrid

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Round:
    """A cylinder along a direction of space, in the part's own directions: what the cells within it tell is its own.

    filled: a hole, which was solid before it was drilled; else a boss, or a rounded corner that hides what is there.
    """

    middle: FloatArray
    axis: FloatArray
    radius_mm: float
    half_mm: float
    filled: bool


def boxes_of(grid: SolidGrid, levels: Levels, rounds: Sequence[Round]) -> tuple[tuple[FloatArray, FloatArray], ...]:
    """The filled boxes between levels, few and large, at nominal places.

    Args:
        grid: the part's cells. levels: along the same directions. rounds: holes and bosses left aside.
    Returns: (low, high) corners; they touch and do not overlap.
    """
    filled, known = grid.filled(), np.ones(grid.shape, dtype=bool)
    frame = np.array(grid.frame)
    start = frame @ np.array(grid.origin_mm) + grid.pitch_mm / 2
    holed = np.zeros(grid.shape, dtype=bool)
    for one in rounds:
        where, within = cells_within(one, start, grid)
        known[where] &= ~within
        if one.filled:
            holed[where] |= within
    edges = [np.array([level.at_mm for level in axis]) for axis in levels.axes]
    cells = [np.clip(np.ceil((edge - start[k]) / grid.pitch_mm), 0, grid.shape[k]) for k, edge in enumerate(edges)]
    index = [c.astype(np.int64) for c in cells]
    sure, body = counted(known, index), counted(filled & known, index)
    drilled, all_cells = counted(holed, index), counted(np.ones_like(known), index)
    full = np.where(sure > 0, body > 0.5 * sure, drilled > 0.5 * all_cells)
    for i, k, m in np.argwhere(all_cells == 0):  # thinner than a cell
        middle = [(edges[a][n] + edges[a][n + 1]) / 2 for a, n in zip(range(3), (int(i), int(k), int(m)), strict=True)]
        at = [round((middle[a] - start[a]) / grid.pitch_mm) for a in range(3)]
        at = [min(max(n, 0), grid.shape[a] - 1) for a, n in enumerate(at)]
        full[i, k, m] = bool(filled[at[0], at[1], at[2]])
    drawn = [np.array([level.nominal_mm for level in axis]) for axis in levels.axes]
    return tuple(
        (np.array([drawn[a][low[a]] for a in range(3)]), np.array([drawn[a][high[a]] for a in range(3)]))
        for low, high in blocks(full)
    )


def cells_within(one: Round, start: FloatArray, grid: SolidGrid) -> tuple[tuple[slice, slice, slice], BoolArray]:
    """The cells within a cylinder: where in the grid, and which of those."""
    reach = one.radius_mm * np.sqrt(np.clip(1 - one.axis**2, 0, 1)) + one.half_mm * np.abs(one.axis) + grid.pitch_mm
    low = np.clip(np.floor((one.middle - reach - start) / grid.pitch_mm), 0, grid.shape).astype(int)
    high = np.clip(np.ceil((one.middle + reach - start) / grid.pitch_mm) + 1, low, grid.shape).astype(int)
    x, y, z = (start[k] + grid.pitch_mm * np.arange(low[k], high[k]) - one.middle[k] for k in range(3))
    along = x[:, None, None] * one.axis[0] + y[None, :, None] * one.axis[1] + z[None, None, :] * one.axis[2]
    square = x[:, None, None] ** 2 + y[None, :, None] ** 2 + z[None, None, :] ** 2 - along**2
    within = (square <= one.radius_mm**2) & (np.abs(along) <= one.half_mm)
    return (slice(low[0], high[0]), slice(low[1], high[1]), slice(low[2], high[2])), within


def counted(cells: BoolArray, index: Sequence[npt.NDArray[np.int64]]) -> npt.NDArray[np.int64]:
    """How many of the cells between levels are true."""
    sums = np.zeros(tuple(n + 1 for n in cells.shape), dtype=np.int64)
    sums[1:, 1:, 1:] = cells.cumsum(0).cumsum(1).cumsum(2)
    picked = sums[np.ix_(*index)]
    for axis in range(3):
        picked = np.diff(picked, axis=axis)
    return picked


def blocks(full: BoolArray) -> list[tuple[tuple[int, int, int], tuple[int, int, int]]]:
    """A few large blocks that make up the filled ones, each grown as far as it goes one way after another."""
    left = full.copy()
    found: list[tuple[tuple[int, int, int], tuple[int, int, int]]] = []
    while left.any():
        low = [int(n) for n in np.argwhere(left)[0]]
        high = [n + 1 for n in low]
        for axis in range(3):
            while high[axis] < left.shape[axis]:
                ahead = tuple(slice(high[k], high[k] + 1) if k == axis else slice(low[k], high[k]) for k in range(3))
                if not left[ahead].all():
                    break
                high[axis] += 1
        left[tuple(slice(a, b) for a, b in zip(low, high, strict=True))] = False
        found.append(((low[0], low[1], low[2]), (high[0], high[1], high[2])))
    return found
