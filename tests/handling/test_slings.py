"""Laws of a load on a hook."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from steadyrest.handling.slings import G_M_S2, Hung, legs

COORDINATES = st.floats(-2000, 2000)
POINTS = st.lists(st.tuples(COORDINATES, COORDINATES), min_size=3, max_size=3)


@given(POINTS, st.lists(st.floats(0.05, 1), min_size=3, max_size=3), st.floats(100, 5000), st.floats(1, 5000))
def test_three_legs_hold_the_load_in_balance(points, parts, hook, mass):
    (ax, ay), (bx, by), (cx, cy) = points
    assume(abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) > 1e5)
    weights = np.array(parts) / sum(parts)
    centre = tuple(float(one) for one in weights @ np.array(points))
    found = legs(Hung(mass, centre, tuple(points), hook))
    total = np.zeros(3)
    for point, pull, length in zip(points, found.pull, found.length_mm, strict=True):
        total += pull.value * np.array([centre[0] - point[0], centre[1] - point[1], hook]) / length
    assert total == pytest.approx([0, 0, mass * G_M_S2], abs=1e-6 * mass * G_M_S2)


@given(st.floats(0.05, 0.95), st.floats(200, 3000), st.floats(1.01, 3))
def test_a_higher_hook_pulls_less(at, hook, more):
    low = legs(Hung(500, (2000 * at, 0), ((0, 0), (2000, 0)), hook))
    high = legs(Hung(500, (2000 * at, 0), ((0, 0), (2000, 0)), hook * more))
    assert all(b.value < a.value for a, b in zip(low.pull, high.pull, strict=True))


@given(POINTS.map(lambda p: [*p, (3000.0, 3000.0)]), st.tuples(COORDINATES, COORDINATES))
def test_a_stiff_load_is_never_reckoned_lighter_on_a_leg(points, centre):
    assume(all(math.dist(p, q) > 10 for k, p in enumerate(points) for q in points[:k]))
    stiff = legs(Hung(500, centre, tuple(points), 2000))
    gives = legs(Hung(500, centre, tuple(points), 2000, stiff=False))
    assert all(a.value >= b.value for a, b in zip(stiff.pull, gives.pull, strict=True))


def test_a_mass_outside_its_points_tips():
    found = legs(Hung(500, (2500, 0), ((0, 0), (2000, 0)), 1000))
    assert [reason.key for reason in found.cannot] == ["sling.tips"]


def test_flat_legs_and_too_much_for_a_leg_are_a_no_that_says_how_high_the_hook_must_be():
    found = legs(Hung(500, (1000, 0), ((0, 0), (2000, 0)), 500, rated_n=4000))
    assert [reason.key for reason in found.cannot] == ["sling.flat", "sling.overload"]
    (hook,) = (value for name, value in found.cannot[0].given if name == "hook_mm")
    assert not legs(Hung(500, (1000, 0), ((0, 0), (2000, 0)), float(hook))).cannot


def test_every_lift_on_a_hook_brings_its_cautions():
    assert len(legs(Hung(500, (1000, 0), ((0, 0), (2000, 0)), 2000)).cautions) == 3


@pytest.mark.parametrize("points", [((0.0, 0.0),), ((0.0, 0.0), (0.0, 0.0))])
def test_fewer_than_two_places_are_refused(points):
    with pytest.raises(ValueError, match="point"):
        legs(Hung(500, (0, 0), points, 1000))
