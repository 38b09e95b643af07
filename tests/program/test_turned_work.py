"""Rotary axes by quarter turns: the spindle points where ISO 841 says, and holes come out on the side they are in."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.program.removal.blank import BoxBlank
from steadyrest.program.removal.meet import meet
from steadyrest.program.removal.tool_shape import tool_shape
from steadyrest.program.turned_work import settings_of
from steadyrest.shop.leaving import RotaryAxis
from tests.program.removal.paths import Path

CUBE = BoxBlank((-20.0, -20.0, -20.0), (20.0, 20.0, 20.0))
TOOLS = {1: tool_shape(1, "end mill", diameter_mm=8.0)}
A = {"A": RotaryAxis("x")}


def drilled(*angles: float, offset=(0.0, 0.0, 0.0)) -> Path:
    path = Path(at=(0.0, 0.0, 60.0), offset=offset)
    for angle in angles:
        path.rotary = np.array([angle, 0.0, 0.0])
        path.rapid(5, 7).rapid(z=22).feed(z=10).rapid(z=60)
    return path


# A +90: the tool stands as if it had gone round +X by the right hand, from +Z to -Y.
@pytest.mark.parametrize(
    ("angle", "way"),
    [(0.0, (0, 0, 1)), (90.0, (0, -1, 0)), (180.0, (0, 0, -1)), (270.0, (0, 1, 0)), (-90.0, (0, 1, 0))],
)
def test_the_spindle_points_where_the_standard_says(angle: float, way: tuple[int, int, int]) -> None:
    found = settings_of(drilled(0.0, angle).moves(), A) if angle else settings_of(drilled(90.0, 0.0).moves(), A)
    assert found is not None
    assert tuple(row[2] for row in found[angle, 0.0, 0.0].turn) == way


def test_holes_from_four_sides_take_four_cylinders_and_nothing_is_unmet() -> None:
    moves = drilled(0.0, 90.0, 180.0, 270.0).moves()
    met = meet(moves, CUBE, TOOLS, machine="mill", settings=settings_of(moves, A), resolution_mm=0.25)
    assert met.removed_mm3.sum() == pytest.approx(4 * math.pi * 16 * 10, rel=0.02)
    feeds = moves.motion != 0
    assert not met.unmet[feeds].any()
    assert not (met.rapid_mm > 0).any()


def test_a_rapid_into_a_turned_side_is_found() -> None:
    path = drilled(0.0, 90.0)
    path.rapid(z=11)
    moves = path.moves()
    met = meet(moves, CUBE, TOOLS, machine="mill", settings=settings_of(moves, A), resolution_mm=0.25)
    assert np.flatnonzero(met.rapid_mm > 0).tolist() == []  # down its own hole
    path.rapid(x=-10)
    moves = path.moves()
    met = meet(moves, CUBE, TOOLS, machine="mill", settings=settings_of(moves, A), resolution_mm=0.25)
    assert np.flatnonzero(met.rapid_mm > 0).tolist() == [len(moves) - 1]


def test_a_centre_line_beside_the_work_zero_moves_the_hole() -> None:
    """The centre line lies 10 below the work zero: a hole at Y 7 of the side at A 90 is where the turn puts it."""
    axis = {"A": RotaryAxis("x", at_mm=(0.0, 0.0, -10.0))}
    moves = drilled(0.0, 90.0).moves()
    found = settings_of(moves, axis)
    assert found is not None
    one = found[90.0, 0.0, 0.0]
    point = np.array(one.zero_mm) + np.array(one.turn) @ np.array([5.0, 7.0, 20.0])
    # By hand: about (y, z) = (0, -10), (7, 20) is (7, 30) away; a quarter turn from +Z to -Y makes it (-30, 7).
    assert point == pytest.approx([5.0, -30.0, -3.0])


def test_what_is_not_known_is_left_alone() -> None:
    assert settings_of(drilled(0.0, 90.0).moves(), {}) is None
    assert settings_of(drilled(0.0).moves(), A) is None
    slanting = settings_of(drilled(0.0, 30.0).moves(), A)
    assert slanting is not None
    assert list(slanting) == [(0.0, 0.0, 0.0)]
