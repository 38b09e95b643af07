"""Clamp force against textbook and trade examples."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steadyrest.stations.mould.clamp import ClampWanted, MouldedPart, clamped

CUP = MouldedPart("disc", outside_mm=90.0)
# Crawford, Plastics Engineering, example 4.6: four cups of 90 mm; 75 MPa x 1.15 x 1.4; runners 4 x 40 x 6 mm.
CUPS = ClampWanted(CUP, "across", 4, 960.0, 75.0, 1.4, 1.15, 4000.0)


def test_four_cups_with_their_runners():
    # Printed 3167 kN with 120.75 MPa rounded to 120.
    assert clamped(CUPS).force.value / 1000 == pytest.approx(3167, rel=0.008)
    exact = (4 * math.pi * 45**2 + 960) * 75 * 1.4 * 1.15
    assert clamped(CUPS).force.value == pytest.approx(exact)


def test_one_cup_gated_at_its_centre():
    # Same example: 50 MPa, printed 512 kN a cavity.
    one = replace(CUPS, cavities=1, runner_mm2=0.0, pressure_mpa=50.0)
    assert clamped(one).force.value / 1000 == pytest.approx(512, abs=0.6)


def test_a_square_foot_of_plate_by_tons_a_square_inch():
    # 6 x 6 in at 5 short tons a square inch: 180 short tons (trade rule).
    plate = MouldedPart("plate", length_mm=152.4, width_mm=152.4)
    wanted = ClampWanted(plate, "across", 1, 0.0, 5 * 8896.44 / 645.16, 1.0, 1.0, 2000.0)
    assert clamped(wanted).force.value / 8896.44 == pytest.approx(180, rel=1e-4)


def test_a_ring_along_its_axis_shows_outside_by_length_and_across_it_the_ring():
    ring = MouldedPart("ring", outside_mm=60.0, inside_mm=40.0, length_mm=25.0, window_mm2=100.0)
    assert ring.shown_mm2("along") == 60 * 25 - 100
    assert ring.shown_mm2("across") == pytest.approx(math.pi / 4 * (60**2 - 40**2) - 100)


def test_the_press_that_just_holds_is_enough_and_a_newton_less_is_not():
    need = clamped(CUPS).force.value / 1000
    assert clamped(replace(CUPS, press_kn=need)).answer == "yes"
    less = clamped(replace(CUPS, press_kn=need - 0.001))
    assert less.answer == "no"
    assert less.cannot
