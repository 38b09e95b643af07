"""Moments as people say them, in the shop's own time zone."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(at: datetime, timezone: str) -> str:
    """A day: "Sat 28 Nov 2026"."""
    local = at.astimezone(ZoneInfo(timezone))
    return f"{DAYS[local.weekday()]} {local.day} {MONTHS[local.month - 1]} {local.year}"


def moment(at: datetime, timezone: str) -> str:
    """A moment: "Sat 28 Nov, 18:00"."""
    local = at.astimezone(ZoneInfo(timezone))
    return f"{DAYS[local.weekday()]} {local.day} {MONTHS[local.month - 1]}, {local:%H:%M}"


def stretch(start: datetime, end: datetime, timezone: str) -> str:
    """From when to when: "Fri 27 Nov, 13:00 to 16:30"; the second day only where it is another."""
    zone = ZoneInfo(timezone)
    a, b = start.astimezone(zone), end.astimezone(zone)
    last = f"{b:%H:%M}" if a.date() == b.date() else f"{DAYS[b.weekday()]} {b:%H:%M}"
    return f"{moment(start, timezone)} to {last}"
