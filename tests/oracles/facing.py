"""Facing at constant surface speed, stepped through in thin rings: the slow twin of the closed form."""

from __future__ import annotations

import math


def facing_time_s(outer_mm: float, inner_mm: float, speed_m_min: float, feed_mm_rev: float, cap_rpm: float) -> float:
    """Sum over many rings of ring width / (feed x spindle speed there)."""
    rings = 20_000
    width = (outer_mm - inner_mm) / rings
    total_min = 0.0
    for i in range(rings):
        radius = inner_mm + (i + 0.5) * width
        rpm = min(1000.0 * speed_m_min / (2.0 * math.pi * radius), cap_rpm)
        total_min += width / (feed_mm_rev * rpm)
    return total_min * 60.0
