"""Rows: how an open area is cleared or faced to and fro, from its figures alone.

An area open to the air is taken as the rectangle of the same area and boundary: a ledge along a wall, or round a boss,
is long and narrow, a face is neither. Rows run along it; the first keeps a radius off the wall, the last leaves nothing
beyond it; each runs out into the air at both ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.stations.mill.times.motion import Drive


@dataclass(frozen=True, slots=True)
class Rows:
    """count rows of length_mm each, step_mm apart."""

    count: int
    length_mm: float
    step_mm: float

    def time_s(self, drive: Drive, feed_mm_min: float) -> float:
        """To and fro, the steps between rows at feed as well.

        Args:
            drive: what the axes do.
            feed_mm_min: of the cut.
        Returns: s.
        """
        ends = drive.corner_speed()
        rows = self.count * drive.piece_s(self.length_mm, feed_mm_min, ends)
        return rows + (self.count - 1) * drive.piece_s(self.step_mm, feed_mm_min, ends)


def rectangle(area_mm2: float, around_mm: float) -> tuple[float, float]:
    """The rectangle of an area and a boundary; the square where the boundary is too short for one.

    Args:
        area_mm2: > 0.
        around_mm: its boundary; 0: not known, then a square.
    Returns: (length, width), mm.
    """
    half = around_mm / 2.0
    under = half * half - 4.0 * area_mm2
    if under <= 0:
        return math.sqrt(area_mm2), math.sqrt(area_mm2)
    length = (half + math.sqrt(under)) / 2.0
    return length, area_mm2 / length


def rows_over(
    length_mm: float, width_mm: float, *, diameter_mm: float, step_mm: float, over_mm: float, walled: bool
) -> Rows:
    """The rows that cover a rectangle.

    Args:
        length_mm, width_mm: of the rectangle.
        diameter_mm: of the tool.
        step_mm: at most, from row to row; they are spread evenly.
        over_mm: how far the tool's edge runs out at each end.
        walled: the first row lies along a wall, a radius off it; else both outer rows may stand half in the air.
    Returns: at least one row.
    """
    free_mm = width_mm - diameter_mm if walled else width_mm - step_mm
    count = 1 + max(math.ceil(free_mm / step_mm - 1e-9), 0)
    spread_mm = free_mm / (count - 1) if count > 1 else step_mm
    return Rows(count, length_mm + diameter_mm + 2.0 * over_mm, spread_mm)
