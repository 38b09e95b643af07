"""Rings from an area's figures: exact where the shape is plain, and always the whole area."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers
from shapely.geometry import box

from steadyrest.stations.mill.times.cleared import innermost_mm
from steadyrest.stations.mill.times.rings import Area, Ring, rings, spread_of


def cleared(length: float, width: float, diameter: float) -> Area:
    """A rectangle as a round tool clears it: its corners rounded."""
    got = box(0, 0, length, width).buffer(-diameter / 2).buffer(diameter / 2, quad_segs=256)
    return Area(got.area, got.length, 1, 0, 4, 0, width)


@settings(deadline=None, max_examples=60)
@given(length=floats(20, 200), ratio=floats(0.2, 1.0), share=floats(0.05, 0.9), step=floats(0.2, 0.5))
def test_a_rectangle_s_rings_are_its_offsets(length: float, ratio: float, share: float, step: float) -> None:
    width = length * ratio
    diameter = share * width
    found = rings(cleared(length, width, diameter), diameter_mm=diameter, step_mm=step * diameter)
    offsets = []
    off = diameter / 2
    while 2 * off < width - 1e-3 * width:
        offsets.append(2 * (length + width - 4 * off))
        off += step * diameter
    near = [ring.length_mm for ring in found if ring.length_mm > 0.02 * found[0].length_mm]
    want = [one for one in offsets if one > 0.02 * offsets[0]]
    assert len(near) in (len(want), len(want) + 1)  # a ring that all but vanishes may fall on either side
    for got, true in zip(near, want, strict=False):
        assert got == pytest.approx(true, rel=0.02, abs=0.02 * offsets[0])


@settings(deadline=None, max_examples=25)
@given(
    length=floats(30, 200),
    ratio=floats(0.3, 1.0),
    narrow=floats(0.0, 1.0),
    corners=integers(4, 10),
    islands=integers(0, 2),
)
def test_rings_infinitely_close_cover_the_area_of_the_tool_s_middle(
    length: float, ratio: float, narrow: float, corners: int, islands: int
) -> None:
    width, diameter = length * ratio, 0.1 * length * ratio
    plain = cleared(length, width, diameter)
    area = Area(plain.area_mm2, plain.wall_mm, 1, islands, corners, None, narrow * width)
    x, r = 1 - islands, diameter / 2
    middle = area.area_mm2 - area.wall_mm * r + math.pi * r * r * x
    step = diameter / 40
    found = rings(area, diameter_mm=diameter, step_mm=step)
    covered = (sum(ring.length_mm for ring in found) - found[0].length_mm / 2) * step
    # Figures that do not go together (a square told with ten corners) may leave a little in the middle.
    assert covered == pytest.approx(middle, rel=0.05)


def test_a_way_no_wider_than_the_tool_is_gone_along_once() -> None:
    # A slot 40 long and as wide as the cutter, round ends: the middle goes 30.
    slot = Area(10.0 * 30.0 + math.pi * 25.0, 60.0 + 10.0 * math.pi)
    (only,) = rings(slot, diameter_mm=10.0, step_mm=6.0)
    assert only.length_mm == pytest.approx(30.0, abs=1.0)


def test_what_is_opened_at_full_width_is_the_innermost_ring() -> None:
    assert innermost_mm((Ring(100.0, 4.0), Ring(60.0, 4.0), Ring(20.0, 4.0))) == pytest.approx(20.0)
    assert innermost_mm((Ring(100.0, 4.0), Ring(30.0, 2.0))) == pytest.approx(50.0 + 30.0)


def test_the_spread_grows_where_ways_are_narrow_branched_or_round_islands() -> None:
    disc = Area(math.pi * 900.0, 2.0 * math.pi * 30.0, narrowest_mm=60.0)
    wide = spread_of(disc, diameter_mm=6.0)
    assert wide < spread_of(disc, diameter_mm=20.0)
    drawn_out = Area(math.pi * 900.0, 4.0 * math.pi * 30.0, narrowest_mm=20.0)
    assert spread_of(drawn_out, diameter_mm=6.0) > wide
    island = Area(math.pi * 900.0, 2.0 * math.pi * 30.0, islands=1, narrowest_mm=60.0)
    assert spread_of(island, diameter_mm=6.0) > wide
    two = Area(2.0 * math.pi * 900.0, 4.0 * math.pi * 30.0, regions=2, narrowest_mm=60.0)
    assert spread_of(two, diameter_mm=6.0) == pytest.approx(wide)
    assert spread_of(Area(10.0, 1e6, 1, 3), diameter_mm=20.0) <= 0.5
