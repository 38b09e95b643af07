"""A run's time: the closed forms of the contract, rapids by axis, changes, dwells, and each tool's share."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run
from steadyrest.program.timing.machine_time import MachineTiming, block_time_s, nose_mm, run_time
from tests.program.hand_runs import run_of

STOP = MachineTiming((6000.0, 12000.0, 3000.0), 500.0, None, 7.0)
lengths = st.floats(1e-3, 1e3)
speeds = st.floats(0.1, 500.0)
accels = st.floats(10.0, 1e4)


def read_text(text: str, **given: object) -> Run:
    zeros = {"G54": (0.0, 0.0, 0.0)}
    return read(text.encode(), Dialect(**{"offsets_mm": zeros, **given}))  # type: ignore[arg-type]


@settings(deadline=None, max_examples=50)
@given(length=lengths, speed=speeds, accel=accels)
def test_a_block_from_rest_to_rest_takes_the_contract_s_time(length: float, speed: float, accel: float) -> None:
    """Contract section 1: L/v + v/a if L >= v2/a, else 2 sqrt(L/a)."""
    long = length >= speed**2 / accel
    wanted = length / speed + speed / accel if long else 2 * math.sqrt(length / accel)
    assert block_time_s(length, speed, accel) == pytest.approx(wanted, rel=1e-12)


@settings(deadline=None, max_examples=50)
@given(length=lengths, speed=speeds, accel=accels)
def test_the_two_forms_meet_where_the_speed_is_just_reached(length: float, speed: float, accel: float) -> None:
    just = speed**2 / accel
    assert block_time_s(just * (1 - 1e-9), speed, accel) == pytest.approx(block_time_s(just, speed, accel), rel=1e-6)
    assert block_time_s(length, speed, accel) >= max(length / speed, 2 * math.sqrt(length / accel)) * (1 - 1e-12)


def test_without_a_limit_on_acceleration_a_block_takes_its_length_over_its_speed() -> None:
    assert block_time_s(100.0, 20.0, math.inf) == 5.0
    assert block_time_s(100.0, math.inf, math.inf) == 0.0


@settings(deadline=None, max_examples=50)
@given(goal=st.tuples(*(st.floats(-300, 300) for _ in "xyz")))
def test_a_rapid_takes_as_long_as_its_slowest_axis(goal: tuple[float, float, float]) -> None:
    run = run_of([("rapid", *goal)])
    each = [block_time_s(abs(g), v / 60, 500.0) for g, v in zip(goal, STOP.rapid_mm_min, strict=True)]
    assert run_time(run, STOP).total_s == pytest.approx(max(each))


def test_the_machine_starts_at_its_zero() -> None:
    run = read_text("G90 G21 G0 X0. Y0. Z0.\nM30\n", offsets_mm={"G54": (60.0, 0.0, 0.0)})
    assert run_time(run, STOP).total_s == pytest.approx(block_time_s(60.0, 100.0, 500.0))


def test_a_tool_change_counts_only_to_another_tool_and_the_first_one_counts() -> None:
    run = run_of([("tool", 1), ("tool", 1), ("tool", 2), ("tool", 1)])
    assert run_time(run, STOP).total_s == 3 * 7.0


def test_dropping_an_offset_is_no_change_to_another_tool() -> None:
    text = "G21 G90 G95\nT0101\nT0100\nT0000\nT0101\nT0202\nM30\n"
    run = read_text(text, kind="lathe", tool_word="TTOO", x_is_diameter=True)
    assert run_time(run, STOP).total_s == 2 * 7.0
    assert [tool.calls for tool in run_time(run, STOP).tools] == [1, 1]


def test_stops_spindle_and_coolant_take_no_time_and_a_dwell_its_own() -> None:
    run = run_of([("speed", 900.0), ("coolant", 1.0), ("stop", 0.0), ("dwell", 2.5), ("check", 1.0), ("speed", 0.0)])
    assert run_time(run, STOP).total_s == 2.5


def test_a_spindle_that_is_timed_takes_its_start_from_standing_only() -> None:
    timing = MachineTiming(STOP.rapid_mm_min, 500.0, None, 0.0, 0.001)
    run = run_of([("speed", 1000.0), ("speed", 3000.0), ("speed", 0.0), ("speed", 2000.0)])
    assert run_time(run, timing).total_s == pytest.approx(1.0 + 2.0)


@pytest.mark.parametrize("s_per_rpm", [0.0, 0.001])
def test_a_spindle_that_starts_on_the_axis_under_surface_speed_keeps_the_time_a_number(s_per_rpm: float) -> None:
    text = "G21 G90 G95 G54\nT0101\nG96 S200 M3\nG0 X34 Z2\nG1 Z-20 F0.2\nM30\n"
    run = read_text(text, kind="lathe", x_is_diameter=True, tool_word="TTOO")
    assert math.isfinite(run_time(run, MachineTiming(STOP.rapid_mm_min, 500.0, None, 0.0, s_per_rpm)).total_s)


def test_a_tool_s_cutting_time_is_its_feed_moves_and_no_probing() -> None:
    run = run_of(
        [("tool", 4), ("rate", 600.0), ("rapid", 0, 0, 5), ("feed", 0, 0, -5), ("probe", 50, 0, -5), ("tool", 5)]
    )
    first, second = run_time(run, STOP).tools
    assert (first.number, first.calls, second.number, second.cut_s) == (4, 1, 5, 0.0)
    assert first.cut_s == pytest.approx(block_time_s(10.0, 10.0, 500.0))


def test_a_drill_s_cutting_time_is_the_feed_part_of_its_cycle() -> None:
    run = read_text("G21 G90 G94 T3 M6\nS1000 M3\nG0 Z10.\nG99 G81 X0. Y0. Z-18. R2. F120\nG80\nM30\n")
    (drill,) = run_time(run, STOP).tools
    assert drill.cut_s == pytest.approx(block_time_s(20.0, 2.0, 500.0))


def test_under_a_tool_length_it_is_the_nose_that_moves() -> None:
    run = read_text("G21 G90 T1 M6\nG43 H1 G0 Z10.\nM30\n", tool_length_mm={1: 90.0})
    assert nose_mm(run.moves)[-1, 2] == pytest.approx(100.0)
    assert run_time(run, STOP).total_s == pytest.approx(7.0 + block_time_s(100.0, 50.0, 500.0))


def test_a_feed_that_nobody_gave_takes_no_time_and_breaks_nothing() -> None:
    run = read_text("G21 G90\nG1 X10.\nM30\n")
    assert run_time(run, STOP).total_s == 0.0


@settings(deadline=None, max_examples=50)
@given(parts=st.integers(1, 5))
def test_repeats_take_their_time_each(parts: int) -> None:
    steps = [("rate", 300.0), *[("feed", x, 0, 0) for _ in range(parts) for x in (10, 0)]]
    assert run_time(run_of(steps), STOP).total_s == pytest.approx(2 * parts * block_time_s(10.0, 5.0, 500.0))


def test_times_cannot_be_written_over() -> None:
    time = run_time(run_of([("feed", 1, 0, 0)]), STOP)
    assert not time.move_s.flags.writeable
    assert np.sum(time.move_s) == pytest.approx(time.total_s)


def test_an_empty_run_takes_no_time() -> None:
    assert run_time(run_of([]), STOP).total_s == 0.0
