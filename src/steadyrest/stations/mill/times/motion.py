"""How long a path takes that is known by its figures only: length, pieces, feed, acceleration, what corners cost.

A control that ends each block at rest loses v/a in each; one that looks ahead takes a corner as fast as the path may
be off there. Both are one form: a piece begins and ends at the speed of its corners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.floor import MillLimits


@dataclass(frozen=True, slots=True)
class Drive:
    """What the machine's axes do. accel_mm_s2: along the path. corner_mm: how far off a corner may be cut; None: stops.

    rapid_mm_min: (across the table, up and down).
    """

    accel_mm_s2: float
    rapid_mm_min: tuple[float, float]
    corner_mm: float | None = None

    def corner_speed(self, turn_rad: float = math.pi / 2.0) -> float:
        """Speed through a corner, mm/s: of the fillet that leaves it by corner_mm; 0 where blocks end at rest."""
        if self.corner_mm is None:
            return 0.0
        half = math.cos(turn_rad / 2.0)
        return math.sqrt(self.accel_mm_s2 * self.corner_mm * half / (1.0 - half))

    def piece_s(self, length_mm: float, feed_mm_min: float, ends_mm_s: float = 0.0) -> float:
        """Time of a straight piece between two corners.

        Args:
            length_mm: of the piece; >= 0.
            feed_mm_min: programmed; > 0.
            ends_mm_s: speed at both its ends, at most the feed.
        Returns: s.
        Source: uniform acceleration.
        """
        if length_mm <= 0:
            return 0.0
        speed, accel = feed_mm_min / 60.0, self.accel_mm_s2
        ends = min(ends_mm_s, speed)
        peak = min(speed, math.sqrt(ends * ends + accel * length_mm))
        ramps_mm = (peak * peak - ends * ends) / accel
        return 2.0 * (peak - ends) / accel + max(length_mm - ramps_mm, 0.0) / peak

    def path_s(self, length_mm: float, pieces: float, feed_mm_min: float) -> float:
        """Time of a path of so many alike pieces with a right-angled corner between any two, closed or nearly so.

        Args:
            length_mm: in all.
            pieces: how many; a mean may be broken; > 0.
            feed_mm_min: programmed; > 0.
        Returns: s.
        """
        pieces = max(pieces, 1.0)
        return pieces * self.piece_s(length_mm / pieces, feed_mm_min, self.corner_speed())

    def across_s(self, length_mm: float) -> float:
        """A rapid over the table, rest to rest, s."""
        return self.piece_s(length_mm, self.rapid_mm_min[0])

    def upward_s(self, length_mm: float) -> float:
        """A rapid up or down, rest to rest, s."""
        return self.piece_s(length_mm, self.rapid_mm_min[1])


def drive_of(limits: MillLimits) -> Drive:
    """What this mill's axes do: over the table as fast as the slower of X and Y, corners as its control takes them.

    Args:
        limits: of the mill.
    Returns: its drive.
    """
    x, y, z = limits.rapid_mm_min
    return Drive(limits.accel_mm_s2, (min(x, y), z), limits.corner_mm)
