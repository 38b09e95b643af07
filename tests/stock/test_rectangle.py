"""A rectangle in a plate of any outline, against laying it everywhere on a fine net (shapely)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from steadyrest.stock.rectangle import rectangle_fits

L = ((0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100))
SLANT = ((0, 0), (100, 0), (60, 80), (0, 80))
HOLE = ((20, 10), (30, 10), (30, 30), (20, 30))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from([(L, ()), (L, (HOLE,)), (SLANT, ()), (SLANT, (HOLE,))]), st.integers(5, 95), st.integers(5, 95))
def test_it_fits_where_a_net_of_tries_finds_a_place_and_nowhere_else(plate, wide, high):
    outline, holes = plate
    shape = Polygon(outline, holes)
    net = [(x, y) for x in np.arange(0, 100, 5.0) for y in np.arange(0, 100, 5.0)]
    sides = ((wide, high), (high, wide))
    there = any(shape.covers(box(x, y, x + w, y + h)) for x, y in net for w, h in sides)
    # What the net finds does fit; a rectangle larger by the net's width fits nowhere that the net missed.
    assert rectangle_fits(outline, holes, wide, high) or not there
    if rectangle_fits(outline, holes, wide + 5, high + 5):
        assert there


@pytest.mark.parametrize(("wide", "high", "fits"), [(100, 40, True), (40, 100, True), (41, 41, False), (40, 40, True)])
def test_one_of_just_the_size_fits_and_a_hair_more_does_not(wide, high, fits):
    assert rectangle_fits(L, (), wide, high) == fits
    assert not rectangle_fits(L, (), wide + 0.01, high + 0.01)
