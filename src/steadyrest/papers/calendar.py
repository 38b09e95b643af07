"""The week as a calendar file that phones and desk calendars read: iCalendar, RFC 5545.

Times stand in the shop's time zone, which the file describes itself, with every change of the clocks that its entries
may meet. Only an hour that comes twice in autumn is written in universal time the second time, because the local one
would mean the first (RFC 5545, 3.3.5).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

LONGEST = 75  # octets of a line, its end left out (3.1)
LOOK_AGAIN = "PT1H"  # how often whoever follows it may ask (RFC 7986, 5.7)
MAKER = "-//steadyrest//the week//EN"
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a calendar. id: the same for the same work in every issue. says: its line; tells: what stands below.

    start, end: aware; end after start. busy: it takes somebody's time.
    """

    id: str
    start: datetime
    end: datetime
    says: str
    tells: str = ""
    place: str = ""
    busy: bool = True


def calendar(entries: Sequence[Entry], *, name: str, timezone: str, made: datetime) -> str:
    """The file's text.

    Args:
        entries: in any order.
        name: of the calendar, as a list of calendars shows it.
        timezone: the shop's, such as "Europe/Vienna".
        made: aware; when it was made.
    Returns: text with the line ends of RFC 5545, entries by their start.
    Source: RFC 5545 (3.1 lines, 3.3.5 times, 3.3.11 text, 3.6.1 entries, 3.6.5 zones), RFC 7986 (name, how often).
    """
    zone = ZoneInfo(timezone)
    begun = sorted(entries, key=lambda one: (one.start, one.end, one.id))
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{MAKER}", "CALSCALE:GREGORIAN", f"NAME:{text(name)}",
             f"X-WR-CALNAME:{text(name)}", f"REFRESH-INTERVAL;VALUE=DURATION:{LOOK_AGAIN}"]  # fmt: skip
    first = min((one.start for one in begun), default=made)
    last = max((one.end for one in begun), default=made)
    lines += zone_lines(zone, timezone, first, last)
    for one in begun:
        lines += ["BEGIN:VEVENT", f"UID:{text(one.id)}@steadyrest", f"DTSTAMP:{universal(made)}",
                  f"DTSTART{moment(one.start, zone, timezone)}", f"DTEND{moment(one.end, zone, timezone)}",
                  f"SUMMARY:{text(one.says)}"]  # fmt: skip
        lines += [f"DESCRIPTION:{text(one.tells)}"] if one.tells else []
        lines += [f"LOCATION:{text(one.place)}"] if one.place else []
        lines += [f"TRANSP:{'OPAQUE' if one.busy else 'TRANSPARENT'}", "END:VEVENT"]
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line))


def text(words: str) -> str:
    """Words as a value of kind TEXT: what would end it is escaped, what no calendar can show is left out."""
    kept = "".join(one for one in words.replace("\r\n", "\n").replace("\r", "\n") if one == "\n" or one.isprintable())
    return kept.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> Iterator[str]:
    """A line in parts of at most 75 octets, each but the first begun with a space; no character is torn."""
    part, octets = "", 0
    for one in line:
        size = len(one.encode())
        if octets + size > LONGEST:
            yield part
            part, octets = " ", 1
        part, octets = part + one, octets + size
    yield part


def universal(at: datetime) -> str:
    """A moment in universal time: 20261127T112000Z."""
    return at.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def moment(at: datetime, zone: ZoneInfo, name: str) -> str:
    """A moment with what stands before its colon: local, except in the second of two hours alike."""
    local = at.astimezone(zone)
    return f":{universal(at)}" if local.fold else f";TZID={name}:{local:%Y%m%dT%H%M%S}"


def zone_lines(zone: ZoneInfo, name: str, first: datetime, last: datetime) -> Iterator[str]:
    """The zone as it is from the first moment to the last: from when which offset holds.

    Args:
        zone, name: the zone.
        first, last: aware; a year before the first is looked at for the change that led to it.
    Returns: its lines.
    """
    yield from ("BEGIN:VTIMEZONE", f"TZID:{name}")
    begin, end = first.astimezone(UTC) - 366 * DAY, last.astimezone(UTC) + DAY
    changes = tuple(changes_of(zone, begin, end))
    before = [at for at in changes if at <= first]
    since = before[-1] if before else begin
    for at in (since, *(at for at in changes if at > since)):
        was, now = (at - timedelta(seconds=1)).astimezone(zone), at.astimezone(zone)
        kind = "DAYLIGHT" if now.dst() else "STANDARD"
        was_off, off = was.utcoffset(), now.utcoffset()
        assert was_off is not None
        assert off is not None
        wall = (at + was_off).replace(tzinfo=None)  # by the clock as it stood until then (3.6.5)
        yield from (f"BEGIN:{kind}", f"DTSTART:{wall:%Y%m%dT%H%M%S}", f"TZOFFSETFROM:{offset(was_off)}",
                    f"TZOFFSETTO:{offset(off)}", f"TZNAME:{text(now.tzname() or name)}", f"END:{kind}")  # fmt: skip
    yield "END:VTIMEZONE"


def changes_of(zone: ZoneInfo, begin: datetime, end: datetime) -> Iterator[datetime]:
    """The moments, to the second, at which the zone's offset changes: day by day, then halved.

    Args:
        zone: the zone.
        begin, end: in universal time.
    Returns: moments in universal time; two changes within a day that cancel are not seen.
    """
    at = begin.replace(microsecond=0)
    while at < end:
        if at.astimezone(zone).utcoffset() != (at + DAY).astimezone(zone).utcoffset():
            low, high = at, at + DAY
            while high - low > timedelta(seconds=1):
                middle = low + timedelta(seconds=(high - low).total_seconds() // 2)
                same = middle.astimezone(zone).utcoffset() == low.astimezone(zone).utcoffset()
                low, high = (middle, high) if same else (low, middle)
            yield high
        at += DAY


def offset(of: timedelta) -> str:
    """An offset from universal time: +0100, -033020."""
    seconds = round(of.total_seconds())
    hours, rest = divmod(abs(seconds), 3600)
    minutes, rest = divmod(rest, 60)
    return f"{'-' if seconds < 0 else '+'}{hours:02d}{minutes:02d}" + (f"{rest:02d}" if rest else "")
