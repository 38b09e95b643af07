"""A round seat seen from its axis, and means over cells of it that are larger than the noise hangs together."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

FINE, COARSE = 2500, 200  # most cells
DRIFT = 0.12  # of the noise: what no averaging takes away
NEIGHBOURLY = 1.4  # cells two correlation lengths wide still share a little with their neighbours
BESIDE = 5  # of nine cells that a wide mean must have
LEAST_SHARE = 0.008  # of the seat's cells
ASTRAY_MM = 0.03  # usual distance between a seat's own middle and the axis of a whole scan; judgement


@dataclass(frozen=True, slots=True)
class Seat:
    """A round stretch seen from its axis, flattened.

    angle: (n,) rad. along: (n,) mm. radius: (n,) mm. sign: +1 shaft, -1 bore.
    noise_mm, correlation_mm: of the scan. lone: no other stretch helps to place the axis.
    astray_mm: how far the axis may lie beside the seat's own, 1 sigma.
    """

    angle: FloatArray
    along: FloatArray
    radius: FloatArray
    sign: int
    noise_mm: float
    correlation_mm: float
    lone: bool = False
    astray_mm: float = ASTRAY_MM


@dataclass(frozen=True, slots=True)
class Cells:
    """Means over a grid of angle and length. row, column: where. sigma_mm: scatter of an unworn cell's mean."""

    level: FloatArray
    angle: FloatArray
    along: FloatArray
    row: IntArray
    column: IntArray
    columns: int
    sigma_mm: float


def cells_of(seat: Seat, most: int) -> Cells:
    """Means over cells at least twice as wide as the noise hangs together.

    Args:
        seat: the points. most: cells, at most.
    Returns: the cells that hold enough points.
    """
    low, high = float(seat.along.min()), float(seat.along.max())
    radius = float(np.median(seat.radius))
    girth = 2 * np.pi * radius
    size = max(2.2 * seat.correlation_mm, float(np.sqrt(girth * max(high - low, 1e-9) / most)))
    columns = max(12, round(girth / size))
    rows = max(1, round((high - low) / size))
    row = np.minimum(((seat.along - low) / max(high - low, 1e-9) * rows).astype(np.int64), rows - 1)
    column = ((seat.angle / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    key = row * columns + column
    count = np.bincount(key, minlength=rows * columns)
    full = count >= max(2.0, 0.3 * float(np.median(count[count > 0])))
    safe = np.maximum(count, 1)
    level = np.bincount(key, weights=seat.sign * seat.radius, minlength=rows * columns) / safe
    along = np.bincount(key, weights=seat.along, minlength=rows * columns) / safe
    angle = ((np.arange(rows * columns) % columns) + 0.5) / columns * 2 * np.pi - np.pi
    many = max(float(np.median(count[full])), 1.0) if full.any() else 1.0
    wide, long = girth / columns, max(high - low, 1e-9) / rows
    shared = max(kept(wide, seat.correlation_mm) * kept(long, seat.correlation_mm), 1.0 / many)
    sigma = seat.noise_mm * float(np.hypot(np.sqrt(shared), DRIFT))
    at = np.flatnonzero(full)
    return Cells(level[at], angle[at], along[at], at // columns, at % columns, columns, sigma)


def evened_out(seat: Seat, cells: Cells) -> Cells:
    """Each cell the mean of itself and its neighbours: wear over most of a seat is too shallow for single ones.

    Args:
        seat: whose. cells: single ones.
    Returns: as many cells, but those with hardly a neighbour.
    """
    rows = int(cells.row.max()) + 1
    total, count = np.zeros((rows + 2, cells.columns)), np.zeros((rows + 2, cells.columns))
    total[cells.row + 1, cells.column] = cells.level
    count[cells.row + 1, cells.column] = 1.0
    steps = [(r, c) for r in (-1, 0, 1) for c in (-1, 0, 1)]
    sums = np.sum([np.roll(total, step, axis=(0, 1)) for step in steps], axis=0)[cells.row + 1, cells.column]
    many = np.sum([np.roll(count, step, axis=(0, 1)) for step in steps], axis=0)[cells.row + 1, cells.column]
    drift = (DRIFT * seat.noise_mm) ** 2
    sigma = float(np.sqrt(max(cells.sigma_mm**2 - drift, 0.0) * NEIGHBOURLY / 9 + drift))
    full = many >= BESIDE
    return Cells(
        (sums / np.maximum(many, 1.0))[full], cells.angle[full], cells.along[full], cells.row[full],
        cells.column[full], cells.columns, sigma,
    )  # fmt: skip


def kept(width_mm: float, correlation_mm: float) -> float:
    """Share of the noise's variance that a mean over such a width keeps, correlated as exp(-d^2 / 2 L^2).

    Args:
        width_mm: of the mean. correlation_mm: the length L.
    Returns: 0 to 1.
    Source: twice the integral of (a - x) exp(-x^2 / 2) from 0 to a, over a^2, with a = width / L.
    """
    a = width_mm / max(correlation_mm, 1e-9)
    if a < 1e-3:
        return 1.0
    return min(1.0, 2 * (a * math.sqrt(math.pi / 2) * math.erf(a / math.sqrt(2)) - 1 + math.exp(-a * a / 2)) / a**2)


def location(cells: Cells) -> float:
    """Centre of an unworn seat's cells, the odd ones counted less.

    Args:
        cells: of the seat.
    Returns: level, mm, outward of a shaft.
    """
    level = float(np.median(cells.level))
    width = 5 * max(cells.sigma_mm, 1.4826 * float(np.median(np.abs(cells.level - level))), 1e-12)
    for _ in range(8):
        w = np.square(np.maximum(0.0, 1.0 - np.square((cells.level - level) / width)))
        level = float(w @ cells.level) / float(w.sum())
    return level


def beside(some: BoolArray, cells: Cells) -> BoolArray:
    """Cells that are among some or border on one of them, corners counted.

    Args:
        some: (n,) which. cells: of the seat.
    Returns: (n,).
    """
    rows = int(cells.row.max()) + 1
    grid = np.zeros((rows + 2, cells.columns), dtype=np.bool_)
    grid[cells.row[some] + 1, cells.column[some]] = True
    wide = grid | np.roll(grid, 1, axis=1) | np.roll(grid, -1, axis=1)
    wide = wide | np.roll(wide, 1, axis=0) | np.roll(wide, -1, axis=0)
    return wide[cells.row + 1, cells.column]


def lasting(worn: BoolArray, cells: Cells, total: int) -> BoolArray:
    """Worn cells that hang together in patches large enough to be wear and not a dent or a stray point.

    Args:
        worn: (n,) which. cells: of the seat. total: cells that the seat has.
    Returns: (n,) those in patches.
    """
    rows = int(cells.row.max()) + 1
    grid = np.full((rows, cells.columns), -1, dtype=np.int64)
    grid[cells.row[worn], cells.column[worn]] = np.flatnonzero(worn)
    out = np.zeros_like(worn)
    seen = np.zeros_like(worn)
    for seed in np.flatnonzero(worn):
        if seen[seed]:
            continue
        patch, stack = [int(seed)], [int(seed)]
        seen[seed] = True
        while stack:
            k = stack.pop()
            r, c = int(cells.row[k]), int(cells.column[k])
            for a, b in ((r - 1, c), (r + 1, c), (r, (c - 1) % cells.columns), (r, (c + 1) % cells.columns)):
                j = int(grid[a, b]) if 0 <= a < rows else -1
                if j >= 0 and not seen[j]:
                    seen[j] = True
                    patch.append(j)
                    stack.append(j)
        if len(patch) >= max(6.0, LEAST_SHARE * total):
            out[patch] = True
    return out
