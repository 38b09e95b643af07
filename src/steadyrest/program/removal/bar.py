"""A lathe's stock: radii along the axis, before the first cut and after the last."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal.blank import Blank, BoxBlank, RoundBlank

FloatArray = npt.NDArray[np.float64]

CELLS = 20_000
FINEST_MM = 0.005
MOST_CELLS = 4_000_000


@dataclass(frozen=True, slots=True)
class Bar:
    """Radii at the centres of equal lengths along the axis.

    outer_mm, inner_mm: (k,); no metal where outer is not above inner. origin_mm: low end. cell_mm: each length.
    """

    outer_mm: FloatArray
    inner_mm: FloatArray
    origin_mm: float
    cell_mm: float

    def volume_mm3(self) -> float:
        """How much metal there is."""
        ring = np.where(self.outer_mm > self.inner_mm, self.outer_mm**2 - self.inner_mm**2, 0.0)
        return float(ring.sum()) * math.pi * self.cell_mm


def bar_of(blank: Blank | Bar, *, resolution_mm: float | None = None) -> Bar:
    """The profile of a blank about the z axis; what is not round counts as the round about it.

    Args:
        blank: in work coordinates; a bar is copied, at its own resolution.
        resolution_mm: length of a cell at most; None takes twenty thousand cells, 0.005 mm at the finest.
    Returns: the bar.
    Raises: ValueError: a resolution that is not above 0, or one that asks for more than 4 million cells.
    """
    if isinstance(blank, Bar):
        return replace(blank, outer_mm=blank.outer_mm.copy(), inner_mm=blank.inner_mm.copy())
    if isinstance(blank, RoundBlank):
        low, high, radius, hole = *blank.z_mm, blank.diameter_mm / 2.0, blank.bore_mm / 2.0
    elif isinstance(blank, BoxBlank):
        low, high, hole = blank.min_mm[2], blank.max_mm[2], 0.0
        radius = max(
            math.hypot(x, y) for x in (blank.min_mm[0], blank.max_mm[0]) for y in (blank.min_mm[1], blank.max_mm[1])
        )
    else:
        used = blank.vertices_mm[np.unique(blank.faces)]
        low, high, hole = float(used[:, 2].min()), float(used[:, 2].max()), 0.0
        radius = float(np.hypot(used[:, 0], used[:, 1]).max())
    long = high - low
    fine = max(FINEST_MM, long / CELLS) if resolution_mm is None else resolution_mm
    if not fine > 0.0:
        raise ValueError(f"bar_of: resolution_mm must be above 0; got {resolution_mm!r}")
    count = max(math.ceil(long / fine - 1e-9), 1)
    if count > MOST_CELLS:
        raise ValueError(f"bar_of: {count} cells at {fine!r} mm are more than {MOST_CELLS}")
    return Bar(np.full(count, float(radius)), np.full(count, float(hole)), low, long / count)
