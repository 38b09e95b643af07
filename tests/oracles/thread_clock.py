"""A plain clock for single point threading: every move of every pass written out, each run in small steps of time.

Written from the description alone (run in, thread, run out at lead times spindle speed; tool out, back, in at rapid;
half a turn of waiting), with the infeeds as a handbook prints them. Shares nothing with the station but those numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass
class Lathe:
    """rapids in mm/min, acceleration in mm/s2."""

    rapid_x: float
    rapid_z: float
    accel: float


def infeeds(height: float, passes: int) -> list[float]:
    """Depth after each pass: ap / sqrt(nap - 1) * sqrt(0.3, 1, 2, ...)."""
    return [height / math.sqrt(passes - 1) * math.sqrt(phi) for phi in [0.3, *range(1, passes)]]


def moved(length: float, speed_mm_min: float, accel: float, step: float = 1e-4) -> float:
    """Seconds for one move from rest to rest, by stepping: speed up while there is room to slow down again."""
    top, at, v, t = speed_mm_min / 60, 0.0, 0.0, 0.0
    while at < length:
        left = length - at
        v = min(v + accel * step, top, math.sqrt(2 * accel * left))
        v = max(v, accel * step / 2)
        at += v * step
        t += step
    return t


def clocked(
    lathe: Lathe,
    *,
    lead: float,
    rpm: float,
    run: float,
    height: float,
    lift: float,
    passes: int,
    springs: int,
    starts: int,
) -> tuple[float, float]:
    """(cutting, everything else) seconds; run: whole way of a pass with run-in and run-out."""  # fmt: skip
    cut = other = 0.0
    for _ in range(starts):
        for _deep in [*infeeds(height, passes), *[height] * springs]:
            cut += moved(run, rpm * lead, lathe.accel)
            other += 30 / rpm
            other += 2 * moved(height + lift, lathe.rapid_x, lathe.accel)
            other += moved(run, lathe.rapid_z, lathe.accel)
    return cut, other
