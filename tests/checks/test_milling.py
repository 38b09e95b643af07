"""Milling against values from outside: thin chips, ridges, loads of a side mill. Source beside each."""

from __future__ import annotations

import pytest

from steadyrest.stations import edge
from steadyrest.stations.mill.times.engagement import thin_chip
from steadyrest.stations.mill.times.finishing import scallop_step_mm


@pytest.mark.parametrize(
    ("share", "factor"),
    [(0.50, 1.0000), (0.25, 1.1547), (0.15, 1.4003), (0.10, 1.6667), (0.05, 2.2942), (0.03, 2.9311), (0.02, 3.5714)],
)
def test_feed_for_the_same_thickest_chip(share: float, factor: float) -> None:
    """hmax = fz 2 sqrt(ae/D (1 - ae/D)): computed from the formula. A web page's 0.43 "at 10 %" is its 5 % value."""
    assert thin_chip(share) == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(
    ("nose_mm", "ridge_mm", "step_mm"),
    [
        (3.0, 0.005, 0.346266),  # computed: s = 2 sqrt(2 R h - h2)
        (3.0, 0.0104348, 0.5),  # computed: D 6, s 0.5
        (5.0, 0.0250628, 1.0),  # computed: D 10, s 1
        (6.35, 0.001253 * 25.4, 0.050 * 25.4),  # seen, a calculator's page: D 0.500 in, s 0.050 in gives 0.001253 in
    ],
)
def test_rows_of_a_round_nose(nose_mm: float, ridge_mm: float, step_mm: float) -> None:
    assert scallop_step_mm(nose_mm, ridge_mm) == pytest.approx(step_mm, rel=4e-4)


def test_a_side_mill_s_mean_chip_and_power() -> None:
    """Computed from Kienzle and hm = fz ae / (R phi): 1700/0.25, D 20, z 4, ae 5, ap 10, fz 0.1, vc 150."""
    chip = edge.mean_chip_mm(0.1, diameter_mm=20.0, width_mm=5.0)
    assert chip == pytest.approx(0.0477465, abs=5e-8)
    kc = float(edge.specific_force(1700.0, 0.25, chip))
    assert kc == pytest.approx(3636.75, abs=0.005)
    removed_cm3_min = 5.0 * 10.0 * 954.930 / 1000.0
    assert kc * removed_cm3_min / 60_000.0 == pytest.approx(2.89403, abs=5e-5)
