"""A reading is no finer than the last digit that was typed, nor than its gauge."""

from __future__ import annotations

import math

import pytest

from steadyrest.desk.incoming.write_reading import DEFAULT_U_MM, reading_u_mm
from steadyrest.part.ask_next import gauges


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


@pytest.mark.parametrize("gauge", gauges.BY_HAND)
def test_a_reading_is_no_finer_than_its_gauge(gauge: str) -> None:
    assert reading_u_mm("36.4871", in_inches=False, gauge=gauge) == gauges.BY_HAND[gauge]
    assert reading_u_mm("36", in_inches=False, gauge=gauge) >= 1 / math.sqrt(12) - 1e-12


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("outside micrometer 25-50 mm", "micrometer"), ("depth micrometer", "depth micrometer"),
        ("three-point bore gauge", "bore gauge"), ("plug gauges", "plug gauge"), ("groove caliper", "caliper"),
        (gauges.MATE, "caliper"),
    ],
)  # fmt: skip
def test_a_longer_name_means_the_gauge_of_the_list(said: str, meant: str) -> None:
    assert gauges.usual(said) == meant
