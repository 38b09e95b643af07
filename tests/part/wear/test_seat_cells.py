"""Cells of a seat: their means, how much of the noise they keep, and which worn ones hang together."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from steadyrest.part.wear.seat_cells import COARSE, FINE, cells_of, kept, lasting
from tests.part.wear.test_worn import seat


@pytest.mark.parametrize("width_mm", [0.1, 0.7, 2.0, 9.0])
@pytest.mark.parametrize("correlation_mm", [0.4, 1.5])
def test_the_share_kept_is_the_mean_correlation_of_two_points_of_a_cell(width_mm: float, correlation_mm: float) -> None:
    # Two points at random on a stretch lie x apart with density 2 (w - x) / w^2.
    mean, _ = quad(lambda x: 2 * (width_mm - x) / width_mm**2 * math.exp(-0.5 * (x / correlation_mm) ** 2), 0, width_mm)
    assert kept(width_mm, correlation_mm) == pytest.approx(mean, rel=1e-6)


@pytest.mark.parametrize("most", [FINE, COARSE])
def test_cells_scatter_as_they_say(most: int) -> None:
    ratios = [float(np.std(cells.level)) / cells.sigma_mm for s in range(5) for cells in [cells_of(seat(seed=s), most)]]
    assert 0.5 < np.mean(ratios) < 1.1


def test_a_speck_does_not_last_and_a_patch_over_the_seam_does() -> None:
    cells = cells_of(seat(), FINE)
    speck = (cells.row == 3) & (cells.column == 3)
    assert not lasting(speck, cells, len(cells.level)).any()
    edge = (cells.column < 2) | (cells.column >= cells.columns - 2)
    patch = edge & (cells.row < 4)
    assert (lasting(patch, cells, len(cells.level)) == patch).all()
