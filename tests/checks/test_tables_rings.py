"""Ring grooves against merchants' lists of DIN 471 and DIN 472 (seen). Bores over 18 mm are from memory, not checked.

Misprints of the lists: 25 mm shaft 24.9 (the row of 26), 34 mm 31.3, 52 mm 49.5; each list has one, the others agree.
"""

from __future__ import annotations

import pytest

from steadyrest.tables.rings import ring_groove

SHAFTS = {
    3: (2.8, 0.5), 6: (5.7, 0.8), 8: (7.6, 0.9), 10: (9.6, 1.1), 12: (11.5, 1.1), 15: (14.3, 1.1), 17: (16.2, 1.1),
    18: (17, 1.3), 20: (19, 1.3), 22: (21, 1.3), 24: (22.9, 1.3), 26: (24.9, 1.3), 28: (26.6, 1.6), 30: (28.6, 1.6),
    32: (30.3, 1.6), 35: (33, 1.6), 40: (37.5, 1.85), 42: (39.5, 1.85), 45: (42.5, 1.85), 48: (45.5, 1.85),
    50: (47, 2.15), 55: (52, 2.15), 60: (57, 2.15), 65: (62, 2.65), 70: (67, 2.65), 75: (72, 2.65),
}  # fmt: skip
BORES = {
    8: (8.4, 0.9),
    10: (10.4, 1.1),
    12: (12.5, 1.1),
    15: (15.7, 1.1),
    16: (16.8, 1.1),
    17: (17.8, 1.1),
    18: (19, 1.1),
}
# Printed deviations of the groove diameter, mm, as text: the tolerance is half the last digit ("0.06" is h10, 0.058).
SHAFT_MINUS = {3: "0.04", 5: "0.048", 7: "0.06", 12: "0.11", 20: "0.13", 24: "0.21", 38: "0.25"}
BORE_PLUS = {8: "0.09", 10: "0.11", 16: "0.11"}


def half_digit(printed: str) -> float:
    return 0.5001 * 10.0 ** -len(printed.partition(".")[2])


@pytest.mark.parametrize("diameter_mm", SHAFTS)
def test_shaft_grooves_are_as_printed(diameter_mm: int) -> None:
    groove = ring_groove("shaft", diameter_mm)
    assert groove is not None
    assert (groove.groove_mm, groove.width_mm) == SHAFTS[diameter_mm]


@pytest.mark.parametrize("diameter_mm", BORES)
def test_bore_grooves_are_as_printed(diameter_mm: int) -> None:
    groove = ring_groove("bore", diameter_mm)
    assert groove is not None
    assert (groove.groove_mm, groove.width_mm) == BORES[diameter_mm]


@pytest.mark.parametrize("diameter_mm", SHAFT_MINUS)
def test_a_shaft_groove_may_be_as_much_smaller_as_printed(diameter_mm: int) -> None:
    groove = ring_groove("shaft", diameter_mm)
    assert groove is not None
    low, high = groove.groove_limits_mm()
    assert high == groove.groove_mm
    assert high - low == pytest.approx(float(SHAFT_MINUS[diameter_mm]), abs=half_digit(SHAFT_MINUS[diameter_mm]))


@pytest.mark.parametrize("diameter_mm", BORE_PLUS)
def test_a_bore_groove_may_be_as_much_larger_as_printed(diameter_mm: int) -> None:
    groove = ring_groove("bore", diameter_mm)
    assert groove is not None
    low, high = groove.groove_limits_mm()
    assert low == groove.groove_mm
    assert high - low == pytest.approx(float(BORE_PLUS[diameter_mm]), abs=half_digit(BORE_PLUS[diameter_mm]))
