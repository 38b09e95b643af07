"""Weekly hours into stretches of real time."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.calendars import in_words, merged, next_weekday, stretches, without
from tests.promise.sample_shop import OWNER, person

VIENNA = "Europe/Vienna"
ZONE = ZoneInfo(VIENNA)
HOUR = timedelta(hours=1)


def at(*when: int) -> datetime:
    return datetime(*when, tzinfo=ZONE)  # pyright: ignore[reportArgumentType]


week_entries = st.lists(
    st.tuples(st.integers(0, 6), st.integers(0, 1439), st.integers(1, 2000)).filter(lambda e: e[1] != e[2]),
    min_size=1,
    max_size=8,
)
starts = st.integers(0, 2 * 365 * 1440).map(lambda minute: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minute))
zones = st.sampled_from((VIENNA, "America/New_York", "Asia/Kolkata", "Australia/Lord_Howe", "UTC"))


@settings(deadline=None, max_examples=60)
@given(week=week_entries, start=starts, days=st.integers(1, 20), zone=zones)
def test_stretches_are_sorted_disjoint_and_inside_the_window(week, start: datetime, days: int, zone: str) -> None:
    end = start + timedelta(days=days)
    found = stretches(person("ada", tuple(week)), start=start, end=end, timezone=zone)
    assert all(start <= a < b <= end for a, b in found)
    assert all(b < c for (_, b), (c, _) in pairwise(found))


@settings(deadline=None, max_examples=60)
@given(week=week_entries, start=starts, minute=st.integers(0, 14 * 1440))
def test_a_person_is_in_exactly_when_the_wall_clock_says_so(week, start: datetime, minute: int) -> None:
    # Kolkata never moves its clocks, so the wall clock alone decides.
    zone = ZoneInfo("Asia/Kolkata")
    moment = start + timedelta(minutes=minute, seconds=30)
    found = stretches(person("ada", tuple(week)), start=start, end=start + timedelta(days=15), timezone=str(zone))
    local = moment.astimezone(zone)
    since_monday = local.weekday() * 1440 + local.hour * 60 + local.minute
    said = False
    for weekday, begin, stop in week:
        until = stop if stop > begin else stop + 1440
        said = said or any(weekday * 1440 + begin + w <= since_monday < weekday * 1440 + until + w for w in (-10080, 0))
    assert any(a <= moment < b for a, b in found) == said


def test_a_day_off_and_a_night_keep_their_wall_clock_hours_when_the_clocks_change() -> None:
    # Summer time in the European Union begins on the last Sunday of March and ends on the last of October, at 01:00
    # UTC: directive 2000/84/EC, articles 2 and 3 (seen in a reprint). So a night shift lasts 7 and 9 hours.
    nights = person("cy", tuple((day, 22 * 60, 6 * 60) for day in range(7)))
    spring = stretches(nights, start=at(2026, 3, 27, 12), end=at(2026, 3, 30, 12), timezone=VIENNA)
    assert [b - a for a, b in spring] == [8 * HOUR, 7 * HOUR, 8 * HOUR]
    autumn = stretches(nights, start=at(2026, 10, 23, 12), end=at(2026, 10, 26, 12), timezone=VIENNA)
    assert [b - a for a, b in autumn] == [8 * HOUR, 9 * HOUR, 8 * HOUR]
    days = person("ada", tuple((day, 8 * 60, 16 * 60) for day in range(7)))
    for a, b in stretches(days, start=at(2026, 3, 27), end=at(2026, 4, 2), timezone=VIENNA):
        assert (a.astimezone(ZONE).hour, b.astimezone(ZONE).hour, b - a) == (8, 16, 8 * HOUR)


def test_a_night_that_is_written_past_midnight_or_in_two_halves_is_one_stretch() -> None:
    window = {"start": at(2026, 11, 23), "end": at(2026, 11, 25), "timezone": VIENNA}
    whole = stretches(person("cy", ((0, 1320, 360),)), **window)
    assert whole == ((at(2026, 11, 23, 22), at(2026, 11, 24, 6)),)
    assert stretches(person("cy", ((0, 1320, 1800),)), **window) == whole
    assert stretches(person("cy", ((0, 1320, 1440), (1, 0, 360))), **window) == whole


def test_a_night_that_began_before_the_window_counts_from_its_start() -> None:
    found = stretches(person("cy", ((6, 1320, 360),)), start=at(2026, 11, 23, 2), end=at(2026, 11, 24), timezone=VIENNA)
    assert found == ((at(2026, 11, 23, 2), at(2026, 11, 23, 6)),)


def test_away_times_are_cut_out() -> None:
    away = ((at(2026, 11, 23, 9), at(2026, 11, 23, 10)), (at(2026, 11, 24), at(2026, 11, 26)))
    found = stretches(replace(OWNER, away=away), start=at(2026, 11, 23), end=at(2026, 11, 26), timezone=VIENNA)
    hours = [(a.astimezone(ZONE).strftime("%H:%M"), b.astimezone(ZONE).strftime("%H:%M")) for a, b in found]
    assert hours == [("07:30", "09:00"), ("10:00", "12:00"), ("13:00", "18:00")]


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 50), st.integers(0, 50))), st.integers(0, 50), st.integers(0, 50))
def test_cutting_out_leaves_exactly_what_was_there_and_is_not_cut(spans, a: int, b: int) -> None:
    zero = at(2026, 1, 1)
    here = merged([(zero + x * HOUR, zero + y * HOUR) for x, y in spans])
    left = without(here, (zero + a * HOUR, zero + b * HOUR))
    for k in range(50):
        middle = zero + (k + 0.5) * HOUR
        was = any(x <= middle < y for x, y in here)
        assert any(x <= middle < y for x, y in left) == (was and not a <= k < b)


@settings(deadline=None)
@given(weekday=st.integers(0, 6), minute=st.integers(0, 1439), now=starts)
def test_the_next_weekday_is_later_than_now_within_a_week_and_shows_that_time(weekday, minute, now: datetime) -> None:
    found = next_weekday(weekday, minute, now=now, timezone="Asia/Kolkata")
    local = found.astimezone(ZoneInfo("Asia/Kolkata"))
    assert now < found <= now + timedelta(days=7)
    assert (local.weekday(), local.hour * 60 + local.minute) == (weekday, minute)


def test_a_weekday_that_is_now_means_next_week() -> None:
    now = at(2026, 11, 27, 18)
    assert next_weekday(4, 18 * 60, now=now, timezone=VIENNA) == at(2026, 12, 4, 18)


@pytest.mark.parametrize(
    ("moment", "said"),
    [(at(2026, 11, 27, 9, 5), "Fri 27 Nov 09:05"), (datetime(2026, 2, 28, 23, 30, tzinfo=UTC), "Sun 1 Mar 00:30")],
)
def test_moments_are_said_in_the_shops_own_time(moment: datetime, said: str) -> None:
    assert in_words(moment, VIENNA) == said
