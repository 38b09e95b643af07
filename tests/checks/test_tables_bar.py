"""Bar tolerances against outside tables.

Hot rolled rounds: EN 10060 in a stainless steel association's summary (seen). Bright bar: EN 10278 in a merchant's
table (seen). Inch: ASTM A108-03 table A1.1, up to 0.28 % C, in a reprint (seen).
"""

from __future__ import annotations

import pytest

from steadyrest.tables.bar_stock import BarSize, bar_sizes

HOT_ROLLED = (
    (10, 15, 0.4), (16, 25, 0.5), (26, 35, 0.6), (36, 50, 0.8), (52, 80, 1.0), (85, 100, 1.3), (105, 120, 1.5),
    (125, 160, 2.0), (165, 200, 2.5), (220, 220, 3.0), (250, 250, 4.0),
)  # fmt: skip
INCH_ROUNDS = ((1.5, 0.002), (2.5, 0.003), (4.0, 0.004))
INCH_HEXAGONS = ((0.75, 0.002), (1.5, 0.003), (2.5, 0.004), (3.125, 0.005))
INCH_SQUARES = ((0.75, 0.002), (1.5, 0.003), (2.5, 0.004), (4.0, 0.006))


def off_mm(bar: BarSize) -> float:
    return bar.size_mm[0] - bar.limits_mm[0]


def test_hot_rolled_rounds_are_as_true_as_printed() -> None:
    for bar in bar_sizes("round", "mm", "hot rolled"):
        printed = [off for low, high, off in HOT_ROLLED if low <= bar.size_mm[0] <= high]
        assert printed == [pytest.approx(off_mm(bar))], bar.shown


@pytest.mark.parametrize(
    ("size_mm", "off"), [(6, 0.030), (10, 0.036), (20, 0.052), (30, 0.052), (50, 0.062), (80, 0.074)]
)
def test_bright_drawn_rounds_are_h9(size_mm: float, off: float) -> None:
    found = next(bar for bar in bar_sizes("round", "mm", "bright drawn") if bar.size_mm == (size_mm,))
    assert off_mm(found) == pytest.approx(off)


@pytest.mark.parametrize(
    ("shape", "steps"), [("round", INCH_ROUNDS), ("hexagon", INCH_HEXAGONS), ("square", INCH_SQUARES)]
)
def test_inch_bar_is_as_true_as_printed(shape: str, steps: tuple[tuple[float, float], ...]) -> None:
    for bar in bar_sizes(shape, "in", "bright drawn"):  # pyright: ignore[reportArgumentType]
        printed = next(off for upto, off in steps if bar.size_mm[0] / 25.4 <= upto + 1e-9)
        assert off_mm(bar) / 25.4 == pytest.approx(printed), bar.shown
