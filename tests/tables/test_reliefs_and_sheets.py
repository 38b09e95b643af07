"""Reliefs, sheet, inch bearings, zones by function and thread limits as laws that no misprint may break."""

from __future__ import annotations

from itertools import pairwise

import pytest

from steadyrest.tables import fits
from steadyrest.tables.bearings import inch_bearings
from steadyrest.tables.function_zones import use_zones, zone_for
from steadyrest.tables.reliefs import thread_relief, thread_reliefs, undercuts
from steadyrest.tables.rows import rows
from steadyrest.tables.sheets import sheets, sheets_like
from steadyrest.tables.thread_limits import nut_minor_6h_mm, screw_major_6g_mm
from steadyrest.tables.threads import Thread, metric_threads


def test_a_thread_relief_is_deeper_than_the_thread_and_wider_for_a_coarser_one() -> None:
    for relief in thread_reliefs():
        assert relief.under_mm > 1.2268 * relief.pitch_mm
        assert 2 * relief.pitch_mm <= relief.width_mm[0] < relief.width_mm[1] <= 3.6 * relief.pitch_mm
    for a, b in pairwise(thread_reliefs()):
        assert a.pitch_mm < b.pitch_mm
        assert (a.under_mm, a.width_mm) < (b.under_mm, b.width_mm)
    assert thread_relief(1.3) is None


def test_every_usual_shaft_has_an_undercut_and_none_is_deeper_than_its_radius() -> None:
    for d in (4, 12, 25, 60, 100, 200):
        assert undercuts(d)
        for one in undercuts(d):
            assert one.deep_mm <= one.radius_mm
            assert one.width_mm > 2 * one.radius_mm * 0.6


def test_a_higher_gauge_number_is_thinner_sheet() -> None:
    for metal in ("steel", "galvanised", "aluminium", "stainless"):
        gauges = [(int(s.name.split()[0]), s.thickness_mm) for s in sheets() if s.metal == metal]
        for (a, thick), (b, thin) in pairwise(gauges):
            assert a < b
            assert thick > thin


def test_sheet_is_found_by_its_thickness_the_nearest_first() -> None:
    assert sheets_like(3.01, within_mm=0.05)[0].shown == "3 mm"
    assert sheets_like(1.52, within_mm=0.03)[0].shown in ("16 gauge steel", "1.5 mm")
    assert not sheets_like(7.31, within_mm=0.02)


def test_an_inch_bearing_is_wider_than_its_bore_and_no_bore_is_zero() -> None:
    for one in inch_bearings():
        assert 0 < one.width_mm < one.outside_mm - one.bore_mm
        assert one.bore_mm < 0.75 * one.outside_mm


def test_every_use_has_a_zone_that_iso_286_has() -> None:
    for one in use_zones():
        for size in (one.over_mm + 6, min(one.upto_mm, 180)):
            found = zone_for(one.use, size)  # pyright: ignore[reportArgumentType]
            assert found is not None
            assert fits.has_limits(size, found.zone), (one, size)


@pytest.mark.parametrize("thread", metric_threads(), ids=lambda t: t.name)
def test_a_screw_goes_into_its_nut(thread: Thread) -> None:
    screw, nut = screw_major_6g_mm(thread), nut_minor_6h_mm(thread)
    if screw is None or nut is None:
        assert thread.pitch_mm not in {row.number("pitch_mm") for row in rows("thread_limits")}
        return
    assert screw[0] < screw[1] < thread.diameter_mm
    assert nut[0] < nut[1] < screw[0]
