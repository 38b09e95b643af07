"""The night's runs: which go on with nobody in, in which order, and what to expect of them by morning."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from steadyrest.desk.night.night_runs import Run, empty, expected, machine_night, nights
from steadyrest.desk.night.step_program import ProgramUsed
from steadyrest.promise.answer import PlanRow
from steadyrest.promise.program_time import StepProgram
from tests.promise.sample_shop import shop

SHOP = shop()
EVENING = datetime(2026, 11, 26, 17, 0, tzinfo=ZoneInfo(SHOP.timezone))


def program(name: str, *, good: float, whole: float, leave: str = "yes") -> StepProgram:
    return StepProgram(name, 3600.0, 4, 0.02, good, whole=whole, leave=leave, holds=1)


def row(job: str, begins_h: float, hours: float, machine: str = "lathe") -> PlanRow:
    begin = EVENING + timedelta(hours=begins_h)
    return PlanRow(job, "0", 1, "a bush", None, machine, begin, begin + timedelta(hours=hours), of="turn")


def used(job: str, one: StepProgram) -> ProgramUsed:
    return ProgramUsed(int(job), "turn", "lathe", one, None)


def by_hand(runs: list[StepProgram]) -> float:
    """First run's parts, then the second's if the first was whole, and so on."""
    if not runs:
        return 0.0
    first, *rest = runs
    assert first.whole is not None
    return (first.good or 0.0) + first.whole * by_hand(rest)


def test_nobody_is_in_from_when_the_last_goes_until_the_first_comes() -> None:
    gaps = empty(SHOP, start=EVENING, end=EVENING + timedelta(days=2))
    assert all(begin < end for begin, end in gaps)
    assert all(before[1] < after[0] for before, after in pairwise(gaps))
    assert gaps[0][1] > EVENING


def test_only_what_goes_on_with_nobody_in_stands_on_the_night_sheet_and_takes_its_program_by_step() -> None:
    late, day, handled = row("7", 6.0, 4.0), row("8", -5.0, 1.0), replace(row("9", 6.0, 1.0, "mill"), person="ada")
    (night,) = nights((late, day, handled), SHOP, [used("7", program("a.nc", good=3.5, whole=0.8))], now=EVENING)
    assert night.start <= late.start < night.end
    (machine,) = night.machines
    assert [(run.row, run.program and run.program.program) for run in machine.runs] == [(late, "a.nc")]
    assert machine.good == pytest.approx(3.5)


def test_what_nobody_checked_or_may_not_be_left_is_not_counted() -> None:
    runs = [Run(row("7", 4.0, 1.0), None), Run(row("8", 5.0, 1.0), program("b.nc", good=4.0, whole=0.9, leave="no"))]
    night = machine_night("lathe", runs)
    assert night.good == 0.0
    assert night.runs == tuple(runs)
    assert not any(run.may for run in runs)


def test_good_parts_by_morning_stop_with_the_first_stop_and_what_stops_often_goes_last() -> None:
    often, seldom = program("often.nc", good=2.0, whole=0.3), program("seldom.nc", good=3.9, whole=0.97)
    runs = [Run(row("7", 4.0, 1.0), often), Run(row("8", 5.0, 1.0), seldom)]
    assert expected(runs) == pytest.approx(by_hand([often, seldom]))
    night = machine_night("lathe", runs)
    assert [run.row.job for run in night.better] == ["8", "7"]
    assert night.better_good == pytest.approx(by_hand([seldom, often]))
    assert night.better_good > night.good
    assert machine_night("lathe", runs[::-1]).better == ()
