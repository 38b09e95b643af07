"""A keyway's width between walls that a scan shows in different places."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.features.frame import Frame
from steadyrest.part.features.keyway import Keyway, carrier
from steadyrest.part.features.keyways import apart_mm, facing, in_one_piece
from steadyrest.part.features.profile import Bound, Piece
from steadyrest.part.features.turned import Ring, Slack
from steadyrest.part.patch import Patch

LINE = Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
WIDTH_MM = 6.35


def wall(number: int, side: float, at_mm: float, lean_rad: float) -> Patch:
    """One wall that looks at the other, seen near one place along the axis, leaning along it as short ones seem to."""
    normal = (-side * math.cos(lean_rad), 0.0, math.sin(lean_rad))
    return Patch(number, "plane", (side * WIDTH_MM / 2, 15.0, at_mm), normal, area_mm2=30.0, u_axis_rad=0.03)


@given(st.floats(-30, 30), st.floats(-30, 30), st.floats(-0.04, 0.04), st.floats(-0.04, 0.04))
def test_walls_seen_in_different_places_are_as_far_apart_as_they_stand(a: float, b: float, one: float, two: float):
    # The truth is how they were set up: a lean along the axis is no keyway's, whatever lies between both places.
    ((width, _, _),) = facing([wall(0, 1.0, a, one), wall(1, -1.0, b, two)], LINE)
    assert width == pytest.approx(WIDTH_MM, abs=1e-6)


def bore_piece(radius: float, low: float, high: float) -> Piece:
    """A stretch of a bore."""
    ring = Ring((Patch(0, "cylinder", (0, 0, 0), (0, 0, 1), radius, inside=True),), low, high, radius, radius)
    return Piece(Bound(low, 0), Bound(high, 0), radius, radius, ring)


def test_a_keyway_in_a_bore_worn_in_its_middle_counts_from_the_bore_before_it_wore():
    pieces = [bore_piece(9.98, 0, 5.3), bore_piece(10.15, 5.3, 14.4), bore_piece(9.99, 14.4, 23.5)]
    on = carrier(pieces, 0.3, 23.4)
    assert on is not None
    assert on.low_radius_mm == 9.98
    # A counterbore twice as deep as wear goes is another size: nothing carries such a keyway.
    assert carrier([bore_piece(9.98, 0, 5.3), bore_piece(11.0, 5.3, 14.4), bore_piece(12.0, 14.4, 23.5)], 0, 23) is None


@given(st.lists(st.tuples(st.floats(5, 50), st.floats(-0.05, 0.05)), min_size=2, max_size=5))
def test_pieces_of_a_wall_have_a_say_by_their_area(pieces: list[tuple[float, float]]):
    whole = wall(0, -1.0, 0.0, 0.0)
    parts = [
        replace(wall(k, 1.0, 4.0 * k, 0.0), area_mm2=area, point=(WIDTH_MM / 2 + off, 15.0, 4.0 * k))
        for k, (area, off) in enumerate(pieces, 1)
    ]
    off = sum(area * off for area, off in pieces) / sum(area for area, _ in pieces)
    assert apart_mm([whole, *parts], LINE) == pytest.approx(WIDTH_MM + off, abs=1e-9)


def half(low: float, high: float, wider_mm: float) -> Keyway:
    """What a scanner showed of a keyway in a bore of 20, from one end."""
    walls = tuple(
        replace(wall(int(10 * low) + k, side, (low + high) / 2, 0.0), area_mm2=10 * (high - low))
        for k, side in enumerate((1.0, -1.0))
    )
    walls = (replace(walls[0], point=(WIDTH_MM / 2 + wider_mm, 15.0, (low + high) / 2)), walls[1])
    floor = Patch(int(10 * low) + 5, "plane", (0.0, 12.7, low), (0.0, -1.0, 0.0), area_mm2=WIDTH_MM * (high - low))
    on = bore_piece(10.0, 0.0, 28.0)
    return Keyway(walls, floor, (), WIDTH_MM + wider_mm, 12.7, low, high, (0.0, 1.0, 0.0), on, inside=True)


@pytest.mark.parametrize(("wider_mm", "many"), [(0.1, 1), (0.9, 2)])
def test_what_two_ends_show_of_one_keyway_is_told_once_by_all_of_its_walls(wider_mm: float, many: int):
    slack = Slack(angle_rad=0.026, distance_mm=0.2, rounding_mm=0.5, ragged_mm=0.5, least_mm2=5.0, tail=0.005)
    told = in_one_piece([half(0.0, 10.0, 0.0), half(11.0, 26.0, wider_mm)], LINE, slack)
    assert len(told) == many
    if many == 1:
        assert (told[0].low_mm, told[0].high_mm) == (0.0, 26.0)
        assert told[0].width_mm == pytest.approx(WIDTH_MM + 0.6 * wider_mm)
