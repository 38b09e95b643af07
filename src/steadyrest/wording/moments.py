"""Moments as people say them, in the shop's own time zone."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(at: datetime, timezone: str) -> str:
    """A day: "Sat 28 Nov 2026"."""
    local = at.astimezone(ZoneInfo(timezone))
    return f"{DAYS[local.weekday()]} {local.day} {MONTHS[local.month - 1]} {local.year}"


def calendar_day(on: date) -> str:
    """A day of the calendar: "Sat 28 Nov 2026"."""
    return f"{DAYS[on.weekday()]} {on.day} {MONTHS[on.month - 1]} {on.year}"


def moment(at: datetime, timezone: str) -> str:
    """A moment: "Sat 28 Nov, 18:00"."""
    return on_the_wall(at.astimezone(ZoneInfo(timezone)))


def on_the_wall(local: datetime) -> str:
    """A moment by its own offset: "Sat 28 Nov, 18:00"."""
    return f"{DAYS[local.weekday()]} {local.day} {MONTHS[local.month - 1]}, {local:%H:%M}"


def stretch(start: datetime, end: datetime, timezone: str) -> str:
    """From when to when: "Fri 27 Nov, 13:00 to 16:30"; the second day only where it is another."""
    zone = ZoneInfo(timezone)
    return stretch_on_the_wall(start.astimezone(zone), end.astimezone(zone))


def stretch_on_the_wall(a: datetime, b: datetime) -> str:
    """From when to when, by their own offsets: "Fri 27 Nov, 13:00 to Sat 06:00"."""
    last = f"{b:%H:%M}" if a.date() == b.date() else f"{DAYS[b.weekday()]} {b:%H:%M}"
    return f"{on_the_wall(a)} to {last}"
