"""Sheet gauges against the formula of their series and a weight rule."""

from __future__ import annotations

import pytest

from steadyrest.tables.sheets import sheets


@pytest.mark.parametrize("number", [8, 10, 11, 12, 14, 16, 18, 20, 22, 24, 26])
def test_aluminium_gauges_follow_their_formula(number: int) -> None:
    # 0.005 x 92^((36 - n)/39) in, from memory.
    (sheet,) = [s for s in sheets() if s.metal == "aluminium" and s.name == f"{number} gauge"]
    assert sheet.thickness_mm / 25.4 == pytest.approx(0.005 * 92 ** ((36 - number) / 39), abs=6e-5)


# Pounds to the square foot of steel sheet, divided by 41.82 gives inches: a cable maker's page, seen.
@pytest.mark.parametrize(("number", "pounds"), [(10, 5.625), (16, 2.5), (18, 2.0), (20, 1.5)])
def test_steel_gauges_follow_their_weight(number: int, pounds: float) -> None:
    (sheet,) = [s for s in sheets() if s.metal == "steel" and s.name == f"{number} gauge"]
    assert sheet.thickness_mm / 25.4 == pytest.approx(pounds / 41.82, abs=6e-5)
