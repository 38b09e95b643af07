"""Stretches of time."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from steadyrest.units.written import NUMBER, amount_of, plain_text, refuse

LONGEST_S = 10 * 365 * 86400
TIMES = {name: Fraction(size) for size, names in (
    (86400, ("d", "day", "days")), (3600, ("h", "hr", "hrs", "hour", "hours")),
    (60, ("min", "minute", "minutes")), (1, ("s", "sec", "second", "seconds")),
) for name in names}  # fmt: skip


def parse_time(text: str, where: str = "time") -> float:
    """A stretch of time as written, in s.

    Args:
        text: `90 min`, `1.5 h`, `45s`, `1 h 30 min`, `1:30` (hours:minutes), `1:30:15`, `2 days`; a day is 24 h.
        where: the field or key, for the line a person sees.
    Returns: s, not negative.
    Raises: BadInput: not a time, or a number without a unit.
    """
    how = "Write a time such as 45 s, 90 min, 1.5 h or 1:30."
    plain = plain_text(text, where, how)
    if clock := re.fullmatch(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?", plain):
        return int(clock[1]) * 3600.0 + int(clock[2]) * 60 + int(clock[3] or 0)
    if re.fullmatch(NUMBER, plain):
        refuse(where, text, "has no unit.", how)
    seconds = amount_of(plain, TIMES)
    if seconds is None:
        refuse(where, text, "is not a time.", how)
    if seconds > LONGEST_S:
        refuse(where, text, "is longer than ten years.", "Check the number and its unit.")
    return seconds


def show_time(s: float, *, to_the_minute: bool = False) -> str:
    """A stretch of time as a person reads it, no finer than it deserves.

    Args:
        s: seconds; negative for earlier.
        to_the_minute: True for hours that were really clocked; estimates above half an hour go by five minutes,
            above ten hours by the half hour, above a day by the hour.
    Returns: "45 s", "2 min 30 s", "12 min", "2 h 10 min", "1 day 3 h".
    Raises: ValueError: not finite.
    """
    if not math.isfinite(s):
        raise ValueError(f"show_time: {s!r} cannot be shown")
    if s < 0:
        return f"-{show_time(-s, to_the_minute=to_the_minute)}"
    if s < 89.5:
        return f"{math.floor(s + 0.5)} s"
    if s < 595:
        return _together(_nearest(s, 10), (("min", 60), ("s", 1)))
    if to_the_minute:
        return _together(_nearest(s, 60), (("h", 3600), ("min", 60)))
    grain_s = 60 if s < 1800 else 300 if s < 36000 else 1800 if s < 86400 - 900 else 3600
    return _together(_nearest(s, grain_s), (("day", 86400), ("h", 3600), ("min", 60)))


def _nearest(s: float, grain_s: int) -> int:
    return math.floor(s / grain_s + 0.5) * grain_s


def _together(whole_s: int, sizes: tuple[tuple[str, int], ...]) -> str:
    """The largest unit that fits and the one below it, the second left out where it is zero."""
    first = next(at for at, (_, size) in enumerate(sizes) if whole_s >= size)
    shown: list[str] = []
    for name, size in sizes[first : first + 2]:
        count, whole_s = divmod(whole_s, size)
        if count:
            shown.append(f"{count} {name}{'s' if name == 'day' and count > 1 else ''}")
    return " ".join(shown)
