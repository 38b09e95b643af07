"""A mill's stock before the first cut: the field of heights of a blank, at a resolution that it can afford."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.program.removal.blank import Blank, BoxBlank, MeshBlank, RoundBlank
from steadyrest.program.removal.heights import TILE

FloatArray = npt.NDArray[np.float64]

CELLS = 1_000_000  # a field of a square metre in millimetres
FINEST_MM = 0.05
MOST_CELLS = 16_000_000


@dataclass(frozen=True, slots=True)
class Field:
    """Heights over a rectangle, seen along z.

    heights_mm: (ny, nx) where the metal stands at each cell's centre; `bottom_mm` where there is none.
    corner_mm: (x, y) of the rectangle's low corner. cell_mm: (x, y) size of a cell.
    Undercuts of a mesh are not in it: what lies below a top counts as metal down to the bottom.
    """

    heights_mm: FloatArray
    corner_mm: tuple[float, float]
    cell_mm: tuple[float, float]
    bottom_mm: float

    def volume_mm3(self) -> float:
        """How much metal there is."""
        return float((self.heights_mm - self.bottom_mm).sum()) * self.cell_mm[0] * self.cell_mm[1]

    def tiles(self) -> tuple[int, int]:
        """How many tiles cover it, (y, x)."""
        ny, nx = self.heights_mm.shape
        return -(-ny // TILE), -(-nx // TILE)


def field_of(blank: Blank | Field, *, resolution_mm: float | None = None) -> Field:
    """The field of a blank.

    Args:
        blank: in work coordinates; a field is copied as it is, at its own resolution.
        resolution_mm: side of a cell at most; None takes what about a million cells give, 0.05 mm at the finest.
    Returns: the field.
    Raises: ValueError: a resolution that is not above 0, or one that asks for more than 16 million cells.
    """
    if isinstance(blank, Field):
        return replace(blank, heights_mm=blank.heights_mm.copy())
    low, high = _box(blank)
    wide, deep = high[0] - low[0], high[1] - low[1]
    fine = max(FINEST_MM, math.sqrt(wide * deep / CELLS)) if resolution_mm is None else resolution_mm
    if not fine > 0.0:
        raise ValueError(f"field_of: resolution_mm must be above 0; got {resolution_mm!r}")
    nx, ny = max(math.ceil(wide / fine - 1e-9), 1), max(math.ceil(deep / fine - 1e-9), 1)
    if nx * ny > MOST_CELLS:
        raise ValueError(f"field_of: {nx} x {ny} cells at {fine!r} mm are more than {MOST_CELLS}")
    cell = (wide / nx, deep / ny)
    heights = np.full((ny, nx), float(high[2]))
    if isinstance(blank, RoundBlank):
        x = low[0] + (np.arange(nx) + 0.5) * cell[0]
        y = low[1] + (np.arange(ny) + 0.5) * cell[1]
        away2 = x[None, :] ** 2 + y[:, None] ** 2
        heights[(away2 > blank.diameter_mm**2 / 4.0) | (away2 < blank.bore_mm**2 / 4.0)] = low[2]
    elif isinstance(blank, MeshBlank):
        heights[:] = low[2]
        _tops(heights, blank.vertices_mm[blank.faces], low[0], low[1], cell[0], cell[1])
    return Field(heights, (low[0], low[1]), cell, low[2])


def _box(blank: Blank) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    if isinstance(blank, BoxBlank):
        return blank.min_mm, blank.max_mm
    if isinstance(blank, RoundBlank):
        half = blank.diameter_mm / 2.0
        return (-half, -half, blank.z_mm[0]), (half, half, blank.z_mm[1])
    used = blank.vertices_mm[np.unique(blank.faces)]
    low, high = used.min(axis=0), used.max(axis=0)
    return (float(low[0]), float(low[1]), float(low[2])), (float(high[0]), float(high[1]), float(high[2]))


@loop()
def _tops(heights: FloatArray, corners: FloatArray, ox: float, oy: float, cx: float, cy: float) -> None:
    """Raise each cell to the highest triangle over its centre."""
    ny, nx = heights.shape
    for n in range(len(corners)):
        ax, ay, az = corners[n, 0, 0], corners[n, 0, 1], corners[n, 0, 2]
        bx, by, bz = corners[n, 1, 0], corners[n, 1, 1], corners[n, 1, 2]
        dx, dy, dz = corners[n, 2, 0], corners[n, 2, 1], corners[n, 2, 2]
        area = (bx - ax) * (dy - ay) - (dx - ax) * (by - ay)
        if area == 0.0:
            continue
        i0 = max(math.ceil((min(ax, bx, dx) - ox) / cx - 0.5), 0)
        i1 = min(math.floor((max(ax, bx, dx) - ox) / cx - 0.5), nx - 1)
        j0 = max(math.ceil((min(ay, by, dy) - oy) / cy - 0.5), 0)
        j1 = min(math.floor((max(ay, by, dy) - oy) / cy - 0.5), ny - 1)
        for j in range(j0, j1 + 1):
            y = oy + (j + 0.5) * cy
            for i in range(i0, i1 + 1):
                x = ox + (i + 0.5) * cx
                b = ((x - ax) * (dy - ay) - (dx - ax) * (y - ay)) / area
                d = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / area
                if b >= -1e-12 and d >= -1e-12 and b + d <= 1.0 + 1e-12:
                    heights[j, i] = max(heights[j, i], az + b * (bz - az) + d * (dz - az))
