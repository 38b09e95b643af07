"""Keys, rings, bearings, threads, tapers and bar as laws that no misprint may break."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.tables.bar_stock import bar_sizes
from steadyrest.tables.bearings import bearings, bearings_in, bearings_on
from steadyrest.tables.keys import Hold, Place, inch_keys, key_for, keyseat_chord, keyway_width_limits, metric_keys
from steadyrest.tables.rings import Where, ring_groove, ring_grooves
from steadyrest.tables.tapers import tapers
from steadyrest.tables.threads import find_thread, metric_threads, unified_threads
from steadyrest.trouble import BadInput

laws = settings(deadline=None, max_examples=100)


def test_keys_follow_each_other_without_gap_and_grow() -> None:
    for keys in (metric_keys(), inch_keys(), inch_keys(flat=True)):
        for before, after in itertools.pairwise(keys):
            assert after.over_mm == pytest.approx(before.upto_mm)
            assert after.width_mm >= before.width_mm
            assert after.height_mm >= before.height_mm


def test_a_metric_key_has_a_little_air_over_it() -> None:
    # Invariant of the printed table: t1 + t2 - h is 0.2 to 0.4 mm.
    for key in metric_keys():
        assert 0.199 <= key.sunk_shaft_mm + key.sunk_hub_mm - key.height_mm <= 0.401


@laws
@given(shaft_mm=st.floats(6.01, 170))
def test_a_key_is_for_the_shafts_it_says(shaft_mm: float) -> None:
    key = key_for(shaft_mm)
    assert key is not None
    assert key.over_mm < shaft_mm <= key.upto_mm + 1e-6
    assert key.width_mm < shaft_mm / 2


def test_there_is_no_key_outside_the_table() -> None:
    assert key_for(6) is None
    assert key_for(171) is None
    assert key_for(4, "in") is None


@laws
@given(shaft=st.floats(0.1, 10), share=st.floats(0.01, 0.99))
def test_the_arc_over_a_keyseat_closes_the_circle(shaft: float, share: float) -> None:
    width = shaft * share
    arc = keyseat_chord(shaft, width)
    assert (shaft / 2 - arc) ** 2 + (width / 2) ** 2 == pytest.approx((shaft / 2) ** 2)


def test_a_key_wider_than_the_shaft_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="must be positive and at most"):
        keyseat_chord(1.0, 1.5)


@pytest.mark.parametrize("place", ["shaft", "hub"])
def test_a_closer_key_has_a_narrower_keyway(place: Place) -> None:
    holds: tuple[Hold, ...] = ("close", "normal", "free")
    largest = [keyway_width_limits(8, place, hold)[1] for hold in holds]
    assert largest == sorted(largest)


@pytest.mark.parametrize("on", ["shaft", "bore"])
def test_a_ring_groove_is_cut_into_the_metal_and_deeper_on_larger_sizes(on: Where) -> None:
    grooves = ring_grooves(on)
    depths = [abs(groove.diameter_mm - groove.groove_mm) / 2 for groove in grooves]
    assert all((groove.groove_mm < groove.diameter_mm) is (on == "shaft") for groove in grooves)
    assert depths == sorted(depths)
    widths = [groove.width_mm for groove in grooves]
    assert widths == sorted(widths)
    for groove in grooves:
        low, high = groove.width_limits_mm()
        assert low == groove.width_mm < high
    assert ring_groove(on, 19.99) is None


def test_a_bearing_is_larger_outside_than_in_and_its_code_is_its_own() -> None:
    assert len({one.code for one in bearings()}) == len(bearings())
    for one in bearings():
        assert one.outside_mm > one.bore_mm + one.width_mm / 2
        if len(one.code) == 4 and one.code[0] == "6" and int(one.code[2:]) >= 4:
            assert one.bore_mm == 5 * int(one.code[2:])


def test_within_a_bore_the_series_grow() -> None:
    by_code = {one.code: one for one in bearings()}
    for one in bearings_on(50):
        assert one.bore_mm == 50
    for code in range(21):
        series = [by_code[f"{prefix}{code:02d}"] for prefix in ("60", "62", "63") if f"{prefix}{code:02d}" in by_code]
        assert [one.outside_mm for one in series] == sorted(one.outside_mm for one in series)
        assert [one.width_mm for one in series] == sorted(one.width_mm for one in series)
    assert {one.code for one in bearings_in(52.01, 0.02)} == {"6205", "6304", "61808"}


def test_a_tap_drill_lies_between_minor_and_major_diameter() -> None:
    for thread in (*metric_threads(), *unified_threads()):
        assert thread.screw_minor_mm < thread.nut_minor_mm < thread.pitch_diameter_mm < thread.diameter_mm
        assert thread.nut_minor_mm - 0.06 * thread.pitch_mm < thread.tap_drill_mm < thread.pitch_diameter_mm
        # M1.6 and M2.5 are drilled a little wide.
        assert 60 < thread.percent(thread.tap_drill_mm) < 85


def test_every_thread_is_found_by_its_own_name() -> None:
    for thread in (*metric_threads(), *unified_threads()):
        assert find_thread(thread.name) == thread
    assert find_thread("m10 x 1,25") == find_thread("M10x1.25")
    assert find_thread("M10X1.5") == find_thread("M10")
    assert find_thread("1/4-20 UNC") == find_thread("1/4-20")


@pytest.mark.parametrize("text", ["", "M", "M11", "M10x9", "1/4", "10 mm", "M10x", "12 ga", "M1e5"])
def test_what_is_no_thread_kept_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        find_thread(text)


def test_a_taper_names_its_half_angle() -> None:
    by_name = {taper.name: taper for taper in tapers()}
    # 7/24: included angle 16 deg 35' 39" (ISO 7388, from memory).
    assert math.degrees(2 * by_name["7:24"].half_angle_rad) == pytest.approx(16 + 35 / 60 + 39.4 / 3600, abs=0.0005)
    assert len(by_name) == len(tapers())
    for taper in tapers():
        assert (taper.large_mm is None) is (taper.small_mm is None)


def test_bar_is_never_larger_than_its_condition_allows() -> None:
    for bar in bar_sizes():
        low, high = bar.limits_mm
        assert low < high
        assert low <= bar.size_mm[0] <= high
        if bar.condition in ("bright drawn", "peeled", "turned and ground"):
            assert high == bar.size_mm[0]
        assert len(bar.size_mm) == (2 if bar.shape == "flat" else 1)
        if bar.shape == "flat":
            assert bar.size_mm[0] > bar.size_mm[1]


def test_bar_can_be_asked_for_by_shape_system_and_condition() -> None:
    inch = bar_sizes("round", "in", "bright drawn")
    assert {(bar.shape, bar.system, bar.condition) for bar in inch} == {("round", "in", "bright drawn")}
    assert "1-7/16 in" in {bar.shown for bar in inch}
    assert any(bar.size_mm == (pytest.approx(36.5125),) for bar in inch)
    told = [(bar.system, bar.shape, bar.size_mm, bar.condition) for bar in bar_sizes()]
    assert len(told) == len(set(told))
