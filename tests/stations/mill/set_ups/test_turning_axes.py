"""Turning axes reach what their travel and division say, and no more; a clamping on them is refused with numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, sampled_from

from steadyrest.shop.floor import MillLimits, Shop
from steadyrest.stations.answer import Answer
from steadyrest.stations.mill import answering
from steadyrest.stations.mill.removal.cells import ByteArray, Cells, cells_of, seen_from, view
from steadyrest.stations.mill.removal.slanted import open_at_a_slant
from steadyrest.stations.mill.set_ups.choose import SetUp, choose_set_ups
from steadyrest.stations.mill.set_ups.held import Lying
from steadyrest.stations.mill.set_ups.in_the_way import in_the_way
from steadyrest.stations.mill.set_ups.needs import needs_of
from steadyrest.stations.mill.set_ups.rounds import diameter_mm, round_holds
from steadyrest.stations.mill.set_ups.turned import in_turning_chuck
from steadyrest.stations.mill.set_ups.turning_axes import about_level_axis, level_sides, quarters, tilts_to, turns_to
from steadyrest.stations.mill.set_ups.vise import grip_of
from steadyrest.tables.practice import rule
from tests.stations.mill.test_prismatic import refused, shop_with, sides
from tests.stations.solids import Block, ask, mill

DEG = math.pi / 180.0
TURNING: dict[str, object] = {"axes": "3+1", "turn_chuck_mm": (10.0, 160.0), "turn_chuck_n": 20_000.0}


def limits(**given: object) -> MillLimits:
    return replace(mill()[1], **given)  # type: ignore[arg-type]


@settings(deadline=None, max_examples=100)
@given(span=integers(0, 360), step=sampled_from([0.0, 1.0, 5.0, 15.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0]))
def test_quarters_are_those_that_some_way_of_setting_the_work_shows(span: int, step: float) -> None:
    """By trying: stops lie step apart from the axis' least angle; a quarter shows where a stop lies on it."""
    one = limits(turn_rad=(0.0, span * DEG) if span else (0.0, 1e-6), turn_step_rad=step * DEG)
    stops = [k * step for k in range(int(span / step) + 1)] if step else [float(k) for k in range(span + 1)]
    best = max(len({round((stop - first) / 90) % 4 for stop in stops if (stop - first) % 90 == 0}) for first in stops)
    assert quarters(one) <= best
    if step in (0.0, 1.0, 5.0, 15.0, 30.0, 45.0, 90.0, 180.0):
        assert quarters(one) == min(best, 4)


def test_sides_that_a_table_shows_are_beside_the_one_it_lies_on() -> None:
    free = limits(axes="3+2")
    for base in range(6):
        found = level_sides(base, free)
        assert len(found) == 4
        assert not {base, base ^ 1} & set(found)
        assert set(about_level_axis(base, limits(axes="3+1"))) == set(found)


def test_a_table_that_leans_both_ways_shows_the_far_side_without_turning() -> None:
    one_way = limits(axes="3+2", tilt_rad=(0.0, 95 * DEG), turn_rad=(0.0, 90 * DEG))
    both = replace(one_way, tilt_rad=(-95 * DEG, 95 * DEG))
    assert len(level_sides(4, one_way)) == 2
    assert len(level_sides(4, both)) == 4
    assert level_sides(4, replace(one_way, tilt_rad=(-30 * DEG, 60 * DEG))) == ()


@given(lean=floats(0, math.pi), low=floats(-2, 0), high=floats(0, 2))
def test_a_wider_tilt_reaches_no_less(lean: float, low: float, high: float) -> None:
    narrow, wide = limits(tilt_rad=(low, high)), limits(tilt_rad=(low - 0.1, high + 0.1))
    assert tilts_to(wide, lean) >= tilts_to(narrow, lean)


def test_an_indexer_stops_where_it_is_divided() -> None:
    five = limits(axes="3+1", turn_step_rad=5 * DEG)
    assert turns_to(five, 35 * DEG)
    assert not turns_to(five, 33 * DEG)
    assert turns_to(limits(axes="3+1"), 33 * DEG)


def answered(shop: Shop, part: object) -> Answer:
    return answering.answer(ask(part, shop=shop))  # type: ignore[arg-type]


def test_a_level_turning_axis_takes_fewer_clampings_and_says_to_which_sides_it_is_turned() -> None:
    part = sides().part()
    three, turned = (answered(shop, part) for shop in (shop_with(), shop_with(**TURNING)))
    assert len(turned.steps) < len(three.steps)
    assert {"P1", "P2", "P3"} <= set(turned.made)
    step = next(step for step in turned.steps if step.holding.key == "mill.held_turned")
    assert any(note.key == "mill.turned_to" for note in step.notes)
    assert any(caution.key == "caution.turning_axis" for caution in step.cautions)


def test_work_larger_than_what_swings_is_worked_from_above_only() -> None:
    part = sides().part()
    free = answered(shop_with(axes="3+2"), part)
    small = answered(shop_with(axes="3+2", turn_mm=(60.0, 100.0)), part)
    heavy = answered(shop_with(axes="3+2", turn_load_kg=0.5), part)
    assert len(free.steps) < len(small.steps) == len(heavy.steps)
    (why,) = [note for note in heavy.steps[0].notes if note.key == "mill.turn_load"]
    assert dict(why.given)["allowed_kg"] == 0.5


def set_up_of(block: Block, shop: Shop) -> tuple[Cells, ByteArray, SetUp]:
    """How a block is held with its top up, and from which sides its cells are seen."""
    part = block.part()
    assert part.grid is not None
    cells = cells_of(part.grid, part.grid.filled(), box_mm=tuple(size + 4.0 for size in part.size_mm))  # type: ignore[arg-type]
    seen, limits = seen_from(cells.finished), mill(shop)[1]
    needs = needs_of(cells, seen, seen, part.features, frozenset())
    (first, *_) = choose_set_ups(cells, seen, needs, limits, deepest_mm=60.0).set_ups
    return cells, seen, first


def test_from_the_side_the_jaws_stand_out_before_the_work_as_far_as_they_hold_it() -> None:
    cells, seen, set_up = set_up_of(Block(80, 60, 50, 1.0), shop_with(axes="3+2"))
    limits = mill(shop_with(axes="3+2"))[1]
    assert set_up.base is not None
    assert set_up.across is not None
    above = in_the_way(cells, seen, limits, set_up, set_up.base, holder_mm=50.0)
    assert above is not None
    assert above.shape == view(cells.finished, set_up.base).shape
    side = 2 * set_up.across
    beside = in_the_way(cells, seen, limits, set_up, side, holder_mm=50.0)
    assert beside is not None
    out = beside.shape[0] - view(cells.finished, side).shape[0]
    assert out * cells.pitch_mm == pytest.approx(rule("jaw_back_mm"), abs=cells.pitch_mm)
    low = beside[0]
    assert int(low.sum()) == set_up.held_cells * low.size // cells.finished.shape[set_up.base // 2]
    assert (beside[:out] == low).all()


def test_on_the_table_a_holder_from_the_side_keeps_off_it() -> None:
    cells, seen, set_up = set_up_of(Block(200, 150, 30, 2.0), shop_with(axes="3+2"))
    assert set_up.hold.kind == "clamps"
    assert set_up.base is not None
    side = next(one for one in range(6) if one // 2 != set_up.base // 2)
    shut = in_the_way(cells, seen, mill()[1], set_up, side, holder_mm=20.0)
    assert shut is not None
    there = shut.any(axis=0)
    layers = there.any(axis=1 if there.shape[1] > there.shape[0] else 0)
    assert 0 < int(layers.sum()) * cells.pitch_mm <= 10.0 + cells.pitch_mm


def chucked(height: float, wide: float, **given: object) -> tuple[object, set[str]]:
    one = limits(**{**TURNING, **given})
    stock = np.ones((round(height), round(wide), round(wide)), dtype=np.bool_)
    nothing = np.zeros_like(stock)
    work = Lying(stock, nothing, nothing, 1.0, one, grip_of(one, height), height)
    hold, why = in_turning_chuck(work, sides=4)
    return hold, {reason.key for reason in why}


def test_the_turning_axis_chuck_refuses_by_size_length_and_swing() -> None:
    assert chucked(80, 40)[0] is not None
    assert chucked(80, 40, turn_chuck_mm=(50.0, 100.0)) == (None, {"mill.turned_size"})
    assert chucked(300, 40) == (None, {"mill.turned_long"})
    assert chucked(80, 40, turn_mm=(50.0, 100.0)) == (None, {"mill.turned_swings"})


@pytest.mark.parametrize("across", [20, 41, 60])
def test_a_round_is_known_by_its_section_and_a_square_is_none(across: int) -> None:
    y, x = np.meshgrid(np.arange(across) - (across - 1) / 2, np.arange(across) - (across - 1) / 2)
    disc = np.hypot(x, y) <= across / 2
    assert diameter_mm(disc, 1.0) == pytest.approx(across, abs=1.0)
    assert diameter_mm(np.ones((across, across), dtype=np.bool_), 1.0) is None


def test_rounds_stand_in_a_chuck_and_lie_in_v_jaws() -> None:
    one = limits(chuck_mm=(20.0, 120.0), chuck_grip_n=30_000.0, chuck_jaw_mm=20.0, v_block_mm=(10.0, 60.0))
    y, x = np.meshgrid(np.arange(50) - 24.5, np.arange(50) - 24.5)
    disc = np.hypot(x, y) <= 25
    upright = np.broadcast_to(disc, (60, 50, 50)).copy()
    lying = np.moveaxis(np.broadcast_to(disc, (90, 50, 50)), 0, 2).copy()
    for stock, kind in ((upright, "chuck"), (lying, "V-jaws")):
        nothing = np.zeros_like(stock)
        work = Lying(stock, nothing, nothing, 1.0, one, grip_of(one, stock.shape[0]), float(stock.shape[0]))
        assert [hold.kind for hold in round_holds(work) if not hasattr(hold, "key")] == [kind]
        small = replace(work, limits=replace(one, chuck_mm=(60.0, 120.0), v_block_mm=(60.0, 120.0)))
        assert {no.key for no in round_holds(small) if hasattr(no, "key")} == {
            "mill.chuck_size" if kind == "chuck" else "mill.v_size"
        }


def test_a_pocket_behind_a_lip_is_open_at_a_slant_or_not_at_all() -> None:
    solid = np.ones((40, 40, 40), dtype=np.bool_)
    for k in range(20):
        solid[10 + k : 14 + k, 18:22, 39 - k] = False  # a slanted hole from the top
    found = open_at_a_slant(solid, (25, 20, 25))
    assert found is not None
    side, lean = found
    assert side in (1, 4), "half way between the two"
    assert lean == pytest.approx(math.pi / 4, abs=0.1)
    closed = solid.copy()
    closed[:, :, 36:] = True
    assert open_at_a_slant(closed, (25, 20, 25)) is None


def test_an_undercut_that_a_slant_reaches_says_the_angle() -> None:
    block = Block(60, 40, 40, 1.0)
    block.cut(lambda x, y, z: (y > 15) & (y < 25) & (np.abs(x - 20 - (40 - z)) < 4))
    block.named("pocket", (), (-0.7071, 0.0, 0.7071), (44.0, 20.0, 16.0), inside=True)
    (told, *_) = refused(answered(shop_with(lean_rad=0.1), block.part()), "mill.only_slanted")
    tilt = told["tilt_deg"]
    assert isinstance(tilt, float)
    assert 20 < tilt < 60
