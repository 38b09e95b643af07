"""How long anyone is up: no day of work is longer than its limit, and after it there is rest before the next begins.

Somebody's day begins with the first hour they are in after a rest. A gap shorter than a rest, be it lunch or the hours
between an evening's work and a call at night, does not end the day: the limit counts from its beginning.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

SMALL_S = 1e-6
Hours = tuple[tuple[float, float], ...]


def rested(hours: Hours, *, longest_s: float, rest_s: float, day: tuple[float, float] | None = None) -> Hours:
    """These hours without those that would make a day too long, or a rest too short.

    Args:
        hours: (from, to), sorted and disjoint, s.
        longest_s: from the beginning of a day to the end of its last hour; inf: no limit.
        rest_s: a gap as long as this ends a day; > 0 where there is a limit.
        day: when the day begun before the first of the hours began, and when it was last worked on; None: rested.
    Returns: sorted, disjoint, each within one of the hours given.
    """
    if longest_s == math.inf:
        return hours
    out: list[tuple[float, float]] = []
    began, last = day if day is not None else (-math.inf, -math.inf)
    for begin, end in hours:
        at = begin
        while at < end:
            if at - last >= rest_s - SMALL_S:
                began = at
            stop = min(end, began + longest_s)
            if stop > at:
                out.append((at, stop))
                last = stop
            at = max(stop, last + rest_s, at)
            if stop == end:
                break
    return tuple(out)


def day_begun(hours: Iterable[tuple[float, float]], *, now_s: float, rest_s: float) -> tuple[float, float] | None:
    """The day of somebody that is not over at this moment: when it began, and until when it was worked on.

    Args:
        hours: (from, to), sorted and disjoint, s; those before the moment are looked at.
        now_s: the moment.
        rest_s: a gap as long as this ends a day.
    Returns: both, the later at most now; None: they are rested.
    """
    began = last = -math.inf
    for begin, end in hours:
        if begin >= now_s:
            break
        if begin - last >= rest_s:
            began = begin
        last = min(end, now_s)
    return (began, last) if now_s - last < rest_s else None
