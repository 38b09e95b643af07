"""The mill's answer for parts that are not turned: set-ups, refusals with their numbers, and that nothing is lost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Machine, MillLimits, Shop
from steadyrest.stations.answer import Answer
from steadyrest.stations.mill import answering
from tests.stations.parts import demo_shop, size
from tests.stations.solids import UP, Block, ask, mill


def refused(answer: Answer, key: str) -> list[dict[str, object]]:
    """What a refusal of this key was given."""
    reasons: list[Reason] = [reason for no in answer.undone for reason in no.reasons if reason.key == key]
    return [dict(reason.given) for reason in reasons]


def shop_with(**limits: object) -> Shop:
    shop = demo_shop()
    machine, old = mill(shop)
    new = replace(machine, limits=replace(old, **limits))  # type: ignore[arg-type]
    return replace(shop, machines=tuple(new if one.id == "mill" else one for one in shop.machines))


def plate() -> Block:
    return Block(100, 60, 20).pocket((20, 15), (80, 45), 10, corner=5).hole(10, 10, 6)


def test_a_plate_from_a_block_takes_two_set_ups_and_every_feature_is_made() -> None:
    part = plate().part()
    answer = answering.answer(ask(part))
    assert [step.id for step in answer.steps] == ["mill 1", "mill 2"]
    assert not answer.undone
    assert sorted(answer.made) == sorted(feature.id for feature in part.features)
    assert answer.state.done == set(answer.made)
    assert {"P1", "B1"} <= set(answer.steps[0].makes)


def test_faces_that_stay_as_the_stock_comes_are_not_cut() -> None:
    part = Block(200, 60, 20).pocket((20, 15), (80, 45), 10, corner=5).part()
    whole = answering.answer(ask(part))
    spared = answering.answer(ask(part, as_stock=("width", "thickness")))
    assert len(spared.steps) < len(whole.steps)
    assert not spared.undone
    assert sorted(spared.made) == sorted(whole.made)


def test_an_inner_corner_names_the_largest_tool_that_makes_it() -> None:
    part = Block(100, 60, 20).pocket((20, 15), (80, 45), 10, corner=1.25).part()
    answer = answering.answer(ask(part))
    (first, *_) = refused(answer, "mill.corner_small")
    assert first["radius_mm"] == 1.25
    assert first["diameter_mm"] == 2.5
    assert first["has_mm"] == 3.0
    assert "P1" in answer.made


def test_a_pocket_deeper_than_any_tool_stands_out_says_both() -> None:
    part = Block(100, 60, 70).pocket((40, 25), (60, 35), 60, corner=3).part()
    (why,) = refused(answering.answer(ask(part)), "mill.too_deep")
    assert why["depth_mm"] == pytest.approx(60)
    longest = max(tool.reach_mm for tool in mill()[0].tools if tool.kind == "end mill" and tool.diameter_mm <= 10)
    assert why["stick_out_mm"] == longest


def test_a_slot_narrower_than_the_smallest_cutter_says_so() -> None:
    part = Block(60, 40, 20, 0.4).pocket((20, 10), (22, 30), 5).part()
    (why,) = refused(answering.answer(ask(part)), "mill.too_narrow")
    assert why["diameter_mm"] == min(t.diameter_mm for t in mill()[0].tools if t.kind in ("end mill", "slot drill"))


def test_a_slot_a_hair_narrower_than_a_cutter_is_not_made_by_it() -> None:
    block = Block(60, 40, 20, 0.5).cut(lambda x, y, z: (np.abs(y - 20) < 1.3) & (np.abs(x - 30) < 10) & (z > 14))
    sizes = (size("width_mm", 2.6), size("depth_mm", 6.0), size("length_mm", 20.0))
    block.named("slot", sizes, UP, (30.0, 20.0, 14.0), inside=True)
    answer = answering.answer(ask(block.part()))
    (why,) = refused(answer, "mill.slot_tight")
    assert (why["feature"], why["diameter_mm"], why["has_mm"]) == ("G1", 2.6, 3.0)
    assert "G1" not in answer.made


def test_an_undercut_is_refused_by_name() -> None:
    block = Block(60, 40, 30).pocket((20, 10), (40, 30), 10)
    block.cut(lambda x, y, z: (x > 12) & (x < 48) & (y > 10) & (y < 30) & (z > 8) & (z < 20))
    block.named("pocket", (size("depth_mm", 12.0),), (-1.0, 0.0, 0.0), (48.0, 20.0, 14.0), inside=True)
    answer = answering.answer(ask(block.part()))
    assert [no["feature"] for no in refused(answer, "mill.undercut")] == ["P2"]


def sides() -> Block:
    """Pockets from three sides."""
    block = Block(80, 60, 50).pocket((20, 15), (60, 45), 10, corner=5)
    block.cut(lambda x, y, z: (x < 8) & (y > 20) & (y < 40) & (z > 15) & (z < 35))
    block.named("pocket", (size("depth_mm", 8.0),), (-1.0, 0.0, 0.0), (8.0, 30.0, 25.0), inside=True)
    block.cut(lambda x, y, z: (y < 8) & (x > 30) & (x < 50) & (z > 15) & (z < 35))
    return block.named("pocket", (size("depth_mm", 8.0),), (0.0, -1.0, 0.0), (40.0, 8.0, 25.0), inside=True)


def test_a_table_that_turns_takes_fewer_clampings() -> None:
    part = sides().part()
    three = answering.answer(ask(part))
    five = answering.answer(ask(part, shop=shop_with(axes="3+2")))
    assert len(three.steps) > len(five.steps)
    assert {"P1", "P2", "P3"} <= set(three.made) & set(five.made)


def test_a_vacuum_plate_without_a_switch_is_never_left_alone() -> None:
    part = Block(120, 60, 4).pocket((20, 15), (80, 45), 2, corner=5).part()
    plain = {"vacuum_mm": (300.0, 200.0), "vacuum_bar": 0.8}
    shop = shop_with(**plain)
    free = replace(shop, machines=tuple(replace(one, may_run_alone=True) for one in shop.machines))
    answer = answering.answer(ask(part, shop=free, metal="6082-T6"))
    assert answer.steps[0].holding.key == "mill.held_vacuum"
    assert any(caution.key == "caution.vacuum" for caution in answer.steps[0].cautions)
    assert "alone.vacuum" in {reason.key for reason in answer.steps[0].unattended_why}


@pytest.mark.parametrize(
    ("limit", "value", "key"),
    [
        ("travel_mm", (760.0, 300.0, 60.0), "mill.too_tall"),
        ("travel_mm", (90.0, 60.0, 380.0), "mill.too_wide_to_reach"),
        ("max_load_kg", 0.5, "mill.load"),
    ],
)
def test_a_mill_too_small_says_what_is_too_small(limit: str, value: object, key: str) -> None:
    answer = answering.answer(ask(plate().part(), shop=shop_with(**{limit: value})))
    assert not answer.steps
    assert refused(answer, key)


def test_a_body_that_could_not_be_filled_says_so() -> None:
    part = replace(plate().part(), grid=None)
    answer = answering.answer(ask(part))
    assert refused(answer, "mill.no_cells")


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_no_feature_is_lost_and_none_is_both_made_and_refused(seed: int) -> None:
    luck = np.random.default_rng(seed)
    block = Block(60, 40, 20, 1.0)
    for _ in range(int(luck.integers(1, 4))):
        x, y = luck.uniform(4, 40), luck.uniform(4, 25)
        wide, deep = luck.uniform(2, 14), luck.uniform(1, 19)
        block.pocket((x, y), (x + wide, y + wide), deep, corner=float(luck.choice([0.0, 1.0, 3.0])))
    for _ in range(int(luck.integers(0, 3))):
        block.hole(luck.uniform(5, 55), luck.uniform(5, 35), luck.uniform(2, 9), float(luck.choice([8.0, 15.0])))
    part = block.part()
    answer = answering.answer(ask(part, quantity=int(luck.integers(1, 9))))
    names = {feature.id for feature in part.features}
    no = {name for one in answer.undone for name in one.features}
    assert set(answer.made) | no == names
    assert not set(answer.made) & no
    for step in answer.steps:
        assert step.cautions
        assert step.phases
        assert all(phase.duration_s.value > 0 for phase in step.phases)
    assert all(no.reasons for no in answer.undone)


def test_the_same_question_gives_the_same_answer() -> None:
    part = plate().part()
    assert answering.answer(ask(part)) == answering.answer(ask(part))


def test_more_parts_take_longer_and_the_first_is_the_dearest() -> None:
    part = plate().part()
    one, ten = (answering.answer(ask(part, quantity=count)).steps[0] for count in (1, 10))
    assert ten.machine_s > one.machine_s
    assert ten.machine_s < 10 * one.machine_s
    assert UP == (0.0, 0.0, 1.0)


def test_limits_of_a_hole_ask_for_a_measurement() -> None:
    machine: Machine
    limits: MillLimits
    machine, limits = mill()
    block = plate()
    hole = next(feature for feature in block.features if feature.kind == "bore")
    wide = 3.0 * limits.repeat_mm
    exact = replace(hole, sizes=(size("diameter_mm", 6.0, (6.0, 6.0 + wide)), *hole.sizes[1:]))
    block.features[block.features.index(hole)] = exact
    answer = answering.answer(ask(block.part()))
    told = [point.feature for step in answer.steps for point in step.hold_points]
    no = {name for one in answer.undone for name in one.features}
    assert told == ["B1"] or "B1" in no
    assert machine.id == "mill"


def test_a_hole_too_deep_from_one_side_is_drilled_half_way_from_each() -> None:
    long = max(t.max_depth_mm for t in mill()[0].tools if t.kind == "drill" and t.diameter_mm == 6.0)
    part = Block(60, 40, round(long) + 5.0).hole(20, 20, 6).part()
    answer = answering.answer(ask(part))
    assert "B1" in answer.made
    notes = [dict(note.given) for step in answer.steps for note in step.notes if note.key == "mill.from_both"]
    assert len(notes) == 2
    assert {note["features"] for note in notes} == {"B1"}


def test_where_it_lies_and_what_the_jaws_close_on_is_said_by_features() -> None:
    first, second = answering.answer(ask(plate().part())).steps
    told = [dict(note.given) for step in (first, second) for note in step.notes if note.key == "mill.turned_up_jaws"]
    assert [note["up"] for note in told] == ["S5 (+Z)", "S6 (-Z)"]
    assert {told[0]["one"], told[0]["other"]} == {"S3 (+Y)", "S4 (-Y)"}


def test_a_small_part_in_a_large_blank_is_answered_too() -> None:
    part = Block(10, 8, 6, 0.1).hole(5, 4, 3).part()
    answer = answering.answer(ask(part, allowance=40.0))
    names = {feature.id for feature in part.features}
    assert set(answer.made) | {name for no in answer.undone for name in no.features} == names


def test_limits_finer_than_the_machine_holds_are_refused_with_both_numbers_and_grinding_named() -> None:
    block = Block(60, 40, 20, 0.5).pocket((20, 10), (40, 30), 5, corner=5)
    block.cut(lambda x, y, z: (np.abs(y - 35) < 2) & (z > 15) & (x > 0))
    fine = size("width_mm", 4.0, (3.999, 4.001))
    block.named("slot", (fine, size("depth_mm", 5.0), size("length_mm", 60.0)), UP, (30.0, 35.0, 15.0), inside=True)
    answer = answering.answer(ask(block.part()))
    (no,) = [no for no in answer.undone if no.features == ("G1",)]
    told = {reason.key: dict(reason.given) for reason in no.reasons}
    assert told["size.too_fine"]["repeat_mm"] == mill()[1].repeat_mm
    assert told["size.too_fine"]["width_mm"] == pytest.approx(0.002)
    assert no.nearest is not None
    assert no.nearest.key == "mill.nearest_ground"


def test_a_finish_finer_than_milling_leaves_is_said_on_the_step() -> None:
    shop = demo_shop()
    shiny = replace(shop, habits=replace(shop.habits, finish_ra_um=0.2))
    for floor, said in ((shop, False), (shiny, True)):
        (first, *_) = answering.answer(ask(plate().part(), shop=floor)).steps
        assert any(note.key == "mill.rougher" for note in first.notes) is said


def test_a_bar_drilled_in_its_end_that_is_too_slender_to_stand_names_another_way() -> None:
    block = Block(300, 30, 20, 1.0)
    block.cut(lambda x, y, z: (np.hypot(y - 15, z - 10) < 4) & (x > 280))
    sizes = (size("diameter_mm", 8.0), size("depth_mm", 20.0))
    block.named("bore", sizes, (-1.0, 0.0, 0.0), (290.0, 15.0, 10.0), inside=True, through=False)
    answer = answering.answer(ask(block.part()))
    (no,) = [no for no in answer.undone if "B1" in no.features]
    assert "mill.too_slender" in {reason.key for reason in no.reasons}
    assert no.nearest is not None
    assert no.nearest.key == "mill.nearest_upright"
    assert {"S1", "S2"} <= set(answer.made), "its end faces are milled with the side of a cutter while it lies"
