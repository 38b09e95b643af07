"""Weekly hours into stretches of real time: local wall-clock hours, the change of the clocks included.

A week's entry is (weekday from Monday 0, from, to) in minutes of the local day. A night runs past midnight when `to` is
not after `from` (22:00 to 06:00), or when `to` is beyond 24:00 (1320 to 1800). Stretches that touch are one.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from steadyrest.promise.rest import rested
from steadyrest.shop.floor import Person

DAY_MIN = 24 * 60
BEFORE = 2  # days: a night may have begun the day before, and a day of work the evening before
Stretch = tuple[datetime, datetime]


def moment(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """The moment at which the clock on the wall shows this minute of this day.

    Args:
        day: the local day.
        minute: minute of that day; 1440 and more reach into the next days.
        zone: the shop's time zone.
    Returns: the moment in UTC. A minute that the clocks skip in spring is taken as if they had not yet moved; of one
        that comes twice in autumn, the first.
    """
    days, rest = divmod(minute, DAY_MIN)
    on = day + timedelta(days=days)
    # Through UTC, because sums of local datetimes are sums on the wall, not of time passed.
    return datetime(on.year, on.month, on.day, rest // 60, rest % 60, tzinfo=zone).astimezone(UTC)


def stretches(person: Person, *, start: datetime, end: datetime, timezone: str) -> tuple[Stretch, ...]:
    """When this person is in, from start to end, away times taken out.

    Args:
        person: with the week in local time.
        start, end: aware; the horizon.
        timezone: the shop's, such as "Europe/Vienna".
    Returns: stretches in UTC, sorted, disjoint, none touching the next.
    """
    here = said(person, start=start, end=end, timezone=timezone)
    low, high = start.astimezone(UTC), end.astimezone(UTC)
    hours = tuple(((a - low).total_seconds(), (b - low).total_seconds()) for a, b in here)
    kept = rested(hours, longest_s=person.longest_day_s, rest_s=person.rest_s)
    here = tuple((low + timedelta(seconds=a), low + timedelta(seconds=b)) for a, b in kept)
    return tuple((max(a, low), min(b, high)) for a, b in here if a < high and b > low)


def said(person: Person, *, start: datetime, end: datetime, timezone: str) -> tuple[Stretch, ...]:
    """The hours that the shop file gives this person, without away times, from days before the start on; no limit kept.

    Args:
        person: with the week in local time.
        start, end: aware; the horizon.
        timezone: the shop's.
    Returns: stretches in UTC, sorted, disjoint.
    """
    here = weekly(person.week, start=start, end=end, timezone=timezone)
    for away in person.away:
        here = without(here, (away[0].astimezone(UTC), away[1].astimezone(UTC)))
    return here


def weekly(
    week: Sequence[tuple[int, int, int]], *, start: datetime, end: datetime, timezone: str
) -> tuple[Stretch, ...]:
    """A week's hours as stretches of real time, from some days before the start to the end's day.

    Args:
        week: (weekday, from, to), as above.
        start, end: aware.
        timezone: the shop's.
    Returns: stretches in UTC, sorted, disjoint.
    """
    zone = ZoneInfo(timezone)
    first = start.astimezone(zone).date() - timedelta(days=BEFORE)
    days = (end.astimezone(zone).date() - first).days + 1
    found: list[Stretch] = []
    for day in (first + timedelta(days=n) for n in range(days)):
        for weekday, begin, stop in week:
            if day.weekday() == weekday:
                until = stop if stop > begin else stop + DAY_MIN
                found.append((moment(day, begin, zone), moment(day, until, zone)))
    return merged(found)


def merged(found: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """The same time as sorted, disjoint stretches; touching ones become one, empty ones vanish."""
    out: list[Stretch] = []
    for begin, stop in sorted(found):
        if begin >= stop:
            continue
        if out and begin <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], stop))
        else:
            out.append((begin, stop))
    return tuple(out)


def without(here: Sequence[Stretch], away: Stretch) -> tuple[Stretch, ...]:
    """These stretches with one stretch of absence cut out."""
    out: list[Stretch] = []
    for begin, stop in here:
        out += [(begin, min(stop, away[0])), (max(begin, away[1]), stop)] if away[0] < away[1] else [(begin, stop)]
    return merged(out)


def next_weekday(weekday: int, minute: int, *, now: datetime, timezone: str) -> datetime:
    """The first moment after now at which it is this weekday and minute on the shop's wall.

    Args:
        weekday: from Monday 0.
        minute: of the local day.
        now: aware.
        timezone: the shop's.
    Returns: the moment in UTC, later than now.
    """
    zone = ZoneInfo(timezone)
    today = now.astimezone(zone).date()
    for ahead in range(9):
        day = today + timedelta(days=ahead)
        if day.weekday() == weekday and moment(day, minute, zone) > now:
            return moment(day, minute, zone)
    raise AssertionError("a week has seven days")


def in_words(when: datetime, timezone: str) -> str:
    """A moment as people say it in the shop: "Sat 28 Nov 14:00". The same in every locale."""
    local = when.astimezone(ZoneInfo(timezone))
    day = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[local.weekday()]
    month = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")[local.month - 1]
    return f"{day} {local.day} {month} {local.hour:02d}:{local.minute:02d}"
