"""A reading is no finer than the last digit that was typed."""

from __future__ import annotations

import math

import pytest

from steadyrest.desk.incoming.write_reading import DEFAULT_U_MM, reading_u_mm


@pytest.mark.parametrize(
    ("text", "in_inches", "step_mm"),
    [
        ("36.5", False, 0.1),
        ("36,5", False, 0.1),
        ("36", False, 1.0),
        ("1.4375 in", True, 0.00254),
        ("1-7/16 in", True, 25.4 / 64),
    ],
)
def test_the_last_digit_bounds_the_uncertainty(text: str, in_inches: bool, step_mm: float) -> None:
    assert reading_u_mm(text, in_inches=in_inches) == pytest.approx(max(DEFAULT_U_MM, step_mm / math.sqrt(12)))


def test_a_micrometer_reading_is_a_practised_hand_s() -> None:
    assert reading_u_mm("36.487", in_inches=False) == DEFAULT_U_MM
