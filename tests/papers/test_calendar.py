"""The calendar file, read back by another library: the same moments, the same words."""

from __future__ import annotations

import warnings
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from steadyrest.papers.calendar import LONGEST, Entry, calendar, changes_of, folded

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import icalendar

MADE = datetime(2026, 11, 27, 12, 20, tzinfo=ZoneInfo("Europe/Vienna"))
ZONES = ("Europe/Vienna", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata", "UTC")


def read(text: str) -> icalendar.Calendar:
    found = icalendar.Calendar.from_ical(text)
    assert isinstance(found, icalendar.Calendar)
    assert found.errors == []
    return found


def entry(start: datetime, end: datetime, says: str = "214 winch shaft", **more: str) -> Entry:
    return Entry("214/turn/0/1", start, end, says, **more)


@settings(max_examples=25)
@given(
    zone=st.sampled_from(ZONES),
    hours=st.integers(0, 2 * 366 * 24),
    takes_h=st.integers(1, 40),
)
@example(zone="Europe/Vienna", hours=7152, takes_h=1)  # 2026-10-25 00:00Z: 02:00, the first of two
@example(zone="Europe/Vienna", hours=7153, takes_h=1)  # 2026-10-25 01:00Z: 02:00 again
@example(zone="America/New_York", hours=7326, takes_h=1)  # 2026-11-01 06:00Z: 01:00 again
def test_every_moment_is_read_back_as_it_was_whatever_the_clocks_did(zone: str, hours: int, takes_h: int) -> None:
    start = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=hours)
    end = start + timedelta(hours=takes_h)
    found = read(calendar([entry(start, end)], name="w", timezone=zone, made=MADE))
    (event,) = found.events
    assert event.start.astimezone(UTC) == start
    assert event.end.astimezone(UTC) == end
    # The reader takes a zone that it knows by its name from its own data; so the description is read by itself too.
    (described,) = list(found.walk("VTIMEZONE"))
    assert isinstance(described, icalendar.Timezone)
    told = described.to_tz(lookup_tzid=False)
    for at in (start, end):
        wall = at.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
        if at.astimezone(ZoneInfo(zone)).fold == 0:
            assert told.utcoffset(wall) == at.astimezone(ZoneInfo(zone)).utcoffset()


@settings(max_examples=40)
@given(says=st.text(max_size=120), tells=st.text(max_size=200))
@example(says="a; b, c\\n d", tells="one\r\ntwo\rthree\n")
@example(says="Ø 36,5 · 1-7/16 in " + 60 * "ö", tells=100 * "😀")
@example(says="x\r\nEND:VEVENT\r\nBEGIN:VALARM", tells="")
def test_words_are_read_back_as_they_were_and_never_end_a_line(says: str, tells: str) -> None:
    text = calendar([entry(MADE, MADE + timedelta(hours=1), says, tells=tells)], name=says, timezone="UTC", made=MADE)
    (event,) = read(text).events

    def kept(words: str) -> str:
        plain = words.replace("\r\n", "\n").replace("\r", "\n")
        return "".join(one for one in plain if one == "\n" or one.isprintable())

    assert str(event["SUMMARY"]) == kept(says)
    assert str(event.get("DESCRIPTION", "")) == kept(tells)
    for line in text.encode().split(b"\r\n"):
        assert len(line) <= LONGEST
        line.decode()  # no character is torn
        assert b"\n" not in line
        assert b"\r" not in line


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=300))
def test_folding_loses_nothing(line: str) -> None:
    first, *rest = folded(line)
    assert first + "".join(part[1:] for part in rest) == line
    assert all(part[0] == " " for part in rest)


def test_an_empty_week_is_a_calendar_without_entries() -> None:
    found = read(calendar([], name="the week", timezone="Europe/Vienna", made=MADE))
    assert found.events == []
    assert str(found["NAME"]) == "the week"


def test_one_work_keeps_its_id_when_it_moves() -> None:
    ids = [
        str(read(calendar([entry(MADE + d, MADE + 2 * d)], name="w", timezone="UTC", made=MADE + d)).events[0]["UID"])
        for d in (timedelta(hours=1), timedelta(hours=7))
    ]
    assert ids[0] == ids[1]


@pytest.mark.parametrize(
    ("zone", "at"),
    # Summer time in the European Union begins and ends at 01:00 universal time on the last Sundays of March and
    # October (directive 2000/84/EC, articles 2 and 3); in the United States at 2:00 local time on the second Sunday
    # of March and the first of November (15 U.S.C. 260a). From memory.
    [
        ("Europe/Vienna", ["2026-03-29T01:00", "2026-10-25T01:00"]),
        ("America/New_York", ["2026-03-08T07:00", "2026-11-01T06:00"]),
        ("Asia/Kolkata", []),
    ],
)
def test_the_clocks_change_when_the_law_says(zone: str, at: list[str]) -> None:
    found = changes_of(ZoneInfo(zone), datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 12, 31, tzinfo=UTC))
    assert [f"{one:%Y-%m-%dT%H:%M}" for one in found] == at
