"""Sling legs against makers' tables and statics by hand."""

from __future__ import annotations

import math

import pytest

from steadyrest.handling.slings import G_M_S2, Hung, legs

LB = 0.45359237


def pair(angle_deg, mass_kg=1000.0, at=0.5):
    """Two legs on a bar of 2 m, its mass at this share of it; the hook as high as makes the first leg's angle."""
    out = 2000 * at
    return Hung(mass_kg, (out, 0.0), ((0.0, 0.0), (2000.0, 0.0)), out * math.tan(math.radians(angle_deg)))


@pytest.mark.parametrize(
    ("angle_deg", "factor"),
    # Printed by several makers of lifting gear; seen in public copies. 35 deg: printed 1.742, exact 1.7434.
    [
        (85, 1.004), (80, 1.015), (75, 1.035), (70, 1.064), (65, 1.104), (60, 1.155), (55, 1.221), (50, 1.305),
        (45, 1.414), (40, 1.555), (35, 1.7434), (30, 2.000),
    ],
)  # fmt: skip
def test_the_load_factors_of_the_tables(angle_deg, factor):
    found = legs(pair(angle_deg))
    for pull in found.pull:
        assert pull.value / (500 * G_M_S2) == pytest.approx(factor, abs=0.0008)
    assert not found.cannot


def test_ten_thousand_pounds_on_two_legs():
    # Printed: 60 deg 5775, 45 deg 7070 lb a leg; exact 5773.50, 7071.07.
    for angle_deg, pounds in ((60, 5773.50), (45, 7071.07)):
        pull = legs(pair(angle_deg, 10_000 * LB)).pull[0].value / G_M_S2 / LB
        assert pull == pytest.approx(pounds, abs=0.01)


def test_a_mass_off_the_middle_by_levers():
    # At a third: two thirds of the weight hang on the near point, one third on the far one; lengths by Pythagoras.
    found = legs(Hung(900, (1000, 0), ((0, 0), (3000, 0)), 1500))
    near, far = (one.value / (900 * G_M_S2) for one in found.pull)
    assert near == pytest.approx(2 / 3 * math.hypot(1000, 1500) / 1500)
    assert far == pytest.approx(1 / 3 * math.hypot(2000, 1500) / 1500)


def test_four_legs_on_a_stiff_load_count_as_two_and_on_one_that_gives_as_three():
    corners = ((-1000.0, -500.0), (1000.0, -500.0), (1000.0, 500.0), (-1000.0, 500.0))
    height = math.hypot(1000, 500)
    stiff = legs(Hung(1000, (0, 0), corners, height))
    assert [one.value / (1000 * G_M_S2) for one in stiff.pull] == pytest.approx([0.5 * math.sqrt(2)] * 4)
    away = legs(Hung(1000, (100, 0), corners, height, stiff=False))
    # Off the middle by 100: on the worst three, by hand, 0.5 at either near corner and 0.45 at either far one.
    share = [one.value * height / (1000 * G_M_S2 * long) for one, long in zip(away.pull, away.length_mm, strict=True)]
    assert share == pytest.approx([0.45, 0.5, 0.5, 0.45])
