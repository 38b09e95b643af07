"""Teeth of a saw band.

Source: a band saw's manual p. 10 (seen): tube of 4 in outside and 3 in inside has a mean width of 5.498 / 4 = 1.375 in
and takes 4/6; 4 in round 3/4; 6 in square 2/3. Teeth in the cut: at least 3 (seen at a blade maker), 24 at most (from
memory).
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.stock.section import section_mm2
from steadyrest.tables.cold_saws import cold_speed, thickness_factor
from steadyrest.tables.cutting import saw_rate
from steadyrest.tables.saw_bands import band_for


@pytest.mark.parametrize(("width_in", "teeth"), [(1.375, "4/6"), (4.0, "3/4"), (6.0, "2/3")])
def test_the_band_is_the_manual_s(width_in: float, teeth: str) -> None:
    assert band_for(width_in * 25.4).shown == teeth


# Inches squared a minute in solid bar: an older blade merchant's chart, a bulletin's guide (both seen, forming.md
# section 6) and a manual's chart for 6 in round. They differ by three between makers, so only the whole is a band.
@pytest.mark.parametrize(
    ("group", "low", "high"),
    [(1, 8.0, 40.0), (2, 5.0, 22.0), (4, 6.0, 20.0), (14, 2.0, 3.0), (10, 2.0, 10.0)],
    ids=["1018", "1045", "1080", "304", "A2 and D2"],
)
def test_an_area_rate_lies_within_what_makers_print(group: int, low: float, high: float) -> None:
    rate = saw_rate(group).area_cm2_min
    assert rate.low / 6.4516 >= low / 2.0  # the careful end of a chart that begins at smaller sections
    assert rate.high / 6.4516 <= high


@pytest.mark.parametrize(("thick_in", "percent"), [(0.25, 15.0), (0.75, 12.0), (1.25, 10.0), (4.0, 0.0), (8.0, -12.0)])
def test_a_band_s_speed_is_corrected_for_thickness_as_printed(thick_in: float, percent: float) -> None:
    """Machinery's Handbook, 31st edition, p. 1245 (seen)."""
    assert thickness_factor(thick_in * 25.4) == pytest.approx(1.0 + percent / 100.0, abs=1e-9)


@pytest.mark.parametrize(("group", "low", "high"), [(2, 25, 125), (6, 8, 100), (23, 800, 1000)])
def test_a_disc_s_speed_is_that_of_the_makers_table(group: int, low: float, high: float) -> None:
    """Circular saws with high speed steel teeth, surface feet a minute (seen, forming.md section 6)."""
    band = cold_speed(group)
    assert (band.low / 0.3048, band.high / 0.3048) == pytest.approx((low, high))


def test_round_bar_of_four_inches_is_through_in_the_printed_minutes() -> None:
    """4 in round 1018 at 12 to 15 in2/min: 1.05 to 0.84 min; 6 in round 304 at 2 to 3: 14.1 to 9.4 (computed there)."""
    for inches, rate, minutes in ((4.0, 12.0, 1.05), (4.0, 15.0, 0.84), (6.0, 2.0, 14.1), (6.0, 3.0, 9.4)):
        area = section_mm2("round", (inches * 25.4,)) / 25.4**2
        assert area / rate == pytest.approx(minutes, abs=0.06)


@settings(deadline=None, max_examples=60)
@given(width_mm=floats(7, 240))
def test_at_least_three_and_at_most_twenty_four_teeth_are_in_the_cut(width_mm: float) -> None:
    assert 3.0 <= band_for(width_mm).in_cut(width_mm) <= 24.0
