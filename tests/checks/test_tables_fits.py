"""ISO 286 against outside tables.

Sources: IT table: a machine design page on DIN ISO 286 (seen). Shaft limits: JIS B 0401 (1999) = ISO 286-2 in a tool
maker's catalogue (seen; last row put together from two seen tables). IT14: an encyclopaedia page (seen). Single fits: a
public note on ISO fits (29H7/h8, seen) and a design textbook's worked example 3.3 (50 H7/s6, seen). Holes by rule: K7,
M7, N7, P7, G7 of 18 to 30 mm (from memory, agrees with the textbook's own example P7: ES = -14, seen).
"""

from __future__ import annotations

import pytest

from steadyrest.tables.fits import deviations_um, fit_um, it_grade_um, limits

UPPER_ENDS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
IT5_TO_11 = (
    (4, 6, 10, 14, 25, 40, 60), (5, 8, 12, 18, 30, 48, 75), (6, 9, 15, 22, 36, 58, 90), (8, 11, 18, 27, 43, 70, 110),
    (9, 13, 21, 33, 52, 84, 130), (11, 16, 25, 39, 62, 100, 160), (13, 19, 30, 46, 74, 120, 190),
    (15, 22, 35, 54, 87, 140, 220), (18, 25, 40, 63, 100, 160, 250), (20, 29, 46, 72, 115, 185, 290),
    (23, 32, 52, 81, 130, 210, 320), (25, 36, 57, 89, 140, 230, 360), (27, 40, 63, 97, 155, 250, 400),
)  # fmt: skip
ZONES = ("f7", "g6", "h6", "h7", "js6", "k6", "m6", "n6", "p6")
SHAFTS = {
    6: ((-22, -10), (-12, -4), (-8, 0), (-12, 0), (-4, 4), (1, 9), (4, 12), (8, 16), (12, 20)),
    10: ((-28, -13), (-14, -5), (-9, 0), (-15, 0), (-4.5, 4.5), (1, 10), (6, 15), (10, 19), (15, 24)),
    16: ((-34, -16), (-17, -6), (-11, 0), (-18, 0), (-5.5, 5.5), (1, 12), (7, 18), (12, 23), (18, 29)),
    25: ((-41, -20), (-20, -7), (-13, 0), (-21, 0), (-6.5, 6.5), (2, 15), (8, 21), (15, 28), (22, 35)),
    30: ((-41, -20), (-20, -7), (-13, 0), (-21, 0), (-6.5, 6.5), (2, 15), (8, 21), (15, 28), (22, 35)),
    50: ((-50, -25), (-25, -9), (-16, 0), (-25, 0), (-8, 8), (2, 18), (9, 25), (17, 33), (26, 42)),
    70: ((-60, -30), (-29, -10), (-19, 0), (-30, 0), (-9.5, 9.5), (2, 21), (11, 30), (20, 39), (32, 51)),
    100: ((-71, -36), (-34, -12), (-22, 0), (-35, 0), (-11, 11), (3, 25), (13, 35), (23, 45), (37, 59)),
}


@pytest.mark.parametrize(("size_mm", "printed"), list(zip(UPPER_ENDS, IT5_TO_11, strict=True)))
def test_it_grades_are_as_printed(size_mm: int, printed: tuple[int, ...]) -> None:
    assert tuple(it_grade_um(size_mm, grade) for grade in range(5, 12)) == printed


def test_it14_is_as_printed() -> None:
    assert it_grade_um(10, 14) == 360
    assert it_grade_um(100, 14) == 870


@pytest.mark.parametrize(("size_mm", "upto"), [(3, 3), (6, 6), (10, 10), (30, 30), (50, 50), (500, 500)])
def test_a_boundary_size_lies_in_the_step_that_ends_there(size_mm: int, upto: int) -> None:
    assert it_grade_um(size_mm, 7) == IT5_TO_11[UPPER_ENDS.index(upto)][2]
    if size_mm < 500:
        assert it_grade_um(size_mm + 0.001, 7) == IT5_TO_11[UPPER_ENDS.index(upto) + 1][2]


def test_where_formula_and_table_differ_the_table_rules() -> None:
    # 16 i and 10 i with i = 0.45 D^(1/3) + 0.001 D give 8.67, 7.33 and 38.9 (formula seen).
    assert it_grade_um(2, 7) == 10
    assert it_grade_um(5, 6) == 8
    assert it_grade_um(450, 6) == 40


@pytest.mark.parametrize("size_mm", SHAFTS)
def test_shaft_limits_are_as_printed(size_mm: int) -> None:
    assert tuple(deviations_um(size_mm, zone) for zone in ZONES) == SHAFTS[size_mm]


def test_g_of_6_to_10_mm_is_minus_5_whatever_one_web_chart_prints() -> None:
    assert deviations_um(8, "g6") == (-14, -5)


@pytest.mark.parametrize(("size_mm", "upper"), [(6, 12), (10, 15), (25, 21), (30, 21), (50, 25), (100, 35)])
def test_an_h_hole_begins_at_the_nominal_size(size_mm: int, upper: int) -> None:
    assert deviations_um(size_mm, "H7") == (0, upper)


@pytest.mark.parametrize(
    ("zone", "lower", "upper"),
    [("K7", -15, 6), ("M7", -21, 0), ("N7", -28, -7), ("P7", -35, -14), ("G7", 7, 28), ("N9", -52, 0), ("M8", -29, 4)],
)
def test_holes_of_18_to_30_mm_follow_by_rule(zone: str, lower: int, upper: int) -> None:
    assert deviations_um(25, zone) == (lower, upper)


@pytest.mark.parametrize(
    ("size_mm", "zone", "upper"),
    [
        # BS 4500 table 6a in a machinist's handbook, and a machine drawing textbook p. 219 and 221 (seen).
        (2, "N9", -4), (2, "K6", 0), (2, "M6", -2), (280, "M6", -9), (280, "M7", 0), (140, "N7", -12), (140, "N9", 0),
        (190, "P8", -50), (190, "P7", -33), (330, "R7", -87), (25, "J7", 12), (25, "J8", 20), (25, "J6", 8),
        (300, "U7", -330), (200, "S9", -122), (200, "K8", 22), (200, "M8", 9),
    ],
)  # fmt: skip
def test_upper_deviations_of_other_holes(size_mm: int, zone: str, upper: int) -> None:
    assert deviations_um(size_mm, zone)[1] == upper


def test_published_single_fits() -> None:
    assert limits(29, "h7") == pytest.approx((28.979, 29.000))
    assert limits(29, "H7") == pytest.approx((29.000, 29.021))
    assert fit_um(29, "H7", "h8") == (0, 54)
    assert deviations_um(50, "H7") == (0, 25)
    assert deviations_um(50, "s6") == (43, 59)
    assert fit_um(50, "H7", "s6") == (-59, -18)  # interference 18 to 59


def test_fits_worked_from_the_printed_limits() -> None:
    # Computed from the seen tables.
    assert fit_um(25, "H7", "g6") == (7, 41)
    assert fit_um(50, "H7", "k6") == (-18, 23)
    assert fit_um(30, "H7", "p6") == (-35, -1)


def test_bright_bar_limits_agree_with_the_merchants_table() -> None:
    # EN 10278 in a merchant's table (seen): 20 h9 is 20.000 to 19.948; 180 to 200 mm h11 is 0.290.
    assert limits(20, "h9") == pytest.approx((19.948, 20.0))
    assert deviations_um(190, "h11") == (-290, 0)
    assert deviations_um(2, "h12") == (-100, 0)
