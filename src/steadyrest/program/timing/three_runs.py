"""A machine's three constants from three short programs and a stopwatch: feed limit, acceleration, tool change.

To and fro over a short way hardly reaches the feed, and a control that looks ahead must still stop where it turns back:
a way of length l takes 2 sqrt(l / a), or l / v + v / a where it does. One long way at a feed beyond the limit takes
L / v + v / a. Two tools changed to and fro take a change each. fit_time.py does better where programs were timed that
ran anyway.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.trouble import BadInput

SHORT_MM, WAYS = 2.0, 200
LONG_MM = 300.0
CHANGES = 6
BEYOND_MM_MIN = 60_000.0


@dataclass(frozen=True, slots=True)
class Measured:
    """max_feed_mm_min: the fastest feed that the machine really drives. accel_mm_s2: along a straight way."""

    max_feed_mm_min: float
    accel_mm_s2: float
    tool_change_s: float


def three_programs(feed_mm_min: float = BEYOND_MM_MIN) -> tuple[str, str, str]:
    """The programs to run in the air, along X from where the machine stands, in millimetres.

    Args:
        feed_mm_min: as high as the control takes; for a feed limit it must lie above the machine's.
    Returns: (short ways, long ways, tool changes). The long way is gone out and back.
    """
    head = ["%", "G21 G17 G94 G91", "T1 M6"]
    shorts = [f"G1 X{SHORT_MM if k % 2 == 0 else -SHORT_MM:g} F{feed_mm_min:g}" for k in range(WAYS)]
    longs = [f"G1 X{LONG_MM:g} F{feed_mm_min:g}", f"G1 X{-LONG_MM:g} F{feed_mm_min:g}"]
    changes = [f"T{2 if k % 2 == 0 else 1} M6" for k in range(CHANGES)]
    short, long, change = ("\n".join([*head, *lines, "M30", "%", ""]) for lines in (shorts, longs, changes))
    return short, long, change


def measured(*, short_s: float, long_s: float, change_s: float) -> Measured:
    """The constants from the three times, each from the first move (or change) to the last.

    Args:
        short_s: of the short ways.
        long_s: of the long way out and back.
        change_s: of all tool changes.
    Returns: the constants.
    Raises: BadInput: a time that is not above 0, or a long way that took less than its acceleration allows.
    Source: uniform acceleration. Checked in tests/program/timing/test_three_runs.py.
    """
    for name, seconds in (("short_s", short_s), ("long_s", long_s), ("change_s", change_s)):
        if not seconds > 0:
            raise BadInput(where="timed programs", what=f"{name} is {seconds:g} s.", do="Time the program again.")
    one_s, way_s = long_s / 2.0, short_s / WAYS
    # Where even the short way reaches the limit, both ways lose v/a, and their difference is length over speed.
    if one_s > way_s:
        speed = (LONG_MM - SHORT_MM) / (one_s - way_s)
        ramp_s = way_s - SHORT_MM / speed
        if ramp_s > 0 and speed * ramp_s <= SHORT_MM:
            return Measured(60.0 * speed, speed / ramp_s, change_s / CHANGES)
    accel = 4.0 * SHORT_MM / way_s**2
    least_s = 2.0 * math.sqrt(LONG_MM / accel)
    if one_s < least_s * 0.98:
        raise BadInput(
            where="timed programs",
            what=f"the long way took {one_s:g} s, less than the {least_s:.2f} s that the short ways allow.",
            do="Time both again with the same override.",
        )
    # L / v + v / a = t: the smaller root; where the limit is hardly reached, the speed that is.
    under = (accel * one_s) ** 2 - 4.0 * accel * LONG_MM
    speed = (accel * one_s - math.sqrt(max(under, 0.0))) / 2.0
    return Measured(60.0 * speed, accel, change_s / CHANGES)
