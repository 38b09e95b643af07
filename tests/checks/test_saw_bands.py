"""Teeth of a saw band.

Source: a band saw's manual p. 10 (seen): tube of 4 in outside and 3 in inside has a mean width of 5.498 / 4 = 1.375 in
and takes 4/6; 4 in round 3/4; 6 in square 2/3. Teeth in the cut: at least 3 (seen at a blade maker), 24 at most (from
memory).
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.tables.saw_bands import band_for


@pytest.mark.parametrize(("width_in", "teeth"), [(1.375, "4/6"), (4.0, "3/4"), (6.0, "2/3")])
def test_the_band_is_the_manual_s(width_in: float, teeth: str) -> None:
    assert band_for(width_in * 25.4).shown == teeth


@settings(deadline=None, max_examples=60)
@given(width_mm=floats(7, 240))
def test_at_least_three_and_at_most_twenty_four_teeth_are_in_the_cut(width_mm: float) -> None:
    assert 3.0 <= band_for(width_mm).in_cut(width_mm) <= 24.0
