"""Hours of an entry by walking through it second by second (or in wider steps that divide every boundary)."""

from __future__ import annotations

from datetime import UTC, timedelta
from fractions import Fraction


def slow_parts(entry, windows, zone, step_s: int = 60):
    """[(factor, hours)], neighbours of one factor together. windows: (factor, weekdays or None, from_min, to_min)."""
    at, end = entry.start.astimezone(UTC), entry.end.astimezone(UTC)
    parts: list[list] = []
    while at < end:
        local = at.astimezone(zone)
        minute = local.hour * 60 + local.minute
        best = Fraction(1)
        for factor, days, low, high in windows:
            today = days is None or local.weekday() in days
            yesterday = days is None or (local.weekday() - 1) % 7 in days
            inside = (
                (today and low <= minute < high)
                if low < high
                else (today and minute >= low) or (yesterday and minute < high)
            )
            if inside:
                best = max(best, factor)
        if parts and parts[-1][0] == best:
            parts[-1][1] += Fraction(step_s, 3600)
        else:
            parts.append([best, Fraction(step_s, 3600)])
        at += timedelta(seconds=step_s)
    return [(factor, hours) for factor, hours in parts]
