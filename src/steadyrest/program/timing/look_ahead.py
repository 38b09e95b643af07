"""Move times under a control that looks ahead: corners are rounded within a tolerance, not stopped at.

A corner between two straight directions is taken as the arc that leaves the path by no more than `corner_mm`: with the
angle b between what was driven and what comes (0: straight on), radius R = corner cos(b/2) / (1 - cos(b/2)), and speed
sqrt(a R). An arc is not driven faster than sqrt(a R) either. Then each speed is lowered until every block can be left
and entered with the acceleration (one pass back, one forward), and each block is a trapezium between its two speeds.

Rest is forced by exact stops, rapids, and events that the control waits for: tool, spindle, dwell, stops, calls.
Source: uniform acceleration and the geometry of a fillet; the slow twin in tests/oracles/slow_look_ahead.py.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.program.run import EventKind, FloatArray, Motion, Plane, Run

RAPID, LINE, CCW = int(Motion.RAPID), int(Motion.LINE), int(Motion.ARC_CCW)
XY, ZX = int(Plane.XY), int(Plane.ZX)
PASSING = (EventKind.COOLANT, EventKind.SPEED_CLAMP)  # the path goes on through these


def rounded_times(run: Run, rapid_s: FloatArray, accel_mm_s2: float, corner_mm: float) -> FloatArray:
    """The time of every move with look-ahead.

    Args:
        run: as read.
        rapid_s: (n,) what each move would take as a rapid, rest to rest.
        accel_mm_s2: along the path; inf allowed.
        corner_mm: how far off a corner may be cut; > 0.
    Returns: (n,) s.
    """
    moves = run.moves
    if math.isinf(accel_mm_s2) or not len(moves):
        speed = moves.feed_mm_min / 60
        with np.errstate(divide="ignore", invalid="ignore"):
            feed_s = np.where(speed > 0, moves.length_mm / speed, 0.0)
        return np.where(moves.motion == RAPID, rapid_s, feed_s)
    rests = np.array(moves.exact_stop, dtype=np.bool_)
    for event in run.events:
        if event.kind not in PASSING and 0 < event.before <= len(moves):
            rests[event.before - 1] = True
    leaving, arriving, radius = _directions(
        moves.motion, moves.plane, moves.start_mm, moves.end_mm, moves.centre_mm, moves.length_mm
    )
    return _passes(
        moves.motion, moves.length_mm, moves.feed_mm_min / 60, rapid_s, rests, leaving, arriving, radius,
        accel_mm_s2, corner_mm,
    )  # fmt: skip


@njit(cache=True)
def _directions(
    motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8],
    start: FloatArray,
    end: FloatArray,
    centre: FloatArray,
    length: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Unit directions at each move's start and end, and an arc's radius of curvature (inf for a straight move)."""
    n = len(motion)
    leaving, arriving, radius = np.zeros((n, 3)), np.zeros((n, 3)), np.full(n, np.inf)
    for i in range(n):
        if motion[i] <= LINE:
            straight = math.sqrt(np.sum((end[i] - start[i]) ** 2))
            if straight > 0.0:
                for axis in range(3):
                    leaving[i, axis] = arriving[i, axis] = (end[i, axis] - start[i, axis]) / straight
            continue
        first, second, third = (0, 1, 2) if plane[i] == XY else ((2, 0, 1) if plane[i] == ZX else (1, 2, 0))
        sign = 1.0 if motion[i] == CCW else -1.0
        rise = end[i, third] - start[i, third]
        flat = math.sqrt(max(length[i] ** 2 - rise**2, 0.0)) / length[i] if length[i] > 0.0 else 1.0
        for which in range(2):
            x = (start[i, first] if which == 0 else end[i, first]) - centre[i, first]
            y = (start[i, second] if which == 0 else end[i, second]) - centre[i, second]
            r = math.sqrt(x * x + y * y)
            if r <= 0.0:
                continue
            into = leaving if which == 0 else arriving
            into[i, first], into[i, second] = -sign * y / r * flat, sign * x / r * flat
            into[i, third] = rise / length[i] if length[i] > 0.0 else 0.0
            radius[i] = r / flat**2 if flat > 0.0 else np.inf
    return leaving, arriving, radius


@njit(cache=True)
def _corner_speed2(before: FloatArray, after: FloatArray, accel: float, corner: float) -> float:
    """Highest squared speed at a corner: inf straight on, 0 where it turns back."""
    along = before[0] * after[0] + before[1] * after[1] + before[2] * after[2]
    half = math.sqrt(max(0.5 * (1.0 + along), 0.0))  # cos(b/2)
    if half > 1.0 - 1e-12:
        return np.inf
    return accel * corner * half / (1.0 - half)


@njit(cache=True)
def _passes(
    motion: npt.NDArray[np.int8],
    length: FloatArray,
    speed: FloatArray,
    rapid_s: FloatArray,
    rests: npt.NDArray[np.bool_],
    leaving: FloatArray,
    arriving: FloatArray,
    radius: FloatArray,
    accel: float,
    corner: float,
) -> FloatArray:
    n = len(motion)
    times = np.zeros(n)
    feed = np.empty(n, np.int64)  # the blocks that feed and go somewhere
    limit2, leave2 = np.empty(n), np.zeros(n)  # squared speed: each one's own limit, and at its end
    count, joined = 0, False
    for i in range(n):
        if motion[i] == RAPID:
            times[i] = rapid_s[i]
            joined = False
        elif length[i] > 0.0 and speed[i] > 0.0:
            feed[count] = i
            limit2[count] = min(speed[i] ** 2, accel * radius[i])
            if joined:
                corner2 = _corner_speed2(arriving[feed[count - 1]], leaving[i], accel, corner)
                leave2[count - 1] = min(corner2, limit2[count - 1], limit2[count])
            count += 1
            joined = not rests[i]
        elif rests[i]:
            joined = False
    for k in range(count - 2, -1, -1):
        leave2[k] = min(leave2[k], leave2[k + 1] + 2.0 * accel * length[feed[k + 1]])
    enter2 = 0.0
    for k in range(count):
        i = feed[k]
        leave2[k] = min(leave2[k], enter2 + 2.0 * accel * length[i])
        peak2 = min(limit2[k], 0.5 * (enter2 + leave2[k]) + accel * length[i])
        peak = math.sqrt(peak2)
        ramps = length[i] - (2.0 * peak2 - enter2 - leave2[k]) / (2.0 * accel)
        times[i] = (2.0 * peak - math.sqrt(enter2) - math.sqrt(leave2[k])) / accel + max(ramps, 0.0) / peak
        enter2 = leave2[k]
    return times
