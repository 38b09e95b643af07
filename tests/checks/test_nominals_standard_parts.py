"""Seats, keyways and limits against the printed tables of standard parts."""

from __future__ import annotations

import pytest

from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes, with_nominals
from steadyrest.shop.part import Part
from tests.part.nominal.parts import keyway, part_of, round_feature

# Bore and width of deep-groove bearings, ISO 15 (seen in a reprint of the table).
BEARINGS = [(20, 14), (25, 15), (30, 16), (35, 17), (40, 18), (45, 19), (50, 20), (60, 22), (70, 24)]
# Shaft, key width, shaft keyway depth: DIN 6885-1 / ISO 773 (seen in a reprint).
METRIC_KEYS = [
    (11, 4, 2.5),
    (15, 5, 3.0),
    (20, 6, 3.5),
    (28, 8, 4.0),
    (36, 10, 5.0),
    (42, 12, 5.0),
    (48, 14, 5.5),
    (56, 16, 6.0),
]
# Shaft and square key width in inches: ANSI B17.1-1967 (seen in a reprint).
INCH_KEYS = [(0.5, 0.125), (0.75, 0.1875), (1.0, 0.25), (1.5, 0.375), (2.0, 0.5), (2.5, 0.625)]
# Limits in mm: ISO 286-2 (JIS B 0401 reprint) for k6 and h6; DIN 6885-1 with ISO 286 for N9 = 0/-IT9.
K6 = [(25, 25.002, 25.015), (30, 30.002, 30.015), (35, 35.002, 35.018), (50, 50.002, 50.018), (60, 60.002, 60.021)]


def seat(bore: float, width: float) -> Part:
    """A shaft with two like seats against a collar, scanned 0.01 mm large, one of them worn."""
    end = 80.0 + width
    return part_of(
        round_feature("F1", bore + 0.018, 0, width, wear=0.15, worn=(2.0, width - 2.0), measured=bore - 0.15),
        round_feature("F2", bore + 9.99, width, 80),
        round_feature("F3", bore + 0.012, 80, end),
        round_feature("F4", bore - 5 + 0.01, end, end + 30),
    )


@pytest.mark.parametrize(("bore", "width"), BEARINGS)
def test_a_worn_seat_as_wide_as_its_bearing_is_known_for_one(bore: float, width: float) -> None:
    part = seat(bore, width)
    size = with_nominals(part, judge(part)).feature("F1").sizes[0]
    assert size.nominal is not None
    assert (size.nominal.value, size.nominal.source) == (bore, "bearing bore")


@pytest.mark.parametrize(("shaft", "width", "depth"), METRIC_KEYS)
def test_a_metric_keyway_gets_the_key_of_its_shaft(shaft: float, width: float, depth: float) -> None:
    part = part_of(
        round_feature("F1", shaft + 0.02, 0, 60.02),
        round_feature("F2", shaft + 12.01, 60.02, 75.0),
        keyway("F3", width + 0.04, depth + 0.06, 10, 50, "F1", u=0.05),
    )
    found = with_nominals(part, judge(part)).feature("F3")
    values = [size.nominal.value for size in found.sizes[:2] if size.nominal is not None]
    assert values == [width, depth]


@pytest.mark.parametrize(("shaft_in", "width_in"), INCH_KEYS)
def test_an_inch_keyway_gets_the_key_of_its_shaft(shaft_in: float, width_in: float) -> None:
    part = part_of(
        round_feature("F1", shaft_in * 25.4 + 0.02, 0, 50.82),
        round_feature("F2", (shaft_in + 0.5) * 25.4 - 0.01, 50.82, 76.21),
        keyway("F3", width_in * 25.4 + 0.04, width_in * 12.7 + 0.4, 10, 40, "F1", u=0.05),
    )
    size = with_nominals(part, judge(part)).feature("F3").sizes[0]
    assert size.nominal is not None
    assert size.nominal.value == pytest.approx(width_in * 25.4, abs=1e-6)


@pytest.mark.parametrize(("bore", "low", "high"), K6)
def test_bearing_seats_are_k6_as_printed(bore: float, low: float, high: float) -> None:
    width = dict(BEARINGS).get(int(bore), 20)
    size = name_sizes(seat(bore, width)).feature("F1").sizes[0]
    assert size.nominal is not None
    assert size.nominal.limits is not None
    assert size.nominal.limits.low_mm == pytest.approx(low, abs=5e-4)
    assert size.nominal.limits.high_mm == pytest.approx(high, abs=5e-4)


def test_a_keyway_of_10_is_n9_as_printed() -> None:
    # IT9 for 6 to 10 mm is 36 um (ISO 286-1 table, seen in a reprint), N9 above 3 mm has its upper limit at 0.
    part = part_of(
        round_feature("F1", 36.01, 0, 60.0), round_feature("F2", 48.0, 60, 75), keyway("F3", 10.02, 5.03, 10, 50, "F1")
    )
    size = name_sizes(part).feature("F3").sizes[0]
    assert size.nominal is not None
    assert size.nominal.limits is not None
    assert size.nominal.limits.low_mm == pytest.approx(9.964, abs=5e-4)
    assert size.nominal.limits.high_mm == pytest.approx(10.0, abs=5e-4)
