"""Bend allowance, force and springback against printed examples; ISO 9013 against its reprints."""

from __future__ import annotations

import math

import pytest

from steadyrest.tables.bending import bend_allowance_mm, bend_force_n, sprung_radius_mm
from steadyrest.tables.plate_cutting import limit_mm, rz5_um, squareness_mm


def test_bend_allowance_of_the_textbooks_example() -> None:
    # A textbook on manufacturing, example 19.2 (seen): T 3.2, R 4.75, bend 60 degrees, K 0.33; BA 6.08, blank 69.08.
    found = bend_allowance_mm(angle_rad=math.radians(60), radius_mm=4.75, thickness_mm=3.2)
    assert found == pytest.approx(6.08, abs=0.005)
    assert 38 + 25 + found == pytest.approx(69.08, abs=0.005)


def test_bending_force_of_the_textbooks_example() -> None:
    # The same example (seen): K 1.33, TS 450, w 44.5, t 3.2, D 25: 10 909 N.
    found = bend_force_n(rm_mpa=450, length_mm=44.5, thickness_mm=3.2, opening_mm=25)
    assert found == pytest.approx(10909, abs=0.5)


@pytest.mark.parametrize(
    ("radius", "yields", "e", "t", "sprung"),
    [
        # Inputs and formula from a public page (seen), answer computed.
        (50.0, 300.0, 210_000.0, 2.0, 55.989),
        # Classic example of a textbook, inputs from memory, in inch and ksi.
        (0.5, 40.0, 29_000.0, 0.0359, 0.53056),
        (10.0, 275.0, 205_000.0, 1.0, 10.419),
    ],
)
def test_springback_by_gardiner(radius: float, yields: float, e: float, t: float, sprung: float) -> None:
    found = sprung_radius_mm(radius_mm=radius, yield_mpa=yields, e_mpa=e, thickness_mm=t)
    assert found == pytest.approx(sprung, rel=1e-4)


@pytest.mark.parametrize(
    ("t", "number", "u", "rz"),
    # A practical guide to ISO 9013 (seen in a reprint): 10 mm, range 1: u 0.08, Rz5 16; the rest computed.
    [(10, 1, 0.08, 16), (6, 2, 0.192, 44.8), (12, 3, 0.52, 84.4), (25, 4, 1.30, 155)],
)
def test_edges_by_iso_9013(t: float, number: int, u: float, rz: float) -> None:
    assert squareness_mm(number, t) == pytest.approx(u, abs=0.0005)
    assert rz5_um(number, t) == pytest.approx(rz, abs=0.05)


@pytest.mark.parametrize(
    ("number", "t", "size", "off"),
    # ISO 9013 limit deviations, as printed by a metal cutter (seen in a reprint).
    [(1, 3, 20, 0.2), (1, 5, 500, 0.4), (2, 6, 100, 0.9), (2, 8, 2500, 1.7), (2, 12, 50, 1.8), (2, 8, 2, None)],
)
def test_limits_by_iso_9013(number: int, t: float, size: float, off: float | None) -> None:
    assert limit_mm(number, thickness_mm=t, size_mm=size) == off
