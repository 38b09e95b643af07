"""Stock to be cut from several sides, before the first cut: the metal on each upright line of a grid."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.program.removal.blank import Blank, MeshBlank
from steadyrest.program.removal.dexels import PARTS
from steadyrest.program.removal.field import Field, field_of

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Lines:
    """Stretches of metal on the lines through the cells' centres, upright in z.

    lows_mm, highs_mm: (ny, nx, 8) their ends, upwards. counts: (ny, nx) how many there are.
    corner_mm, cell_mm: of the grid, (x, y).
    """

    lows_mm: FloatArray
    highs_mm: FloatArray
    counts: IntArray
    corner_mm: tuple[float, float]
    cell_mm: tuple[float, float]

    def volume_mm3(self) -> float:
        """How much metal there is."""
        there = np.arange(PARTS) < self.counts[:, :, None]
        lengths = np.where(there, self.highs_mm - self.lows_mm, 0.0)
        return float(lengths.sum()) * self.cell_mm[0] * self.cell_mm[1]

    def tops(self, bottom_mm: float) -> Field:
        """What is seen from above."""
        last = np.maximum(self.counts - 1, 0)[:, :, None]
        top = np.take_along_axis(self.highs_mm, last, axis=2)[:, :, 0]
        return Field(np.where(self.counts > 0, top, bottom_mm), self.corner_mm, self.cell_mm, bottom_mm)


def lines_of(blank: Blank | Field | Lines, *, resolution_mm: float | None = None) -> Lines:
    """The lines of a blank.

    Args:
        blank: in work coordinates of its first set-up; lines and a field are copied, at their own resolution.
        resolution_mm: distance between lines at most; None as for a field.
    Returns: the lines. A mesh keeps its undercuts.
    Raises: ValueError: a resolution that cannot be.
    """
    if isinstance(blank, Lines):
        return replace(blank, lows_mm=blank.lows_mm.copy(), highs_mm=blank.highs_mm.copy(), counts=blank.counts.copy())
    field = field_of(blank, resolution_mm=resolution_mm)
    ny, nx = field.heights_mm.shape
    lows, highs = np.zeros((ny, nx, PARTS)), np.zeros((ny, nx, PARTS))
    counts = np.zeros((ny, nx), dtype=np.int64)
    if isinstance(blank, MeshBlank):
        corners = np.ascontiguousarray(blank.vertices_mm[blank.faces])
        found = np.full((ny, nx, 2 * PARTS), np.inf)
        _cross(corners, *field.corner_mm, *field.cell_mm, found, counts)
        found.sort(axis=2)
        counts //= 2
        there = np.arange(PARTS) < counts[:, :, None]
        lows[there], highs[there] = found[:, :, 0::2][there], found[:, :, 1::2][there]
    else:
        counts[:] = field.heights_mm > field.bottom_mm
        lows[:, :, 0], highs[:, :, 0] = field.bottom_mm, field.heights_mm
    return Lines(lows, highs, counts, field.corner_mm, field.cell_mm)


@loop()
def _cross(
    corners: FloatArray,
    ox: float,
    oy: float,
    cx: float,
    cy: float,
    found: FloatArray,
    many: IntArray,
) -> None:
    """Where each line crosses the surface, 2 PARTS places at most: `found`, and how `many`."""
    ny, nx = many.shape
    # A hair off the centre, so that no line runs through a corner or an edge that two triangles share.
    dx, dy = 1.234e-7 * cx, 2.345e-7 * cy
    for n in range(len(corners)):
        ax, ay, az = corners[n, 0, 0], corners[n, 0, 1], corners[n, 0, 2]
        bx, by, bz = corners[n, 1, 0], corners[n, 1, 1], corners[n, 1, 2]
        ex, ey, ez = corners[n, 2, 0], corners[n, 2, 1], corners[n, 2, 2]
        area = (bx - ax) * (ey - ay) - (ex - ax) * (by - ay)
        if area == 0.0:
            continue
        for j in range(max(int((min(ay, by, ey) - oy) / cy - 1.5), 0), min(int((max(ay, by, ey) - oy) / cy + 1.5), ny)):
            y = oy + (j + 0.5) * cy + dy
            for i in range(
                max(int((min(ax, bx, ex) - ox) / cx - 1.5), 0), min(int((max(ax, bx, ex) - ox) / cx + 1.5), nx)
            ):
                x = ox + (i + 0.5) * cx + dx
                b = ((x - ax) * (ey - ay) - (ex - ax) * (y - ay)) / area
                e = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / area
                if b >= 0.0 and e >= 0.0 and b + e <= 1.0 and many[j, i] < 2 * PARTS:
                    found[j, i, many[j, i]] = az + b * (bz - az) + e * (ez - az)
                    many[j, i] += 1
