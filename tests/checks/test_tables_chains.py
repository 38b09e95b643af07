"""Sprockets and pulleys against printed tables of pitch diameters, and ISO 273 against a chart of threads.

Sprockets: public parts tables "ISO606 simplex 1/2 x 1/8" and "duplex 2 x 1-1/4" (seen). Their last digit is not the
formula's: 33.18 for 33.187, 132.69 for 132.747, so the tolerance is 0.06 mm, as those tables round loosely.
"""

from __future__ import annotations

from math import pi

import pytest

from steadyrest.tables.chains import belts, chains, pulley_outside_diameter, pulley_pitch_diameter, sprocket_rim_mm
from steadyrest.tables.chains import sprocket_pitch_diameter as pitch_diameter
from steadyrest.tables.clearance import clearance_hole, clearance_holes

HALF_INCH = {8: 33.18, 13: 53.06, 17: 69.11, 20: 81.19, 25: 101.33, 38: 153.80}
TWO_INCH = {8: 132.69, 13: 212.29, 19: 308.66, 25: 405.33}
# Computed from the formula: it holds the code to it, not to an outside author.
COMPUTED = {(15.875, 17): 86.395, (19.05, 19): 115.739}
PULLEYS = {("XL", 20): 32.3403, ("L", 20): 60.6380, ("H", 24): 97.0209, ("5M", 24): 38.1972, ("8M", 40): 101.8592}
# A metric thread chart (seen) prints "clearance"; its M10, M12 and M16 (12, 14, 18) are not ISO 273's medium: the chart
# is wrong there and is not checked against.
CLEARANCE = {2: 2.4, 2.5: 2.9, 3: 3.4, 4: 4.5, 5: 5.5, 6: 6.6, 8: 9.0, 20: 22.0, 30: 33.0}


@pytest.mark.parametrize("teeth", HALF_INCH)
def test_half_inch_sprockets_are_as_printed(teeth: int) -> None:
    assert pitch_diameter(12.7, teeth) == pytest.approx(HALF_INCH[teeth], abs=0.06)


@pytest.mark.parametrize("teeth", TWO_INCH)
def test_two_inch_sprockets_are_as_printed(teeth: int) -> None:
    assert pitch_diameter(50.8, teeth) == pytest.approx(TWO_INCH[teeth], abs=0.06)


@pytest.mark.parametrize(("pitch_mm", "teeth"), COMPUTED)
def test_the_formula_is_the_formula(pitch_mm: float, teeth: int) -> None:
    assert pitch_diameter(pitch_mm, teeth) == pytest.approx(COMPUTED[pitch_mm, teeth], abs=0.0005)


@pytest.mark.parametrize(("name", "teeth"), PULLEYS)
def test_pulleys_have_the_pitch_diameter_computed_for_them(name: str, teeth: int) -> None:
    belt = next(belt for belt in belts() if belt.name == name)
    assert pulley_pitch_diameter(belt.pitch_mm, teeth) == pytest.approx(PULLEYS[name, teeth], abs=0.00005)


def test_a_round_tooth_pulley_of_forty_is_four_inches_over_its_teeth() -> None:
    """A printed rule of thumb (seen): 8 mm pitch, outside diameter in inches is about a tenth of the teeth."""
    belt = next(belt for belt in belts() if belt.name == "8M")
    assert pulley_outside_diameter(belt, 40) / 25.4 == pytest.approx(4.0, abs=0.05)
    assert belt.pitch_mm * 40 / pi > pulley_outside_diameter(belt, 40)


def test_chains_of_one_pitch_have_two_rollers() -> None:
    """#40 has 7.92 mm, 08B has 8.51 mm at the same 12.70 mm pitch (seen, a chain merchant's page)."""
    by_name = {chain.name: chain for chain in chains()}
    assert by_name["40"].pitch_mm == pytest.approx(by_name["08B"].pitch_mm, abs=0.005)
    assert by_name["40"].roller_mm == pytest.approx(7.92, abs=0.02)  # 5/16 in is 7.94; the page prints 7.92
    assert by_name["08B"].roller_mm == pytest.approx(8.51, abs=0.005)


@pytest.mark.parametrize("thread_mm", CLEARANCE)
def test_medium_clearance_holes_are_those_of_a_second_chart(thread_mm: float) -> None:
    hole = clearance_hole(thread_mm)
    assert hole is not None
    assert hole.hole_mm == CLEARANCE[thread_mm]


# Widths of single sprockets' rims, b_f1 of ISO 606 (from memory).
RIMS = {"08B": 7.2, "10B": 9.1, "12B": 11.1, "16B": 16.2, "20B": 18.5}


@pytest.mark.parametrize("name", RIMS)
def test_rims_of_single_sprockets(name: str) -> None:
    chain = next(chain for chain in chains() if chain.name == name)
    assert sprocket_rim_mm(chain) == pytest.approx(RIMS[name], abs=0.1)


# A machinist's handbook, ASME B18.2.8, least holes of the loose fit, in inches (seen).
LOOSE = {0.25: 0.297, 0.3125: 0.359, 0.375: 0.422, 0.4375: 0.484, 0.5: 0.609, 0.625: 0.734, 0.75: 0.906, 1.0: 1.156}


@pytest.mark.parametrize("bolt_in", LOOSE)
def test_loose_clearance_holes_of_inch_bolts_are_those_of_the_handbook(bolt_in: float) -> None:
    hole = next(h for h in clearance_holes("coarse", "in") if abs(h.thread_mm - bolt_in * 25.4) < 1e-6)
    assert hole.hole_mm / 25.4 == pytest.approx(LOOSE[bolt_in], abs=0.0005)
