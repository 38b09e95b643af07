"""A path known by its figures takes as long as the same path block by block in program/timing."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, block_time_s, run_time
from steadyrest.stations.mill.times.motion import Drive

FEEDS, ACCELS = floats(50, 10_000), floats(100, 10_000)


@settings(deadline=None)
@given(length=floats(0.01, 500), feed=FEEDS, accel=ACCELS)
def test_a_piece_from_rest_to_rest_is_the_block_of_program_timing(length: float, feed: float, accel: float) -> None:
    drive = Drive(accel, (1e4, 1e4))
    assert drive.piece_s(length, feed) == pytest.approx(block_time_s(length, feed / 60, accel), rel=1e-9)


@settings(deadline=None, max_examples=30)
@given(side=floats(1, 60), count=integers(4, 40), feed=FEEDS, accel=ACCELS, corner=floats(0.005, 0.2))
def test_a_stair_with_rounded_corners_takes_what_look_ahead_gives(
    side: float, count: int, feed: float, accel: float, corner: float
) -> None:
    words = ["G21 G91 G17 G94"] + [f"G1 {'XY'[k % 2]}{side:.6f} F{feed:.6f}" for k in range(count)]
    run = read("\n".join([*words, "M30"]).encode(), Dialect())
    timing = MachineTiming((1e4, 1e4, 1e4), accel, corner)
    drive = Drive(accel, (1e4, 1e4), corner)
    # The first and the last piece begin and end at rest: all others are alike.
    ends = 2 * (drive.piece_s(side, feed) - drive.piece_s(side, feed, drive.corner_speed()))
    got = drive.path_s(side * count, count, feed)
    assert got - 1e-9 <= run_time(run, timing).total_s <= got + ends + 1e-9


@settings(deadline=None)
@given(length=floats(0.1, 100), feed=FEEDS, accel=ACCELS, more=floats(1, 10))
def test_more_acceleration_and_fewer_pieces_are_never_slower(
    length: float, feed: float, accel: float, more: float
) -> None:
    assert (
        Drive(accel * more, (1e4, 1e4)).path_s(length, 5, feed)
        <= Drive(accel, (1e4, 1e4)).path_s(length, 5, feed) + 1e-9
    )
    assert Drive(accel, (1e4, 1e4)).path_s(length, 5, feed) <= Drive(accel, (1e4, 1e4)).path_s(length, 6, feed) + 1e-9


def test_a_right_corner_is_taken_as_the_fillet_that_leaves_it_by_so_much() -> None:
    # R = c cos 45 / (1 - cos 45): geometry of the fillet, as in program/timing/look_ahead.py's own oracle.
    radius = 0.02 * math.cos(math.pi / 4) / (1 - math.cos(math.pi / 4))
    assert Drive(1000.0, (1e4, 1e4), 0.02).corner_speed() == pytest.approx(math.sqrt(1000.0 * radius))
