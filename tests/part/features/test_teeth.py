"""Teeth counted on models and scans, and the belt or chain that so many of them are for.

Solids are made with the kernel here, scans by tests/part/revolved.py. The diameters over the tips are worked out anew
from pitch, count and offset: P z / pi - 2 u of a pulley (table of the house, from memory), P (0.6 + cot(180 / z)) of a
sprocket (ANSI B29.1).
"""

from __future__ import annotations

from functools import cache
from math import pi, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.features.find import Found, find
from steadyrest.part.features.gear_teeth import gear_candidates
from steadyrest.part.read import with_points
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.solid.graph import solid_graph
from steadyrest.shop.part import Feature
from tests.part.revolved import line, mesh_of
from tests.part.solid import made

XL_MM, XL_OFFSET_MM = 5.08, 0.254


def xl_tips(teeth: int) -> float:
    return XL_MM * teeth / pi - 2 * XL_OFFSET_MM


@cache
def slotted(teeth: int, outside: float, *, left_out: int = 0) -> Found:
    """A bar with hubs, its middle slotted into so many teeth; some slots may be left out."""
    body = made.fused(made.cylinder(outside, 10, 30), made.cylinder(0.6 * outside, 0, 40))
    width = 0.5 * pi * outside / teeth
    for k in range(teeth - left_out):
        slot = made.box((outside / 2 - 1.5, -width / 2, 10), (outside, width / 2, 30))
        body = made.cut(body, made.moved(slot, turn_deg=360 * k / teeth))
    return find(solid_graph(made.step(body), "t.step", progress=quietly, stop=never).graph)


def toothed(found: Found) -> list[Feature]:
    return [feature for feature in found.features if feature.teeth]


def keys(feature: Feature) -> set[str]:
    return {reason.key for reason in feature.why}


@pytest.mark.parametrize("teeth", [10, 15, 24])
def test_a_pulleys_teeth_are_counted_and_its_belt_is_named(teeth: int) -> None:
    found = slotted(teeth, xl_tips(teeth))
    tips = next(f for f in toothed(found) if f.kind == "shaft")
    assert tips.teeth == teeth
    assert tips.sizes[0].estimate == pytest.approx(xl_tips(teeth), abs=1e-6)
    (belt,) = [r for r in tips.why if r.key == "features.belt_pulley"]
    assert dict(belt.given)["belt"] == "XL"
    # The flanks and floors are one feature, not one for each tooth.
    assert len([f for f in found.features if f.kind == "free"]) == 1


def test_a_sprockets_teeth_are_for_its_chain() -> None:
    pitch, teeth = 12.7, 17
    outside = pitch * (0.6 + 1 / tan(pi / teeth))
    tips = next(f for f in toothed(slotted(teeth, outside)) if f.kind == "shaft")
    assert any(r.key == "features.sprocket" and dict(r.given)["pitch_mm"] == pytest.approx(12.7) for r in tips.why)


def test_teeth_of_no_belt_say_between_which_pitches_to_look() -> None:
    tips = next(f for f in toothed(slotted(12, 30.0)) if f.kind == "shaft")
    assert tips.teeth == 12
    (other,) = [r for r in tips.why if r.key == "features.teeth_other"]
    assert dict(other.given)["low_mm"] < 30 * pi / 12 * 1.03 < dict(other.given)["high_mm"]
    assert "features.belt_pulley" not in keys(tips)


@pytest.mark.parametrize(
    ("teeth", "outside", "system", "size"),
    [
        (20, 2.0 * 22, "module", 2.0),
        (31, 1.5 * 33 - 0.04, "module", 1.5),
        (24, 25.4 * 26 / 10, "diametral pitch", 10.0),
    ],
)
def test_a_plain_gears_size_is_its_first_candidate(teeth: int, outside: float, system: str, size: float) -> None:
    """The tips of a spur gear lie one module outside of its pitch circle: m (z + 2), or (z + 2) / P inches."""
    first = gear_candidates(teeth, outside, 0.03)[0]
    assert (first.size.system, first.size.size) == (system, size)
    assert 0.6 < first.odds < 0.99


@given(teeth=st.integers(8, 80), module=st.floats(0.9, 12.0), u_mm=st.floats(0.01, 0.3))
def test_a_gears_odds_leave_room_for_one_of_no_table_and_more_so_the_worse_it_is_measured(teeth, module, u_mm) -> None:
    outside = module * (teeth + 2)
    found = gear_candidates(teeth, outside, u_mm)
    assert sum(one.odds for one in found) < 1
    assert [one.odds for one in found] == sorted((one.odds for one in found), reverse=True)
    blurred = gear_candidates(teeth, outside, 50.0)
    assert all(one.odds < 0.6 for one in blurred)


def test_a_gears_teeth_say_its_module_and_still_give_no_size() -> None:
    tips = next(f for f in toothed(slotted(18, 40.0)) if f.kind == "shaft")
    said = [dict(r.given) for r in tips.why if r.key == "features.gear_module"]
    assert said[0]["size"] == "2"
    assert said[0]["table_mm"] == pytest.approx(40.0)


def test_a_slotted_nut_and_a_tooth_left_out_are_no_teeth() -> None:
    assert not toothed(slotted(6, 30.0))
    assert not toothed(slotted(16, xl_tips(16), left_out=1))


@cache
def scanned(teeth: int, outside: float) -> Found:
    """A toothed band between plain shafts, scanned; flanks of 25 degrees or so, lands as wide as gaps."""
    bar = line((0, 0), (0, 0.4 * outside), (8, 0.4 * outside), (8, outside / 2), (26, outside / 2), (26, 0))

    def shape(along, radius, angle):
        place = (angle * teeth / (2 * pi)) % 1.0
        depth = np.clip((np.abs(place - 0.5) - 0.22) / 0.08, 0, 1) * 1.4
        return np.where((along > 8.2) & (along < 25.8) & (np.abs(radius - outside / 2) < 1), -depth, 0.0)

    mesh = mesh_of(bar, step_mm=0.4, noise_mm=0.03, seed=7, softness_mm=0.1, shape=shape)
    return find(with_points(scan_graph(mesh, progress=quietly, stop=never), mesh))


def test_a_scanned_pulley_gives_its_tips_where_a_belt_fits_them() -> None:
    (band,) = toothed(scanned(16, xl_tips(16)))
    assert (band.kind, band.teeth) == ("free", 16)
    assert band.sizes[0].estimate == pytest.approx(xl_tips(16), abs=0.08)
    assert "features.belt_pulley" in keys(band)


def test_a_scanned_grip_of_no_belt_gives_no_size() -> None:
    found = scanned(16, 27.0)
    assert not toothed(found)
    assert any("features.lobed" in keys(f) and not f.sizes for f in found.features)
