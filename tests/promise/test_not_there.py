"""Holidays, interruptions and machines that stand: each bears on the week as the shop file says."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from steadyrest.desk.which_shop import example_text
from steadyrest.promise.arrival import delivery
from steadyrest.promise.calendars import stretches
from steadyrest.promise.durations import spreads_of
from steadyrest.promise.shop_week import chain_job, week_of
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput
from tests.promise.sample_shop import route, shop

ZONE = ZoneInfo("Europe/Vienna")
NOW = datetime(2026, 12, 23, 7, 0, tzinfo=ZONE)  # a Wednesday


def with_line(after: str, line: str):
    text = example_text()
    assert text.count(after) >= 1
    return read_shop(text.replace(after, f"{after}\n{line}", 1), "shop.toml")


def test_on_a_holiday_nobody_is_in_and_nothing_is_ordered_or_brought() -> None:
    plain = read_shop(example_text(), "shop.toml")
    closed = with_line('currency = "EUR"', "holidays = [2026-12-25, 2026-12-24]")
    day = (datetime(2026, 12, 24, tzinfo=ZONE), datetime(2026, 12, 26, tzinfo=ZONE))
    for person, same in zip(closed.people, plain.people, strict=True):
        here = stretches(person, start=day[0], end=day[1], timezone=closed.timezone)
        assert here == ()
        assert stretches(same, start=day[0], end=day[1], timezone=closed.timezone)
        before = datetime(2026, 12, 23, tzinfo=ZONE)
        spans = [stretches(one, start=before, end=day[0], timezone=closed.timezone) for one in (person, same)]
        assert spans[0] == spans[1]
    supplier = replace(closed.suppliers[0], cut_off_min=10 * 60, arrives_min=8 * 60, lead_days=1)
    after_cut_off = NOW + timedelta(hours=4)
    cut_off, here, late = delivery(supplier, now=after_cut_off, timezone="Europe/Vienna", holidays=closed.holidays)
    # By hand: Thursday and Friday are holidays, then a weekend: ordered Monday 28, here Tuesday 29, late Wednesday 30.
    assert [f"{one.astimezone(ZONE):%a %d %H:%M}" for one in (cut_off, here, late)] == [
        "Mon 28 10:00", "Tue 29 08:00", "Wed 30 08:00",
    ]  # fmt: skip


@pytest.mark.parametrize("wrong", ['["2026-12-25"]', "[2026-12-25T00:00:00Z]", "2026-12-25", "[[2026-12-25]]"])
def test_days_that_are_none_are_refused(wrong: str) -> None:
    with pytest.raises(BadInput, match="days"):
        with_line('currency = "EUR"', f"holidays = {wrong}")


def test_who_is_interrupted_a_fifth_of_the_time_takes_a_quarter_longer() -> None:
    one = shop()
    person = replace(one.people[0], pace=1.0, interrupted=0.2)
    assert spreads_of(replace(one, people=(person,))).person[person.id][0] == pytest.approx(1.25)


def test_a_machine_in_service_stands_in_the_week_until_it_is_back() -> None:
    one = shop()
    lathe = one.machines[1]
    service = ((NOW - timedelta(days=9), NOW - timedelta(days=8)), (NOW - timedelta(hours=1), NOW + timedelta(hours=5)))
    served = replace(one, machines=tuple(replace(m, stands=service) if m.id == lathe.id else m for m in one.machines))
    job = chain_job(route().steps, job_id="1", release_s=0.0, due_s=1e6, weight=1.0)
    (down,) = week_of(served, (job,), now=NOW, days=28).down
    assert (down.machine, down.from_s, down.to_s) == (lathe.id, 0.0, 5 * 3600.0)
    assert week_of(one, (job,), now=NOW, days=28).down == ()
