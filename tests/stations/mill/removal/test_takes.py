"""What cutters take: volumes against closed forms, reach against a disc pushed over every cell, holders kept clear."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.removal.cells import Cells, cells_of, tops, view
from steadyrest.stations.mill.removal.distance import distance_sq
from steadyrest.stations.mill.removal.outline import admits
from steadyrest.stations.mill.removal.reached import reached_by
from steadyrest.stations.mill.removal.slabs import slabs_of
from steadyrest.stations.mill.removal.takes import SetUpCells, Taken, taken_by
from steadyrest.tables.practice import rule
from tests.oracles import slow_reach
from tests.stations.solids import Block

TOP = 4  # the side along the third direction


def cutter(number: int, diameter: float, reach: float = 60.0, holder: float = 40.0) -> Tool:
    return Tool(
        number, "end mill", "rough", diameter, reach, "carbide", 4, 0.0, math.pi / 2, reach, 0.0, 8000.0, 1800.0, 0.0,
        False, holder_mm=holder,
    )  # fmt: skip


def from_above(block: Block, tools: Sequence[Tool], *, corner: float | None = None) -> tuple[Taken, Cells]:
    part = block.part()
    assert part.grid is not None
    cells = cells_of(part.grid, part.grid.filled(), box_mm=part.size_mm)
    rim = math.ceil(max(tool.diameter_mm for tool in tools) / 2 / block.pitch) + 1
    finished = np.ascontiguousarray(view(cells.finished, TOP))
    high = tops(finished)
    slabs = slabs_of(finished, high, None, held_from=0, rim=rim)
    stock = np.ascontiguousarray(view(cells.stock, TOP))
    return taken_by(SetUpCells(finished, high, stock, slabs, block.pitch, rim), tools, corner_mm=corner), cells


def test_a_pocket_with_round_corners_is_taken_whole_by_a_cutter_of_its_radius() -> None:
    """Source: closed form, (L W - (4 - pi) r^2) d."""
    block = Block(60, 40, 20, 0.25).pocket((10, 10), (50, 30), 8, corner=5)
    taken, _ = from_above(block, [cutter(1, 10)], corner=5)
    whole = (40 * 20 - (4 - math.pi) * 25) * 8
    assert sum(take.volume_mm3 for take in taken.takes) == pytest.approx(whole, rel=0.01)
    assert taken.takes[0].floor_mm2 == pytest.approx(whole / 8, rel=0.02)
    (layer,) = (layer for layer in taken.takes[0].layers if layer.depth_mm > 1)
    assert layer.depth_mm == pytest.approx(8)
    assert layer.wall_mm == pytest.approx(2 * (40 + 20) - (8 - 2 * math.pi) * 5, rel=0.05)
    assert layer.regions == 1
    # The disc that leaves a twentieth of it in the corners, which have a radius of 5 already.
    disc = 2.0 * math.sqrt(25.0 + 0.05 * (40 * 20 - (4 - math.pi) * 25) / (4 - math.pi))
    assert layer.narrowest_mm == pytest.approx(disc, abs=1.0)


def test_sharp_corners_keep_the_cutter_s_radius() -> None:
    """Source: closed form, each corner keeps (1 - pi/4) R^2."""
    block = Block(60, 40, 20, 0.25).pocket((10, 10), (50, 30), 8)
    taken, _ = from_above(block, [cutter(1, 12)])
    left = 40 * 20 * 8 - sum(take.volume_mm3 for take in taken.takes)
    assert left == pytest.approx((4 - math.pi) * 36 * 8, rel=0.1)
    assert taken.corners


def test_a_large_cutter_goes_first_and_a_small_one_only_where_it_is_needed() -> None:
    block = Block(80, 60, 20).pocket((10, 10), (70, 50), 8, corner=3)
    taken, _ = from_above(block, [cutter(1, 6), cutter(2, 20), cutter(3, 10), cutter(4, 3)], corner=3)
    sizes = [take.tool.diameter_mm for take in taken.takes]
    assert sizes == sorted(sizes, reverse=True)
    assert (sizes[0], sizes[-1]) == (20, 6)
    assert not taken.takes[0].rests
    assert all(take.rests for take in taken.takes[1:])
    assert taken.takes[0].volume_mm3 > 0.9 * sum(take.volume_mm3 for take in taken.takes)


def test_an_open_side_is_open_and_a_closed_pocket_is_not() -> None:
    open_, _ = from_above(Block(60, 40, 20).cut(lambda x, y, z: (x > 20) & (z > 12) & (y > -1)), [cutter(1, 10)])
    closed, _ = from_above(Block(60, 40, 20).pocket((10, 10), (50, 30), 8, corner=5), [cutter(1, 10)])
    assert open_.takes[0].layers[-1].open_share > 0.5
    assert closed.takes[0].layers[-1].open_share == 0


def test_a_holder_keeps_a_cutter_out_of_a_deep_pocket_as_far_as_it_stands_out() -> None:
    block = Block(60, 40, 60).pocket((20, 10), (40, 30), 50, corner=5)
    taken, _ = from_above(block, [cutter(1, 10, reach=30)], corner=5)
    whole = 20 * 20 - (4 - math.pi) * 25
    assert sum(take.volume_mm3 for take in taken.takes) == pytest.approx(whole * 30, rel=0.04)
    wide, _ = from_above(block, [cutter(1, 10, reach=30, holder=10)], corner=5)
    assert sum(take.volume_mm3 for take in wide.takes) == pytest.approx(whole * 50, rel=0.04)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from([1.0, 2.0, 2.5, 3.0, 4.5]))
def test_reach_is_where_a_disc_gets_that_is_pushed_over_every_cell(seed: int, radius: float) -> None:
    luck = np.random.default_rng(seed)
    block = Block(14, 11, 3, 1.0)
    high = luck.integers(0, 4, size=(14, 11)) * (luck.random((14, 11)) < 0.15)
    block.filled[:] = block.middles[2] <= high[:, :, None]
    part = block.part()
    assert part.grid is not None
    finished = np.ascontiguousarray(view(part.grid.filled(), TOP))
    rim = 7
    slabs = slabs_of(finished, tops(finished), None, held_from=0, rim=rim)
    tool = cutter(1, 2.0 * radius + 1.0)  # half a cell is what the grid itself does not know
    for portion in reached_by(slabs, tool, pitch_mm=1.0, rim=rim):
        assert np.array_equal(portion.reached, slow_reach.reached(portion.slab.shut, radius))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_no_cutter_enters_the_part_and_a_smaller_one_reaches_no_less(seed: int) -> None:
    luck = np.random.default_rng(seed)
    block = Block(40, 30, 10, 1.0)
    for _ in range(3):
        x, y, d = luck.uniform(5, 30), luck.uniform(5, 20), luck.uniform(2, 9)
        block.pocket((x, y), (x + luck.uniform(3, 12), y + luck.uniform(3, 12)), d)
    taken, cells = from_above(block, [cutter(1, 8)])
    finer, _ = from_above(block, [cutter(1, 8), cutter(2, 4)], corner=2)
    part = view(cells.finished, TOP)
    assert (taken.left & part == part).all()
    assert (finer.left & part == part).all()
    assert np.count_nonzero(finer.left) <= np.count_nonzero(taken.left)
    assert rule("holder_mm") > 0


def test_volumes_add_up_layer_by_layer() -> None:
    block = Block(80, 60, 20).pocket((10, 10), (70, 50), 8, corner=3).pocket((20, 20), (40, 40), 14, corner=3)
    taken, _ = from_above(block, [cutter(1, 6), cutter(2, 16)], corner=3)
    for take in taken.takes:
        layers = sum(layer.area_mm2 * layer.depth_mm for layer in take.layers)
        assert layers == pytest.approx(take.volume_mm3, rel=1e-9)


def test_a_way_is_as_wide_as_the_disc_that_gets_to_most_of_it() -> None:
    """A long room with a short narrow neck is as wide as the room; a comb of narrow slots as wide as a slot."""
    room = np.zeros((80, 200), dtype=np.bool_)
    room[20:60, 10:150] = True
    neck = room.copy()
    neck[38:42, 150:160] = True
    comb = np.zeros((80, 200), dtype=np.bool_)
    comb[10:70, 10:15] = True
    for k in range(6):
        comb[12 + 10 * k : 18 + 10 * k, 15:190] = True
    found = [2.0 * admits(area, distance_sq(~area), 0, least=2.0) for area in (room, neck, comb)]
    assert found[0] == pytest.approx(40, abs=6)
    assert found[1] > 0.75 * found[0]
    assert found[2] == pytest.approx(6, abs=1.5)
