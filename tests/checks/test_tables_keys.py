"""Keys against outside tables.

Metric: DIN 6885-1 / ISO 773 in a fastener guide and a gear-unit maker's catalogue (seen, the two agree). Inch: ANSI
B17.1-1967 (R1998) tables 1 and 2 in a handbook's reprint (seen; for D = 3/4 and 1-1/4 the diameter of the row is
inferred from the formula).
"""

from __future__ import annotations

import pytest

from steadyrest.tables.fits import deviations_um
from steadyrest.tables.keys import inch_keys, key_for, keyseat_depth_hub_in, keyseat_depth_shaft_in, keyway_zone

METRIC = {
    8: (2, 2, 1.2, 1.0), 10: (3, 3, 1.8, 1.4), 12: (4, 4, 2.5, 1.8), 17: (5, 5, 3.0, 2.3), 22: (6, 6, 3.5, 2.8),
    30: (8, 7, 4.0, 3.3), 38: (10, 8, 5.0, 3.3), 44: (12, 8, 5.0, 3.3), 50: (14, 9, 5.5, 3.8), 58: (16, 10, 6.0, 4.3),
    65: (18, 11, 7.0, 4.4), 75: (20, 12, 7.5, 4.9), 85: (22, 14, 9.0, 5.4), 95: (25, 14, 9.0, 5.4),
    110: (28, 16, 10, 6.4), 130: (32, 18, 11, 7.4), 150: (36, 20, 12, 8.4), 170: (40, 22, 13, 9.4),
}  # fmt: skip
INCH = {
    0.4375: (3 / 32, 3 / 32), 0.5625: (1 / 8, 1 / 8), 0.875: (3 / 16, 3 / 16), 1.25: (1 / 4, 1 / 4),
    1.375: (5 / 16, 5 / 16), 1.75: (3 / 8, 3 / 8), 2.25: (1 / 2, 1 / 2), 2.75: (5 / 8, 5 / 8), 3.25: (3 / 4, 3 / 4),
    3.75: (7 / 8, 7 / 8), 4.5: (1, 1), 5.5: (1.25, 1.25), 6.5: (1.5, 1.5),
}  # fmt: skip
FLAT = {0.5625: 3 / 32, 0.875: 1 / 8, 1.25: 3 / 16, 1.375: 1 / 4, 2.25: 3 / 8, 2.75: 7 / 16, 6.5: 1}
DEPTHS = [  # D, W = H, S, T
    (0.5, 0.125, 0.430, 0.560), (0.75, 0.1875, 0.644, 0.837), (1.0, 0.25, 0.859, 1.114), (1.25, 0.25, 1.112, 1.367),
    (1.5, 0.375, 1.289, 1.669),
]  # fmt: skip


@pytest.mark.parametrize("shaft_mm", METRIC)
def test_metric_keys_are_as_printed_up_to_and_including_the_upper_end(shaft_mm: int) -> None:
    width, height, shaft_depth, hub_depth = METRIC[shaft_mm]
    key = key_for(shaft_mm)
    assert key is not None
    assert (key.width_mm, key.height_mm) == (width, height)
    assert (key.shaft_depth_mm(shaft_mm), key.hub_depth_mm(shaft_mm)) == (shaft_depth, hub_depth)
    above = key_for(shaft_mm + 0.01)
    assert above is None or above.width_mm > width


@pytest.mark.parametrize("shaft_in", INCH)
def test_inch_keys_are_as_printed(shaft_in: float) -> None:
    key = key_for(shaft_in * 25.4, "in")
    assert key is not None
    assert (key.width_mm / 25.4, key.height_mm / 25.4) == pytest.approx(INCH[shaft_in])


def test_flat_inch_keys_are_as_printed() -> None:
    found = {round(key.upto_mm / 25.4, 4): key.height_mm / 25.4 for key in inch_keys(flat=True)}
    for shaft_in, height_in in FLAT.items():
        assert found[shaft_in] == pytest.approx(height_in)


@pytest.mark.parametrize(("shaft", "width", "s", "t"), DEPTHS)
def test_depth_controls_are_as_printed(shaft: float, width: float, s: float, t: float) -> None:
    assert keyseat_depth_shaft_in(shaft, width, width) == pytest.approx(s, abs=0.0005)
    assert keyseat_depth_hub_in(shaft, width, width) == pytest.approx(t, abs=0.0005)


@pytest.mark.parametrize(("shaft", "width", "s", "t"), DEPTHS)
def test_an_inch_key_is_as_deep_as_its_depth_controls_say(shaft: float, width: float, s: float, t: float) -> None:
    key = key_for(shaft * 25.4, "in")
    assert key is not None
    assert key.width_mm == pytest.approx(width * 25.4)
    assert key.shaft_depth_mm(shaft * 25.4) / 25.4 == pytest.approx(shaft - s, abs=0.0005)
    assert key.hub_depth_mm(shaft * 25.4) / 25.4 == pytest.approx(t - shaft, abs=0.0005)


def test_keyway_widths_go_by_the_printed_zones() -> None:
    # Normal N9 / JS9, close P9 / P9 (seen in part); 8 mm: N9 0/-36, JS9 +-18, P9 -15/-51 (from memory).
    assert deviations_um(8, keyway_zone("shaft")) == (-36, 0)
    assert deviations_um(8, keyway_zone("hub")) == (-18, 18)
    assert deviations_um(8, keyway_zone("shaft", "close")) == (-51, -15)
