"""Hours of entries: which stand, where the factor changes by the local clock, and how they are rounded."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from typing import Literal
from zoneinfo import ZoneInfo

from steadyrest.price.statement.said import Entry, Rounding, Window

HOUR_S = 3600
DAY = timedelta(days=1)
LOOK = timedelta(hours=1)
ONE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Doubt:
    """An entry that is listed and not billed: without an end, or one of two of a person that overlap."""

    kind: Literal["open", "clash"]
    entry: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """Hours at one factor. day: the local date on which the entry began. entries: whose hours they are."""

    who: str
    day: date
    factor: Fraction
    hours: Fraction
    entries: tuple[str, ...]


def standing(entries: Sequence[Entry]) -> tuple[tuple[Entry, ...], tuple[Doubt, ...]]:
    """The entries to bill, and those in doubt.

    Args:
        entries: in the file's order; what one replaces is gone.
    Returns: entries with an end that clash with none; doubts in the file's order.
    """
    replaced = {entry.replaces for entry in entries}
    left = [entry for entry in entries if entry.id not in replaced]
    clashing = set(_clashes(left))
    doubts: list[Doubt] = []
    for entry in left:
        if entry.end is None:
            doubts.append(Doubt("open", entry.id))
        elif entry.id in clashing:
            doubts.append(Doubt("clash", entry.id))
    doubted = {doubt.entry for doubt in doubts}
    return tuple(entry for entry in left if entry.id not in doubted), tuple(doubts)


def _clashes(entries: Iterable[Entry]) -> Iterator[str]:
    """Ids of entries of one person that share time with another of the same person's."""
    busy: dict[str, list[tuple[datetime, str]]] = {}
    alone = [entry for entry in entries if not entry.shared]
    labour = [(e.start, e.end, e.who, e.id) for e in alone if e.kind == "labour" and e.end is not None]
    for start, end, who, name in sorted(labour, key=lambda entry: (entry[0], entry[1], entry[3])):
        running = [(until, other) for until, other in busy.get(who, []) if until > start]
        if end > start:
            for _, other in running:
                yield other
                yield name
            running.append((end, name))
        busy[who] = running


def stretches(
    entries: Iterable[Entry], windows: Sequence[Window], rounding: Rounding, zone: ZoneInfo
) -> tuple[Stretch, ...]:
    """The hours to bill, rounded.

    Args:
        entries: of one kind, all with an end.
        windows: for labour; none for machines.
        rounding: to which unit, which way, by part of an entry or by day.
        zone: of the local clock.
    Returns: one stretch a part of an entry, or a day, person and factor; in order of time.
    """
    parts = [part for entry in entries for part in parts_of(entry, windows, zone)]
    if rounding.by_day:
        parts = list(_by_day(parts))
    return tuple(
        Stretch(p.who, p.day, p.factor, rounded_hours(p.hours, rounding), p.entries) for p in parts if p.hours > 0
    )


def _by_day(parts: Iterable[Stretch]) -> Iterator[Stretch]:
    together: dict[tuple[str, date, Fraction], list[Stretch]] = {}
    for part in parts:
        together.setdefault((part.who, part.day, part.factor), []).append(part)
    for (who, day, factor), some in together.items():
        ids = tuple(dict.fromkeys(name for part in some for name in part.entries))
        yield Stretch(who, day, factor, sum((part.hours for part in some), Fraction(0)), ids)


def rounded_hours(hours: Fraction, rounding: Rounding) -> Fraction:
    """Hours to whole units: the next unit up, or the nearest with ties up; as they are where the unit is 0."""
    if rounding.unit_h == 0:
        return hours
    units = hours / rounding.unit_h
    whole = -(-units.numerator // units.denominator) if rounding.up else (2 * units + 1) // 2
    return whole * rounding.unit_h


def parts_of(entry: Entry, windows: Sequence[Window], zone: ZoneInfo) -> Iterator[Stretch]:
    """An entry in stretches of one factor, by the time that really passed.

    Args:
        entry: with an end.
        windows: when labour costs more; none: one part.
        zone: of the local clock.
    Returns: parts in order; neighbours of one factor are one part.
    """
    if entry.end is None:
        raise ValueError(f"parts_of: entry {entry.id!r} has no end")
    start, end = entry.start.astimezone(UTC), entry.end.astimezone(UTC)
    day = start.astimezone(zone).date()
    shares = [(a.astimezone(UTC), b.astimezone(UTC), share) for a, b, share in entry.shared]
    turns = _marks(start, end, windows, zone) | {at for a, b, _ in shares for at in (a, b)}
    marks = [start, *(m for m in sorted(turns) if start < m < end), end]
    pieces = [
        (factor_at(a + (b - a) / 2, windows, zone), _hours(b - a) * _share(shares, a, b))
        for a, b in itertools.pairwise(marks)
        if b > a
    ]
    for factor, some in itertools.groupby(pieces, key=lambda piece: piece[0]):
        yield Stretch(entry.who, day, factor, sum((hours for _, hours in some), Fraction(0)), (entry.id,))


def _share(shares: Sequence[tuple[datetime, datetime, Fraction]], a: datetime, b: datetime) -> Fraction:
    """What of the time from a to b counts, which lies in one part or none."""
    return next((share for start, end, share in shares if start <= a and b <= end), ONE)


def _hours(length: timedelta) -> Fraction:
    return Fraction(length // timedelta(microseconds=1), 1_000_000 * HOUR_S)


def _marks(start: datetime, end: datetime, windows: Sequence[Window], zone: ZoneInfo) -> set[datetime]:
    """Moments at which the factor may change: the windows' times on every day, midnights, and turns of the clock."""
    times = {time(0)} | {t for window in windows for t in (window.begin, window.end) if t is not None}
    found: set[datetime] = set()
    if not windows:
        return found
    day, last = start.astimezone(zone).date() - DAY, end.astimezone(zone).date() + DAY
    while day <= last:
        for at in times:
            local = datetime.combine(day, at, zone)
            found |= {local.astimezone(UTC), local.replace(fold=1).astimezone(UTC)}
        day += DAY
    return found | set(_turns_of_the_clock(start, end, zone))


def _turns_of_the_clock(start: datetime, end: datetime, zone: ZoneInfo) -> Iterator[datetime]:
    """When the local clock was put forward or back."""
    low = start
    while low < end:
        high = min(low + LOOK, end)
        before = low.astimezone(zone).utcoffset()
        if high.astimezone(zone).utcoffset() != before:
            a, b = low, high
            while b - a > timedelta(seconds=1):
                middle = a + (b - a) / 2
                a, b = (middle, b) if middle.astimezone(zone).utcoffset() == before else (a, middle)
            yield b.replace(microsecond=0)
        low = high


def factor_at(moment: datetime, windows: Sequence[Window], zone: ZoneInfo) -> Fraction:
    """The highest factor at a moment, by the local clock; 1 where no window holds."""
    local = moment.astimezone(zone)
    return max([ONE, *(w.factor for w in windows if _holds(w, local.date(), local.time()))])


def _holds(window: Window, day: date, at: time) -> bool:
    def on(weekday: int) -> bool:
        return not window.days or weekday in window.days

    if window.begin is None or window.end is None:
        return on(day.weekday())
    if window.until_midnight:
        return on(day.weekday()) and at >= window.begin
    if window.begin < window.end:
        return on(day.weekday()) and window.begin <= at < window.end
    return (on(day.weekday()) and at >= window.begin) or (on((day.weekday() - 1) % 7) and at < window.end)
