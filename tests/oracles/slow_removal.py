"""Removal the slow way: every sample of a tool's surface against every point along its path, no closed forms.

A mill's cell is lowered to the least height of the tool over many stations along the path; a tool is given as a plain
function from distance to height. No tiles, no spans, no tilted profiles.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
Lift = Callable[[FloatArray], FloatArray]


def end_mill(radius_mm: float) -> Lift:
    """A flat end."""
    return lambda away: np.where(away <= radius_mm, 0.0, np.inf)


def ball(radius_mm: float) -> Lift:
    """A ball's end."""
    return lambda away: np.where(
        away <= radius_mm, radius_mm - np.sqrt(np.maximum(radius_mm**2 - away**2, 0.0)), np.inf
    )


def bull(radius_mm: float, corner_mm: float) -> Lift:
    """A flat end with rounded corners."""

    def lift(away: FloatArray) -> FloatArray:
        over = np.maximum(away - (radius_mm - corner_mm), 0.0)
        return np.where(away <= radius_mm, corner_mm - np.sqrt(np.maximum(corner_mm**2 - over**2, 0.0)), np.inf)

    return lift


def cone(radius_mm: float, point_rad: float) -> Lift:
    """A drill's point."""
    return lambda away: np.where(away <= radius_mm, away / math.tan(point_rad / 2.0), np.inf)


def milled(
    heights_mm: FloatArray, x_mm: FloatArray, y_mm: FloatArray, stations_mm: FloatArray, lift: Lift, bottom_mm: float
) -> FloatArray:
    """The heights after a tool stood at each station of a path.

    Args:
        heights_mm: (ny, nx) before. x_mm: (nx,), y_mm: (ny,) the cells' centres.
        stations_mm: (m, 3) the tip, close together.
        lift: height of the tool over its tip at a distance from its axis; inf beyond it.
        bottom_mm: nothing goes below.
    Returns: (ny, nx) after.
    """
    after = heights_mm.copy()
    for x, y, z in stations_mm:
        away = np.hypot(x_mm[None, :] - x, y_mm[:, None] - y)
        after = np.minimum(after, np.maximum(z + lift(away), bottom_mm))
    return after


def straight(start_mm: FloatArray, end_mm: FloatArray, count: int) -> FloatArray:
    """(count, 3) stations along a straight move, both ends among them."""
    t = np.linspace(0.0, 1.0, count)[:, None]
    return np.asarray(start_mm) * (1.0 - t) + np.asarray(end_mm) * t


def circular(
    start_mm: FloatArray, end_mm: FloatArray, centre_mm: FloatArray, *, ccw: bool, turns: int, count: int
) -> FloatArray:
    """(count, 3) stations along an arc in the XY plane, rising evenly, with so many whole turns more."""
    begin = math.atan2(start_mm[1] - centre_mm[1], start_mm[0] - centre_mm[0])
    end = math.atan2(end_mm[1] - centre_mm[1], end_mm[0] - centre_mm[0])
    turn = (end - begin) % (2.0 * math.pi) if ccw else -((begin - end) % (2.0 * math.pi))
    if abs(turn) < 1e-9:
        turn = 2.0 * math.pi if ccw else -2.0 * math.pi
    turn += math.copysign(2.0 * math.pi * turns, turn)
    t = np.linspace(0.0, 1.0, count)
    radius = math.hypot(start_mm[0] - centre_mm[0], start_mm[1] - centre_mm[1])
    return np.column_stack(
        [
            centre_mm[0] + radius * np.cos(begin + turn * t),
            centre_mm[1] + radius * np.sin(begin + turn * t),
            start_mm[2] + (end_mm[2] - start_mm[2]) * t,
        ]
    )
