"""The blank about the part: allowance on both sides, sections of bar against their closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.stations.mill.removal.cells import SIDES, Bar, cells_of, seen_from, view
from tests.stations.solids import Block


def test_allowance_is_alike_on_both_sides_and_none_where_the_stock_stays() -> None:
    part = Block(40, 30, 10).part()
    assert part.grid is not None
    cells = cells_of(part.grid, part.grid.filled(), box_mm=(44.0, 30.0, 13.0), as_stock=(1,))
    assert cells.pads == (4, 0, 3)
    assert cells.finished.shape == (88, 60, 26)
    assert np.count_nonzero(cells.finished) == 80 * 60 * 20


@pytest.mark.parametrize(
    ("shape", "area"), [("round", math.pi / 4 * 40**2), ("hexagon", math.sqrt(3) / 2 * 40**2)], ids=["round", "hexagon"]
)
def test_a_bar_fills_its_section(shape: str, area: float) -> None:
    """Source: closed forms; a hexagon of flats s is sqrt(3)/2 s^2."""
    part = Block(20, 16, 12, 0.5).part()
    assert part.grid is not None
    wide = 40.0 if shape == "round" else 40.0 * 2 / math.sqrt(3)
    cells = cells_of(part.grid, part.grid.filled(), box_mm=(20.0, wide, 40.0), bar=Bar(shape, 40.0, (0, 1, 2)))
    section = np.count_nonzero(cells.stock[0]) * 0.25
    assert section == pytest.approx(area, rel=0.04)


def test_every_empty_cell_is_seen_from_the_sides_with_nothing_before_it() -> None:
    luck = np.random.default_rng(5)
    filled = luck.random((7, 6, 5)) < 0.2
    seen = seen_from(filled)
    for side in range(SIDES):
        cells, bits = view(filled, side), view(seen, side)
        for layer in range(cells.shape[0]):
            clear = ~cells[: layer + 1].any(axis=0)
            assert np.array_equal((bits[layer] & (1 << side)) != 0, clear)
