"""The run's clock, its first stop, and how the machine stands when it stops."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.program.night.left_standing import drills, left_standing, stops_at
from steadyrest.program.night.stretches import clock, first_stop_s, stretches
from steadyrest.wording.say import say
from tests.program.hand_runs import run_of, times, turned_parts

STEPS = [
    ("speed", 900.0), ("coolant", 1.0), ("tool", 1), ("rapid", 0, 0, 5), ("feed", 0, 0, -50), ("stop", 1.0),
    ("rapid", 0, 0, 50), ("dwell", 2.0), ("speed", 0.0), ("coolant", 0.0), ("stop", 0.0), ("feed", 0, 0, 60),
]  # fmt: skip


def test_the_clock_adds_what_stands_between_the_moves() -> None:
    run = run_of(STEPS)
    move_s = np.array([1.0, 30.0, 2.0, 5.0])
    event_s = np.array([0.0, 0.0, 7.0, 0.0, 2.0, 0.0, 0.0, 0.0])
    assert len(run.events) == len(event_s)
    # 7 s of tool change before all; 2 s of dwell before the last move.
    assert clock(run, move_s, event_s).tolist() == [7.0, 8.0, 38.0, 42.0, 47.0]
    assert clock(run, move_s).tolist() == [0.0, 1.0, 31.0, 33.0, 38.0]
    (one,) = stretches(run, move_s, event_s)
    assert (one.begins_s, one.ends_s, one.cut_s) == (8.0, 47.0, 35.0)


def test_the_first_stop_is_that_of_the_switch_only_with_the_switch_on() -> None:
    run = run_of(STEPS)
    begins_s = clock(run, np.array([1.0, 30.0, 2.0, 5.0]))
    assert first_stop_s(run, begins_s, switch_on=True) == 31.0
    assert first_stop_s(run, begins_s, switch_on=False) == 33.0
    assert first_stop_s(turned_parts(1), np.zeros(99), switch_on=True) == math.inf


def test_how_it_stands_at_each_stop() -> None:
    turning, still = stops_at(run_of(STEPS), switch_on=True)
    assert turning.key == "left.stop_turning"
    assert "coolant on" in say(turning)
    assert still.key == "left.stop_still"
    assert "coolant off" in say(still)
    assert stops_at(run_of(STEPS), switch_on=False) == (still,)


def test_what_stays_clamped_wet_or_hot() -> None:
    wet = {one.key for one in left_standing(turned_parts(2), lathe=True)}
    assert {"left.chuck", "left.bar", "left.wet"} <= wet
    dry = {one.key for one in left_standing(run_of([("tool", 1), ("feed", 9, 0, 0)]), lathe=False)}
    assert dry == {"left.clamped", "left.hot"}
    assert left_standing(run_of([("tool", 1), ("rapid", 9, 0, 0)]), lathe=False) == ()
    assert drills(run_of([])) == ()


def test_one_time_a_move_is_asked_for() -> None:
    run = turned_parts(1)
    with pytest.raises(ValueError, match="times for"):
        stretches(run, times(run)[:-1])
