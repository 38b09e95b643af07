"""The time of a move at feed per turn while the surface speed is held: the spindle, and so the feed, changes with X.

Speed along the path v(s) = f n(s) with n = min(cap, 1000 vc / (2 pi r)). From rest it rises with the acceleration until
it meets v(s), follows it, and falls with the acceleration to rest at the end. With a constant v that is L/v + v/a.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.program.reading.arcs import swept
from steadyrest.program.run import FloatArray, IntArray, Motion, Moves, Plane

PIECES = 256  # of a move; the limit is straight between them but for the kink at the cap: within 1e-5 of the integral
LINE, CW = int(Motion.LINE), int(Motion.ARC_CW)
XY, ZX = int(Plane.XY), int(Plane.ZX)


def turning_times(moves: Moves, which: IntArray, accel_mm_s2: float) -> FloatArray:
    """The times of such moves, each from rest to rest.

    Args:
        moves: all moves; X is a radius.
        which: (m,) their numbers; feed per turn and surface speed above 0.
        accel_mm_s2: along the path; inf allowed.
    Returns: (m,) s.
    """
    return _times(
        which, moves.motion, moves.plane, moves.start_mm, moves.end_mm, moves.centre_mm, moves.offset_mm,
        moves.length_mm, moves.feed_per_turn_mm, moves.surface_m_min, moves.rpm_cap, accel_mm_s2,
    )  # fmt: skip


def least_radii_mm(moves: Moves, which: IntArray) -> FloatArray:
    """The least distance from the spindle's axis: all along a feed move, at its end for a rapid.

    Args:
        moves: all moves; X is a radius.
        which: (m,) their numbers.
    Returns: (m,) mm; 0 where a move crosses the axis.
    """
    return _least(which, moves.motion, moves.plane, moves.start_mm, moves.end_mm, moves.centre_mm, moves.offset_mm)


@njit(cache=True)
def _radii(
    i: int,
    motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8],
    start: FloatArray,
    end: FloatArray,
    centre: FloatArray,
    offset: FloatArray,
    into: FloatArray,
) -> None:
    """Distance from the axis, with its sign, at even steps along a move."""
    pieces = len(into) - 1
    arc = motion[i] > LINE and plane[i] != 2
    angle, turn, radius = 0.0, 0.0, 0.0
    if arc:
        u, v = (0, 1) if plane[i] == XY else (2, 0)
        turn = swept(start[i, u], start[i, v], end[i, u], end[i, v], centre[i, u], centre[i, v], motion[i] == CW)
        turn = -turn if motion[i] == CW else turn
        angle = math.atan2(start[i, v] - centre[i, v], start[i, u] - centre[i, u])
        radius = math.sqrt((start[i, u] - centre[i, u]) ** 2 + (start[i, v] - centre[i, v]) ** 2)
    for k in range(pieces + 1):
        share = k / pieces
        if arc:
            there = angle + turn * share
            x = centre[i, 0] + radius * (math.cos(there) if plane[i] == XY else math.sin(there))
        else:
            x = start[i, 0] + (end[i, 0] - start[i, 0]) * share
        into[k] = x - offset[i, 0]


@njit(cache=True)
def _least(
    which: IntArray,
    motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8],
    start: FloatArray,
    end: FloatArray,
    centre: FloatArray,
    offset: FloatArray,
) -> FloatArray:
    least = np.empty(len(which))
    radii = np.empty(65)
    for k in range(len(which)):
        i = which[k]
        a, b = start[i, 0] - offset[i, 0], end[i, 0] - offset[i, 0]
        if motion[i] < LINE:
            least[k] = abs(b)
        elif motion[i] == LINE:
            least[k] = 0.0 if a * b < 0.0 else min(abs(a), abs(b))
        else:
            _radii(i, motion, plane, start, end, centre, offset, radii)
            crosses = np.min(radii) < 0.0 < np.max(radii)
            least[k] = 0.0 if crosses else np.min(np.abs(radii))
    return least


@njit(cache=True)
def _times(
    which: IntArray,
    motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8],
    start: FloatArray,
    end: FloatArray,
    centre: FloatArray,
    offset: FloatArray,
    length: FloatArray,
    feed: FloatArray,
    surface: FloatArray,
    cap: FloatArray,
    accel: float,
) -> FloatArray:
    times = np.zeros(len(which))
    slow = np.empty(PIECES + 1)
    for k in range(len(which)):
        i = which[k]
        if not length[i] > 0.0:
            continue
        _radii(i, motion, plane, start, end, centre, offset, slow)
        for piece in range(PIECES + 1):
            turn_s = max(1.0 / cap[i], 2.0 * math.pi * abs(slow[piece]) / (1000.0 * surface[i]))
            slow[piece] = 60.0 * turn_s / feed[i]
        times[k] = _profile_time(float(length[i]), slow, accel)
    return times


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
