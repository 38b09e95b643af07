"""Slivers in sharp corners: made as far as a round cutter goes; a slit deeper than its radius is not."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.shop.part import Feature, FeatureKind
from steadyrest.shop.solid_grid import grid_of
from steadyrest.stations.mill.geometry import Side
from steadyrest.stations.mill.removal.cells import Cells
from steadyrest.stations.mill.set_ups.needs import Need
from steadyrest.stations.mill.slivers import in_a_corner

FRAME = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
UP = (0.0, 0.0, 1.0)


def slit(deep: int, kind: FeatureKind = "face") -> int | None:
    """A slit two cells of half a millimetre wide and so many deep in a wall, left by a cutter of 6 mm."""
    finished = np.zeros((30, 40, 8), dtype=np.bool_)
    finished[:, 20:, :] = True
    finished[14:16, 20 : 20 + deep, :] = False
    left = np.zeros_like(finished)
    left[14:16, 20 : 20 + deep, :] = True
    grid = grid_of(finished, pitch_mm=0.5, origin_mm=(0.0, 0.0, 0.0), frame=FRAME)
    need = Need(Feature("F1", kind, (), UP, (7.5, 10.0, 2.0)), "cells", 1 << 4, (14, 20 + deep - 1, 4))
    cells = Cells(grid, finished, np.ones_like(finished), (0, 0, 0))
    return in_a_corner(
        cells, left | finished, need, ((Side(UP, None, (), 0.0, False),), (Side(UP, None, (), 6.0, True),))
    )


@pytest.mark.parametrize(("deep", "made"), [(2, 1), (5, 1), (12, None)])
def test_a_sliver_no_deeper_than_the_cutter_s_radius_is_made_where_that_cutter_works(
    deep: int, made: int | None
) -> None:
    assert slit(deep) == made


def test_what_has_a_size_of_its_own_is_never_a_sliver() -> None:
    assert slit(2, "slot") is None
