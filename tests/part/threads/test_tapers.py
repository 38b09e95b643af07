"""Cones are named by the tapers of the tables, with honest odds."""

from __future__ import annotations

from math import degrees, radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.threads.tapers import taper_name, taper_names, taper_nominals
from steadyrest.shop.part import Feature, Size
from steadyrest.tables.tapers import Taper, tapers
from tests.part.nominal.parts import part_of

RATIOS = [taper for taper in tapers() if taper.large_mm is None]
SIZED = [taper for taper in tapers() if taper.large_mm is not None]


@pytest.mark.parametrize("taper", RATIOS, ids=lambda taper: taper.name)
def test_a_well_measured_taper_is_named_surely(taper: Taper) -> None:
    found = taper_names(taper.half_angle_rad + 1e-4, 2e-4)
    if taper.name == "1:20":  # eight tool tapers lie about it: without a size nobody can be sure
        assert taper.name in [name.name for name in found]
        assert found[0].odds < 0.6
    else:
        assert found[0].name == taper.name
        assert found[0].odds > 0.9


@pytest.mark.parametrize("taper", SIZED, ids=lambda taper: taper.name)
def test_a_tool_taper_is_known_by_its_size_more_than_by_its_angle(taper: Taper) -> None:
    assert taper.small_mm is not None
    assert taper.large_mm is not None
    bare = taper_names(taper.half_angle_rad, 2e-4)
    sized = taper_names(taper.half_angle_rad, 2e-4, (taper.small_mm, taper.large_mm))
    assert len(bare) > 2
    assert sized[0].name == taper.name
    assert sized[0].odds > bare[0].odds


def test_an_angle_between_the_tapers_has_no_name() -> None:
    assert taper_name(radians(11.0), 1e-3) is None
    assert taper_name(radians(45.0), 1e-4) is None


@settings(deadline=None, max_examples=60)
@given(half_deg=st.floats(0.2, 45), u_deg=st.floats(0.0, 0.5))
def test_odds_are_odds_and_fall_in_order(half_deg: float, u_deg: float) -> None:
    odds = [name.odds for name in taper_names(radians(half_deg), radians(u_deg))]
    assert odds == sorted(odds, reverse=True)
    assert sum(odds) <= 1 + 1e-9


@settings(deadline=None, max_examples=20)
@given(u_deg=st.floats(0.01, 0.4))
def test_a_coarser_angle_is_never_surer(u_deg: float) -> None:
    half = radians(2.8624)
    fine, coarse = taper_names(half, radians(u_deg)), taper_names(half, radians(2 * u_deg))
    assert (coarse[0].odds if coarse else 0.0) <= (fine[0].odds if fine else 0.0) + 1e-9


def cone(angle_deg: float, u_deg: float) -> Feature:
    large = 34.0 + 2 * 60 * tan(radians(angle_deg / 2))
    sizes = (Size("diameter_mm", large, large, 0.02), Size("angle_deg", angle_deg, angle_deg, u_deg))
    return Feature("F1", "cone", sizes, (1.0, 0.0, 0.0), (0.0, 0.0, 0.0), along_mm=(0.0, 60.0))


def test_a_cone_of_a_part_gets_its_taper_s_name_and_exact_angle() -> None:
    part = taper_nominals(part_of(cone(5.73, 0.03)))
    nominal = part.features[0].sizes[1].nominal
    assert nominal is not None
    assert nominal.shown == "1:10"
    assert nominal.value == pytest.approx(degrees(2 * tapers()[12].half_angle_rad))
    assert nominal.state == "sure"


def test_a_cone_of_no_taper_keeps_its_angle() -> None:
    part = part_of(cone(20.0, 0.03))
    assert taper_nominals(part) == part
