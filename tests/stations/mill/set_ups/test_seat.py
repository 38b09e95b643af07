"""What work lies on: a step that bears on one side only lets it tip; a flat, a bridge and a round do not."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.set_ups.held import Lying
from tests.stations.parts import demo_shop

MILL = demo_shop().machine("mill").limits


def lying(under: BoolArray) -> Lying:
    """A block of 20 layers on 6 more that are cut away but for what stands under it."""
    assert isinstance(MILL, MillLimits)
    stock = np.ones((26, *under.shape), dtype=np.bool_)
    stock[20:] = under
    return Lying(stock, stock, np.zeros_like(stock), 0.5, MILL, None, 13.0)


def where(rows: slice, columns: slice) -> BoolArray:
    under = np.zeros((30, 40), dtype=np.bool_)
    under[rows, columns] = True
    return under


ALL = slice(None)


@pytest.mark.parametrize(
    ("under", "rocks"),
    [
        (where(ALL, ALL), False),
        (where(slice(0, 14), ALL), True),  # one half is milled already
        (where(ALL, slice(25, 40)), True),
        (where(slice(13, 17), ALL), False),  # a round lies on a line
        (where(slice(0, 5), ALL) | where(slice(25, 30), ALL), False),  # a bridge
    ],
)
def test_work_rocks_where_it_bears_on_one_rim_and_not_on_the_other(under: BoolArray, rocks: bool) -> None:
    assert lying(under).rocks == rocks
