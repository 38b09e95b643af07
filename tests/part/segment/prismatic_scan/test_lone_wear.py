"""Worn walls that stand alone: made from closed forms, the wear put on by another shape than the finder's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.segment.prismatic_scan.lone_wear import lone_level
from steadyrest.part.wear.worn import Seat

RADIUS_MM, LONG_MM, NOISE_MM, STEP_MM = 16.0, 18.0, 0.03, 0.6


def seat(depth_of, *, sign: int = -1, shift_mm: float = 0.0, seed: int = 1) -> Seat:
    """A wall of 32 diameter about an axis that is off by shift_mm, worn by depth_of(angle, share of the length)."""
    rng = np.random.default_rng(seed)
    many = int(2 * np.pi * RADIUS_MM / STEP_MM)
    angle, along = np.meshgrid(
        np.arange(many) * 2 * np.pi / many - np.pi, np.arange(0.0, LONG_MM, STEP_MM), indexing="ij"
    )
    angle, along = angle.ravel(), along.ravel()
    lost = depth_of(angle, along / LONG_MM)
    radius = RADIUS_MM - sign * lost + shift_mm * np.cos(angle - 1.0) + NOISE_MM * rng.standard_normal(len(angle))
    return Seat(angle, along, radius, sign, NOISE_MM, STEP_MM, lone=True)


def one_side(depth_mm: float, arc_deg: float, low: float = 0.0, high: float = 1.0, middle: float = 0.4):
    """Wear as a raised cosine over an arc: not the finder's own shape."""

    def depth(angle, share):
        off = np.abs((angle - middle + np.pi) % (2 * np.pi) - np.pi)
        arc = np.radians(arc_deg)
        return (
            depth_mm
            * np.where(off < arc / 2, 0.5 + 0.5 * np.cos(2 * np.pi * off / arc), 0.0)
            * ((share > low) & (share < high))
        )

    return depth


@pytest.mark.parametrize("sign", [-1, 1])
@pytest.mark.parametrize("arc_deg", [150.0, 220.0])
def test_wear_on_one_side_is_told_and_the_level_is_that_before_it(sign, arc_deg) -> None:
    found = lone_level(seat(one_side(0.25, arc_deg, 0.1, 0.85), sign=sign, shift_mm=0.08))
    assert found is not None
    assert found.radius_mm == pytest.approx(RADIUS_MM, abs=0.03)
    assert found.depth_mm == pytest.approx(0.25, abs=0.08)


@pytest.mark.parametrize("depth_mm", [0.08, 0.15, 0.3])
def test_a_band_all_round_is_told(depth_mm) -> None:
    found = lone_level(seat(lambda _, share: depth_mm * ((share > 0.2) & (share < 0.7))))
    assert found is not None
    assert found.radius_mm == pytest.approx(RADIUS_MM, abs=0.02)
    assert found.depth_mm == pytest.approx(depth_mm, abs=0.03)
    assert found.along_mm == pytest.approx((0.2 * LONG_MM, 0.7 * LONG_MM), abs=2.5)


@given(seed=st.integers(0, 10_000), shift_mm=st.floats(0.0, 0.15), sign=st.sampled_from((-1, 1)))
@settings(deadline=None, max_examples=15)
def test_an_unworn_wall_beside_its_axis_is_not_said_to_be_worn(seed, shift_mm, sign) -> None:
    assert lone_level(seat(lambda angle, _: 0.0 * angle, sign=sign, shift_mm=shift_mm, seed=seed)) is None


def test_weld_that_stands_proud_is_no_wear_elsewhere() -> None:
    found = lone_level(seat(one_side(-0.25, 120.0, 0.1, 0.9)))
    assert found is not None
    assert found.depth_mm == 0
    assert found.radius_mm == pytest.approx(RADIUS_MM, abs=0.03)
    assert found.proud_mm == pytest.approx(0.25, abs=0.08)


def test_wear_all_round_and_all_along_leaves_nothing_to_tell_it_by() -> None:
    assert lone_level(seat(lambda angle, _: 0.2 + 0.0 * angle)) is None


def test_a_wall_of_few_points_is_not_judged() -> None:
    some = seat(one_side(0.3, 180.0))
    few = slice(None, None, 150)
    assert lone_level(Seat(some.angle[few], some.along[few], some.radius[few], -1, NOISE_MM, STEP_MM)) is None


def test_wear_all_round_a_stretch_is_wear_even_where_less_than_half_is_left() -> None:
    found = lone_level(seat(lambda _, share: 0.3 * ((share > 0.3) & (share < 0.95)), seed=3))
    assert found is not None
    assert found.proud_mm == 0
    assert found.radius_mm == pytest.approx(RADIUS_MM, abs=0.03)
    assert found.depth_mm == pytest.approx(0.3, abs=0.05)


def test_what_hangs_beside_a_wall_that_lies_evenly_all_round_is_no_wear() -> None:
    skin = seat(one_side(-0.4, 120.0, 0.1, 0.9))
    assert lone_level(skin, seat_scatter_mm=0.02) is None
