"""Time running down a page: hours to scale, empty nights folded to a strip, a heading where a day begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

HEADING_MM = 7.0
FOLD_MM = 8.0
FOLDED_FROM = timedelta(minutes=75)

Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of time and where it lies, mm from the top. folded: nobody is in and nothing runs."""

    start: datetime
    end: datetime
    top: float
    bottom: float
    folded: bool


@dataclass(frozen=True, slots=True)
class Scale:
    """segments: in order, without gaps in time. headings: (mm from the top, day) of each day's strip."""

    segments: tuple[Segment, ...]
    headings: tuple[tuple[float, date], ...]
    hour_mm: float

    def down(self, moment: datetime, *, opens: bool = False) -> float:
        """Where a moment lies, mm from the top; before and after the window at its edges.

        Where one segment meets the next with a heading between them, what opens then lies below the heading.
        """
        if moment <= self.segments[0].start:
            return self.segments[0].top
        for segment in self.segments:
            if moment < segment.end or (moment == segment.end and not opens):
                share = (moment - segment.start) / (segment.end - segment.start)
                return segment.top + share * (segment.bottom - segment.top)
        return self.segments[-1].bottom

    @property
    def bottom(self) -> float:
        return self.segments[-1].bottom


def scale(
    busy: Sequence[Span], *, start: datetime, end: datetime, zone: ZoneInfo, top: float, height_mm: float | None,
    hour_mm: float,
) -> Scale:  # fmt: skip
    """The scale for a window of time.

    Args:
        busy: stretches in which somebody is in or something runs, in any order.
        start, end: the window.
        zone: where days begin.
        top: mm from the top of the page at which the first heading stands.
        height_mm: all that there is for the scale; None: `hour_mm` rules.
        hour_mm: mm an hour when the height is free.
    Returns: the scale.
    """
    pieces = _pieces(busy, start, end, zone)
    if height_mm is not None:
        days = len({piece[0].astimezone(zone).date() for piece in pieces if not piece[2]})
        free = height_mm - days * HEADING_MM - FOLD_MM * sum(folded for _, _, folded in pieces)
        hours = sum((b - a).total_seconds() for a, b, folded in pieces if not folded) / 3600
        hour_mm = max(2.0, min(hour_mm, free / max(hours, 1.0)))
    segments: list[Segment] = []
    headings: list[tuple[float, date]] = []
    at = top
    for a, b, folded in pieces:
        day = a.astimezone(zone).date()
        if not folded and (not headings or headings[-1][1] != day):
            headings.append((at, day))
            at += HEADING_MM
        long = FOLD_MM if folded else (b - a).total_seconds() / 3600 * hour_mm
        segments.append(Segment(a, b, at, at + long, folded))
        at += long
    return Scale(tuple(segments), tuple(headings), hour_mm)


def hours(segment: Segment, zone: ZoneInfo, every: int) -> tuple[datetime, ...]:
    """The full local hours within a segment, every so many of the day."""
    found: list[datetime] = []
    moment = segment.start.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
    while moment < segment.end:
        local = moment.astimezone(zone)
        if moment >= segment.start and local.minute == 0 and local.hour % every == 0:
            found.append(moment)
        moment += timedelta(hours=1)
    return tuple(found)


def _pieces(
    busy: Sequence[Span], start: datetime, end: datetime, zone: ZoneInfo
) -> list[tuple[datetime, datetime, bool]]:
    """The window cut where it goes from busy to empty, and at midnight where it is busy."""
    at, out = start, list[tuple[datetime, datetime, bool]]()

    def add(a: datetime, b: datetime, folded: bool) -> None:
        if a >= b:
            return
        if not folded and out and not out[-1][2]:
            a = out.pop()[0]
        while not folded:
            midnight = datetime.combine(a.astimezone(zone).date() + timedelta(days=1), time(), tzinfo=zone)
            if midnight >= b:
                break
            out.append((a, midnight.astimezone(UTC), False))
            a = midnight.astimezone(UTC)
        out.append((a, b, folded))

    for a, b in sorted(span for span in busy if span[1] > start and span[0] < end):
        if a - at > FOLDED_FROM:
            add(at, a, True)
        else:
            add(at, min(a, end), False)
        add(max(a, at), min(b, end), False)
        at = max(at, min(b, end))
    add(at, end, end - at > FOLDED_FROM)
    return out
