"""Feed per turn at constant surface speed: against the integral, worked out by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, block_time_s, run_time

ACCEL = 800.0


def cut_s(text: str, accel: float = ACCEL) -> float:
    dialect = Dialect(
        kind="lathe", x_is_diameter=True, tool_word="TTOO", speed_clamp_words=("G50",),
        offsets_mm={"G54": (0.0, 0.0, 0.0)},
    )  # fmt: skip
    run = read(("G21 G18 G90 G95\nT0101\n" + text + "M30\n").encode(), dialect)
    return run_time(run, MachineTiming((1e6, 1e6, 1e6), accel)).tools[0].cut_s


@settings(deadline=None, max_examples=30)
@given(outer=st.floats(10.0, 100.0), inner=st.floats(3.0, 9.0), surface=st.integers(40, 150), feed=st.floats(0.05, 0.4))
def test_facing_takes_the_integral_of_the_radius_and_half_a_ramp_at_either_end(
    outer: float, inner: float, surface: int, feed: float
) -> None:
    """Minutes: integral of 2 pi r / (1000 vc f) dr. To it v0/2a + v1/2a, which is v/a where the speed stays."""
    text = f"G50 S100000\nG96 S{surface} M3\nG0 X{2 * outer:.4f}\nG1 X{2 * inner:.4f} F{feed:.4f}\n"
    outer, inner, feed = round(2 * outer, 4) / 2, round(2 * inner, 4) / 2, round(feed, 4)
    even = 60 * math.pi * (outer**2 - inner**2) / (1000 * surface * feed)
    speeds = [feed * 1000 * surface / (2 * math.pi * r) / 60 for r in (outer, inner)]
    assert cut_s(text, 20_000.0) == pytest.approx(even + sum(speeds) / 2 / 20_000.0, rel=1e-3)


def test_above_the_clamp_it_is_a_steady_speed() -> None:
    """From X20 in, 60 m/min would ask for more than the clamp of 500: L/v + v/a."""
    text = "G50 S500\nG96 S60 M3\nG0 X20.\nG1 X2. F0.2\n"
    assert cut_s(text) == pytest.approx(block_time_s(9.0, 0.2 * 500 / 60, ACCEL), rel=1e-6)


def test_along_the_bar_nothing_changes() -> None:
    text = "G50 S5000\nG96 S120 M3\nG0 X40.\nG1 Z-50. F0.25\n"
    rpm = 1000 * 120 / (math.pi * 40)
    assert cut_s(text) == pytest.approx(block_time_s(50.0, 0.25 * rpm / 60, ACCEL), rel=1e-6)


def test_at_a_fixed_speed_feed_per_turn_is_feed_times_speed() -> None:
    assert cut_s("G97 S800 M3\nG0 X40.\nG1 X0. F0.1\n") == pytest.approx(block_time_s(20.0, 80.0 / 60, ACCEL))


def test_a_cut_across_the_axis_takes_both_sides() -> None:
    one = cut_s("G50 S3000\nG96 S100 M3\nG0 X30.\nG1 X0. F0.1\n")
    both = cut_s("G50 S3000\nG96 S100 M3\nG0 X30.\nG1 X-30. F0.1\n")
    assert both == pytest.approx(2 * one, rel=2e-3)


def test_a_short_move_never_reaches_its_speed() -> None:
    text = "G50 S9000\nG96 S900 M3\nG0 X10.\nG1 X9.98 F2.\n"
    assert cut_s(text) == pytest.approx(2 * math.sqrt(0.01 / ACCEL), rel=1e-3)
