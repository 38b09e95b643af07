"""What a change does, and the ways out of it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from steadyrest.promise.asked import AskedWeek, read_week
from steadyrest.promise.suppose.change import Add, Change, Drop, Due, Extra, Outside, Stands
from steadyrest.promise.suppose.offers import Offers, read_with_offers
from steadyrest.promise.suppose.supposed import Supposed, suppose
from steadyrest.trouble import BadInput

HOUR = 3600.0
DAY = "2026-03-02T{}:00+01:00"


def job(name: str, due: str, weight: float, hours: float, machine: str = "lathe", more: str = "") -> str:
    return f"""
[[job]]
id = "{name}"
due = {DAY.format(due)}
weight = {weight}
[[job.step]]
id = "cut"
machine = "{machine}"
{more}
[[job.step.phase]]
duration_s = {hours * HOUR}
who = ["ana"]
interruptible = true
"""


HEAD = f"""
now = {DAY.format("08:00")}
currency = "EUR"
[spread]
job = 0.05
[[machine]]
id = "lathe"
[[machine]]
id = "mill"
[[person]]
id = "ana"
hours = [[{DAY.format("08:00")}, {DAY.format("16:00")}]]
"""
WEEK = HEAD + job("a", "11:00", 10.0, 2.0) + job("b", "15:00", 30.0, 3.0)


def tried(text: str, *changes: Change, order: tuple[int, ...] = (0, 1)) -> Supposed:
    asked, offers = read_with_offers(text, "week.toml")
    return suppose(asked, changes, offers, order, seed=1, progress=lambda _what, _share: None, stop=lambda: False)


def test_nothing_supposed_changes_nothing() -> None:
    got = tried(WEEK)
    assert got.before == got.after
    assert got.yes_by_s is None
    assert got.yes_cost is None


def test_a_later_due_time_is_kept_at_least_as_often() -> None:
    got = tried(WEEK, Due("a", 3 * HOUR - 2400.0))
    later = tried(WEEK, Due("a", 9 * HOUR))
    assert got.after[0].odds < later.after[0].odds == 1.0
    assert got.after[1] == later.after[1]


def test_no_way_is_dearer_than_doing_nothing() -> None:
    rush = read_week(HEAD + job("rush", "10:30", 100.0, 2.0), "rush.toml").week.jobs[0]
    got = tried(WEEK, Add(rush))
    as_it_is = sum(one.late_money for one in got.after)
    assert got.ways[0].money < as_it_is
    assert got.ways[0].order[0] == "rush"
    assert [way.money for way in got.ways] == sorted(way.money for way in got.ways) or len(got.ways) == 1
    assert {one.job for one in got.ways[0].jobs} == {"a", "b", "rush"}


def test_the_latest_yes_comes_before_the_hands_take_the_next_work() -> None:
    rush = read_week(HEAD + job("rush", "12:45", 100.0, 2.0), "rush.toml").week.jobs[0]
    got = tried(WEEK, Add(rush))
    # Job a is on the lathe until 2 h x exp(-1.2816 x 0.05) = 1.88 h nine times in ten; then b would be.
    assert got.yes_by_s == 1.75 * HOUR
    assert got.yes_cost is not None
    assert got.yes_cost > 0


def test_a_machine_that_stands_breaks_what_needs_it_and_an_evening_mends_it() -> None:
    extra = f'extra = [[{DAY.format("16:00")}, {DAY.format("20:00")}]]\nextra_per_hour = "1.00"\n'
    text = WEEK.replace('id = "ana"\n', f'id = "ana"\n{extra}') + job("c", "19:30", 50.0, 4.5)
    got = tried(text, Stands("lathe", 0.0, 3 * HOUR), order=(0, 1, 2))
    assert [one.odds for one in got.before] == [1.0, 1.0, 0.0]
    assert [one.odds for one in got.after] == [0.0, 0.0, 0.0]
    evening = Extra("ana", 8 * HOUR, 12 * HOUR, Decimal("4.00"))
    assert got.ways[0].changes == (evening,)
    assert got.ways[0].cost == Decimal("4.00")
    assert got.ways[0].known


def test_a_step_that_may_go_outside_is_tried_there() -> None:
    out = 'outside_days = 0.25\noutside_cost = "5.00"'
    text = HEAD + job("a", "11:00", 10.0, 2.5) + job("b", "14:30", 30.0, 3.5, more=out)
    got = tried(text, Stands("lathe", 4 * HOUR, 9 * HOUR))
    assert got.after[1].odds == 0.0
    assert got.ways[0].changes == (Outside("b", "cut", 6 * HOUR, Decimal("5.00")),)
    assert got.ways[0].holding == 2


def test_without_offered_hours_longer_evenings_are_tried_at_a_cost_not_known() -> None:
    text = HEAD + job("a", "17:00", 10.0, 5.0) + job("b", "17:30", 30.0, 4.0)
    got = tried(text, Drop("a"))
    assert [one.odds for one in got.before] == [1.0, 0.0]
    assert [one.odds for one in got.after] == [1.0]
    full = tried(text)
    assert full.ways[0].changes == (Extra("ana", 8 * HOUR, 10 * HOUR),)
    assert not full.ways[0].known


def test_the_same_seed_gives_the_same_answer_and_a_stop_still_tells_ways() -> None:
    assert tried(WEEK, Due("a", HOUR)) == tried(WEEK, Due("a", HOUR))
    asked, _ = read_with_offers(WEEK, "week.toml")
    cut = suppose(asked, (Due("a", HOUR),), Offers(), (0, 1), seed=1, progress=lambda _w, _s: None, stop=lambda: True)
    assert cut.ways
    assert cut.before


def test_certain_weeks_are_answered_by_one_draw() -> None:
    asked, offers = read_with_offers(WEEK.replace("[spread]\njob = 0.05\n", ""), "week.toml")
    assert isinstance(asked, AskedWeek)
    assert not asked.uncertain
    got = suppose(replace(asked), (), offers, (0, 1), seed=1, progress=lambda _w, _s: None, stop=lambda: False)
    assert got.draws == 1
    assert [one.odds for one in got.before] == [1.0, 1.0]


@pytest.mark.parametrize(
    "bad", ['extra = "late"', "extra = [[1, 2]]", f"extra = [[{DAY.format('20:00')}, {DAY.format('18:00')}]]"]
)
def test_an_offer_that_cannot_be_meant_is_refused_with_its_place(bad: str) -> None:
    with pytest.raises(BadInput) as fault:
        read_with_offers(WEEK.replace('id = "ana"\n', f'id = "ana"\n{bad}\n'), "week.toml")
    assert "extra" in fault.value.where
