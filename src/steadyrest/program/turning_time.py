"""The time of a move at feed per turn while the surface speed is held: the spindle, and so the feed, changes with X.

Speed along the path v(s) = f n(s) with n = min(cap, 1000 vc / (2 pi r)). From rest it rises with the acceleration until
it meets v(s), follows it, and falls with the acceleration to rest at the end. With a constant v that is L/v + v/a.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from steadyrest.program.run import FloatArray, Motion, Moves, Plane

PIECES = 256  # of a move; a facing cut over 50 mm is within 1e-5 of the closed form


def turning_move_s(moves: Moves, index: int, accel_mm_s2: float) -> float:
    """The time of one such move, from rest to rest.

    Args:
        moves: all moves; X is a radius.
        index: which of them.
        accel_mm_s2: along the path; inf allowed.
    Returns: s.
    """
    length = float(moves.length_mm[index])
    if length <= 0:
        return 0.0
    turn_s = _s_per_turn(radii_mm(moves, index, PIECES), moves.surface_m_min[index], moves.rpm_cap[index])
    return float(_profile_time(length, turn_s / moves.feed_per_turn_mm[index], accel_mm_s2))


def radii_mm(moves: Moves, index: int, pieces: int) -> FloatArray:
    """(pieces + 1,) distance from the spindle's axis at even steps along a move.

    Args:
        moves: all moves; X is a radius.
        index: which of them.
        pieces: how many steps; >= 1.
    Returns: mm, never negative.
    """
    share = np.linspace(0.0, 1.0, pieces + 1)
    start, end = moves.start_mm[index], moves.end_mm[index]
    zero = moves.offset_mm[index, 0]
    if moves.motion[index] in (Motion.ARC_CW, Motion.ARC_CCW):
        first, second = {Plane.XY: (0, 1), Plane.ZX: (2, 0), Plane.YZ: (1, 2)}[Plane(int(moves.plane[index]))]
        centre = moves.centre_mm[index]
        a, b = start - centre, end - centre
        radius = math.hypot(a[first], a[second])
        from_angle = math.atan2(a[second], a[first])
        swept = math.atan2(b[second], b[first]) - from_angle
        if moves.motion[index] == Motion.ARC_CCW:
            swept += math.tau if swept <= 1e-9 else 0.0
        else:
            swept -= math.tau if swept >= -1e-9 else 0.0
        angle = from_angle + swept * share
        along = {first: centre[first] + radius * np.cos(angle), second: centre[second] + radius * np.sin(angle)}
        x = along.get(0, start[0] + (end[0] - start[0]) * share)
    else:
        x = start[0] + (end[0] - start[0]) * share
    return np.abs(x - zero)


def _s_per_turn(radius_mm: FloatArray, surface_m_min: float, cap_rpm: float) -> FloatArray:
    return 60.0 * np.maximum(1.0 / cap_rpm, math.tau * radius_mm / (1000.0 * surface_m_min))


@njit(cache=True)
def _profile_time(length: float, slow: FloatArray, accel: float) -> float:
    """From rest to rest under a limit on speed, given as s/mm at even steps and straight between them."""
    if math.isinf(accel):
        return _following(slow, length, 0.0, length)
    rising = _meets(slow, length, accel)
    falling = length - _meets(slow[::-1].copy(), length, accel)
    if rising >= falling:
        return 2.0 * math.sqrt(length / accel)
    ramps = math.sqrt(2.0 * rising / accel) + math.sqrt(2.0 * (length - falling) / accel)
    return ramps + _following(slow, length, rising, falling)


@njit(cache=True)
def _at(slow: FloatArray, length: float, s: float) -> float:
    place = s / length * (len(slow) - 1)
    i = min(int(place), len(slow) - 2)
    return slow[i] + (slow[i + 1] - slow[i]) * (place - i)


@njit(cache=True)
def _meets(slow: FloatArray, length: float, accel: float) -> float:
    """Where speed from rest, sqrt(2 a s), first meets the limit; the length where it never does."""
    pieces = len(slow) - 1
    for i in range(pieces):
        high = length * (i + 1) / pieces
        if 2.0 * accel * high * slow[i + 1] ** 2 >= 1.0:
            low = length * i / pieces
            for _ in range(60):
                middle = 0.5 * (low + high)
                if 2.0 * accel * middle * _at(slow, length, middle) ** 2 >= 1.0:
                    high = middle
                else:
                    low = middle
            return high
    return length


@njit(cache=True)
def _following(slow: FloatArray, length: float, low: float, high: float) -> float:
    """The time along the limit from one place to another: the trapezium rule, exact where the limit is straight."""
    pieces = len(slow) - 1
    total = 0.0
    for i in range(pieces):
        a = max(low, length * i / pieces)
        b = min(high, length * (i + 1) / pieces)
        if b > a:
            total += 0.5 * (_at(slow, length, a) + _at(slow, length, b)) * (b - a)
    return total
