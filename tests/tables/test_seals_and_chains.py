"""Seals, clearance holes, chains, belts and other threads as laws that no misprint may break."""

from __future__ import annotations

import itertools
from math import pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.tables.chains import (
    belts,
    chains,
    pulley_outside_diameter,
    pulley_pitch_diameter,
    sprocket_outside_diameter,
    sprocket_pitch_diameter,
    sprocket_root_diameter,
)
from steadyrest.tables.clearance import BOLT_FITS, bolts_through, clearance_hole, clearance_holes
from steadyrest.tables.seals import glands, glands_like, lip_seals, lip_seals_in, lip_seals_on
from steadyrest.tables.threads_other import other_threads


def test_a_coarser_clearance_hole_is_larger_and_all_let_the_bolt_through() -> None:
    for holes in zip(*(clearance_holes(fit) for fit in BOLT_FITS), strict=True):
        sizes = [hole.hole_mm for hole in holes]
        assert holes[0].thread_mm < sizes[0]
        assert sizes == sorted(set(sizes))
    for fit in BOLT_FITS:
        for before, after in itertools.pairwise(clearance_holes(fit)):
            assert before.thread_mm < after.thread_mm
            assert before.hole_mm < after.hole_mm


def test_inch_clearance_holes_are_drills_that_let_the_bolt_through() -> None:
    for holes in zip(*(clearance_holes(fit, "in") for fit in BOLT_FITS), strict=True):
        sizes = [hole.hole_mm for hole in holes]
        assert holes[0].thread_mm < sizes[0]
        assert sizes == sorted(set(sizes))
        assert all(abs(size / 25.4 * 64 - round(size / 25.4 * 64)) < 1e-4 for size in sizes)


def test_the_medium_hole_is_offered_first() -> None:
    assert [(hole.thread_mm, hole.fit) for hole in bolts_through(9.0, 0.01)] == [(8.0, "medium")]
    assert bolts_through(11.0, 0.6)[0].thread_mm == 10.0
    assert clearance_hole(8.5) is None


def test_an_o_ring_is_squeezed_and_has_room_in_its_groove() -> None:
    for gland in glands():
        low, high = gland.depth_mm
        narrow, wide = gland.width_mm
        assert 0.5 * gland.cord_mm < low < high < gland.cord_mm
        assert gland.cord_mm < narrow < wide
        # Rubber does not shrink: the groove holds more than the cord's section.
        assert high * wide > 0.98 * pi / 4 * gland.cord_mm**2
    moving = {g.cord_mm: g.depth_mm for g in glands() if g.use == "moving"}
    for gland in glands():
        if gland.use == "static radial" and gland.system == "in":
            assert moving[gland.cord_mm][1] > gland.depth_mm[1]


def test_a_groove_is_known_by_its_own_middle() -> None:
    for gland in glands():
        width, depth = sum(gland.width_mm) / 2, sum(gland.depth_mm) / 2
        assert gland in glands_like(width, depth, within_mm=0.01)


def test_a_groove_of_no_ring_is_none() -> None:
    assert glands_like(1.0, 1.0, within_mm=0.05) == ()


def test_a_lip_seal_is_pressed_into_a_larger_bore_than_its_shaft() -> None:
    names = [seal.name for seal in lip_seals()]
    assert len(names) == len(set(names))
    for seal in lip_seals():
        assert seal.shaft_mm + 6 <= seal.housing_mm <= seal.shaft_mm + 40
        assert 7 <= seal.width_mm <= 12
    assert {seal.name for seal in lip_seals_on(25)} >= {"25x40x7", "25x52x7"}
    assert all(seal.housing_mm == 52 for seal in lip_seals_in(52))
    assert lip_seals_on(25.2) == ()


def test_a_chain_s_roller_is_smaller_than_its_pitch_and_the_number_says_the_pitch() -> None:
    for chain in chains():
        assert 0.4 * chain.pitch_mm < chain.roller_mm < 0.7 * chain.pitch_mm
        digits = int(chain.name[:-1])
        # ANSI: left digits in eighths of an inch; ISO 606 B: in sixteenths (both numbering rules of the trade).
        per_mm = 25.4 / 8 if chain.series == "ANSI B29.1" else 25.4 / 16
        if chain.name != "05B":
            assert digits * per_mm == pytest.approx(chain.pitch_mm, abs=0.001)


@settings(deadline=None, max_examples=60)
@given(pitch=st.floats(5, 60), teeth=st.integers(8, 120))
def test_the_rollers_of_a_sprocket_are_one_pitch_apart(pitch: float, teeth: int) -> None:
    diameter = sprocket_pitch_diameter(pitch, teeth)
    assert diameter * sin(pi / teeth) == pytest.approx(pitch)
    assert diameter < sprocket_outside_diameter(pitch, teeth)


def test_sprockets_and_pulleys_lie_within_their_pitch_circles() -> None:
    for chain in chains():
        assert 0 < sprocket_root_diameter(chain, 17) < sprocket_pitch_diameter(chain.pitch_mm, 17)
    for belt in belts():
        assert 0 < pulley_outside_diameter(belt, 20) < pulley_pitch_diameter(belt.pitch_mm, 20)
    with pytest.raises(ValueError, match="teeth must be at least 5"):
        sprocket_pitch_diameter(12.7, 4)


def test_other_threads_grow_and_leave_a_core() -> None:
    for form in ("pipe", "trapezoidal"):
        sizes = [thread for thread in other_threads() if thread.form == form]
        assert [t.major_mm for t in sizes] == sorted(t.major_mm for t in sizes)
        assert all(t.major_mm >= 4 * t.pitch_mm for t in sizes)
