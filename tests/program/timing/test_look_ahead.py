"""Look-ahead: against the path in small steps, between its bounds, and where it must stop."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, block_time_s, run_time
from tests.oracles.slow_look_ahead import Block, seconds
from tests.program.hand_runs import run_of

RAPID = (6000.0, 6000.0, 6000.0)
points = st.tuples(*(st.integers(-30, 30).map(float) for _ in "xyz"))


def timing(accel: float, corner: float | None) -> MachineTiming:
    return MachineTiming(RAPID, accel, corner)


def straight(a: tuple[float, ...], b: tuple[float, ...], speed: float) -> Block:
    share = np.linspace(0, 1, 41)[:, None]
    return Block([tuple(p) for p in np.array(a) + share * (np.array(b) - np.array(a))], speed)  # type: ignore[misc]


@settings(deadline=None, max_examples=40)
@given(
    path=st.lists(points, min_size=2, max_size=6),
    rates=st.lists(st.floats(120.0, 9000.0), min_size=6, max_size=6),
    accel=st.floats(100.0, 5000.0),
    corner=st.floats(0.001, 0.5),
)
def test_it_takes_what_the_path_in_small_steps_takes(
    path: list[tuple[float, float, float]], rates: list[float], accel: float, corner: float
) -> None:
    steps: list[tuple] = []
    blocks: list[Block] = []
    at = (0.0, 0.0, 0.0)
    for goal, rate in zip(path, rates, strict=False):
        if math.dist(at, goal) == 0:
            continue
        steps += [("rate", rate), ("feed", *goal)]
        blocks.append(straight(at, goal, rate / 60))
        at = goal
    if not blocks:
        return
    total = run_time(run_of(steps), timing(accel, corner)).total_s
    assert total == pytest.approx(seconds(blocks, accel, corner), rel=1e-6)


@settings(deadline=None, max_examples=50)
@given(path=st.lists(points, min_size=1, max_size=12), corner=st.floats(0.001, 0.5))
def test_it_lies_between_feed_alone_and_a_stop_at_every_block(
    path: list[tuple[float, float, float]], corner: float
) -> None:
    run = run_of([("rate", 3000.0), *[("feed", *goal) for goal in path]])
    feed_s = float(run.moves.length_mm.sum()) / 50.0
    rounded = run_time(run, timing(800.0, corner)).total_s
    assert feed_s - 1e-9 <= rounded <= run_time(run, timing(800.0, None)).total_s + 1e-9


def test_a_straight_line_in_pieces_takes_what_it_takes_in_one() -> None:
    pieces = run_of([("rate", 1200.0), *[("feed", x, 0, 0) for x in range(1, 51)]])
    assert run_time(pieces, timing(300.0, 0.01)).total_s == pytest.approx(block_time_s(50.0, 20.0, 300.0))


def test_a_path_that_turns_back_stops_there() -> None:
    run = run_of([("rate", 1200.0), ("feed", 50, 0, 0), ("feed", 0, 0, 0)])
    assert run_time(run, timing(300.0, 0.01)).total_s == pytest.approx(2 * block_time_s(50.0, 20.0, 300.0))


@pytest.mark.parametrize("between", [("tool", 2), ("speed", 500.0), ("dwell", 0.0), ("stop", 0.0), ("check", 1.0)])
def test_it_comes_to_rest_where_the_control_waits(between: tuple[str, float]) -> None:
    run = run_of([("rate", 1200.0), ("feed", 50, 0, 0), between, ("feed", 100, 0, 0)])
    assert run_time(run, timing(300.0, 0.01)).total_s == pytest.approx(2 * block_time_s(50.0, 20.0, 300.0))


def test_coolant_stops_nothing() -> None:
    run = run_of([("rate", 1200.0), ("feed", 50, 0, 0), ("coolant", 1.0), ("feed", 100, 0, 0)])
    assert run_time(run, timing(300.0, 0.01)).total_s == pytest.approx(block_time_s(100.0, 20.0, 300.0))


def test_an_exact_stop_is_one() -> None:
    run = run_of([("rate", 1200.0), ("feed", 50, 0, 0), ("feed", 100, 0, 0)])
    exact = replace(run, moves=replace(run.moves, exact_stop=np.array([True, False])))
    assert run_time(exact, timing(300.0, 0.01)).total_s == pytest.approx(2 * block_time_s(50.0, 20.0, 300.0))


def test_a_rapid_begins_and_ends_at_rest() -> None:
    run = run_of([("rate", 1200.0), ("feed", 50, 0, 0), ("rapid", 100, 0, 0), ("feed", 150, 0, 0)])
    wanted = 2 * block_time_s(50.0, 20.0, 300.0) + block_time_s(50.0, 100.0, 300.0)
    assert run_time(run, timing(300.0, 0.01)).total_s == pytest.approx(wanted)


@pytest.mark.parametrize("radius", [0.5, 5.0, 50.0])
def test_an_arc_is_driven_no_faster_than_its_radius_allows(radius: float) -> None:
    """v2 / R <= a, from rest to rest: the closed form with that speed."""
    text = f"G21 G90 G17 F6000\nG3 X0. Y0. I{radius} J0.\nM30\n"
    run = read(text.encode(), Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)}))
    limit = min(100.0, math.sqrt(400.0 * radius))
    wanted = block_time_s(2 * math.pi * radius, limit, 400.0)
    assert run_time(run, timing(400.0, 0.01)).total_s == pytest.approx(wanted, rel=1e-9)


def test_a_line_runs_into_an_arc_that_touches_it_without_slowing() -> None:
    text = "G21 G90 G17 F1200\nG1 X50.\nG3 X50. Y200. I0. J100.\nG1 X0.\nM30\n"
    run = read(text.encode(), Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)}))
    length = 100.0 + math.pi * 100.0
    assert run_time(run, timing(1000.0, 0.01)).total_s == pytest.approx(block_time_s(length, 20.0, 1000.0), rel=1e-6)
