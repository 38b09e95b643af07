"""Several parts in one clamping: what is shared falls, what is not stays, and no more stand there than have room."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, sampled_from

from steadyrest.shop.figure import because
from steadyrest.stations.mill import answering
from steadyrest.stations.mill.lots import Lot, best_lot, phases_of
from steadyrest.stations.mill.set_ups.held import Hold
from steadyrest.stations.mill.set_ups.places import Places, places_of
from steadyrest.stations.phases import Cycle
from steadyrest.tables.practice import rule
from tests.stations.mill.test_prismatic import shop_with
from tests.stations.solids import Block, ask, mill

WHY = because("mill.held_soft", contact_mm=1.0, width_mm=1.0, grip_mm=1.0)


def hold(kind: str = "vise", long: float = 40.0, wide: float = 30.0) -> Hold:
    return Hold(kind, wide, 5.0, 18_000.0, 25.0, False, WHY, 1, long)  # type: ignore[arg-type]


def lot(quantity: int, places: Places) -> Lot:
    return Lot(Cycle(100.0, 80.0, 90.0), 50.0, 60.0, 20.0, 1200.0, quantity, places)


@settings(deadline=None, max_examples=60)
@given(quantity=integers(1, 60), count=integers(1, 9), holders=integers(1, 3))
def test_the_lot_adds_up_clamping_by_clamping(quantity: int, count: int, holders: int) -> None:
    """An oracle that loads one clamping after another and adds up what is done in each."""
    asked = lot(quantity, Places(count, holders, 1.0, ()))
    phases = phases_of(asked, who=("ann",), alone=False, prove_out=1.0, edge_changes=0)
    total = 1200.0
    if count > 1 and quantity > 1:
        total += (count - 1) * rule("place_set_s") + (holders - 1) * rule("vise_set_s")
    left = quantity
    first = True
    while left:
        here = 1 if first else min(count, left)
        first = False
        left -= here
        tools, stops = 50.0, 20.0
        loads = 60.0 * (1.0 + rule("next_place_share") * (here - 1))
        own = here * (100.0 + (80.0 - 50.0) + (90.0 - 60.0 - 20.0))
        total += tools + stops + loads + own
    assert sum(phase.duration_s.value for phase in phases) == pytest.approx(total)


@settings(deadline=None, max_examples=80)
@given(
    long=floats(5, 200), between=floats(0, 30), most=integers(1, 30), vises=integers(1, 5),
    kind=sampled_from(["vise", "soft jaws"]),
)  # fmt: skip
def test_parts_between_jaws_have_room_there_and_on_the_table(
    long: float, between: float, most: int, vises: int, kind: str
) -> None:
    limits = replace(mill()[1], vises=vises)
    found = places_of(hold(kind, long), limits, between_mm=between, most=most)
    each = math.ceil(found.count / found.holders)
    assert found.count <= max(most, 1)
    assert found.holders <= vises
    if each > 1:
        assert each * long + (each - 1) * between <= limits.vise_jaw_mm[0] + 1e-6
        assert each <= rule("jaw_alike_hard" if kind == "vise" else "jaw_alike_soft")
        assert found.force_n * each <= hold().force_n + 1e-6
    if found.holders > 1:
        assert found.holders * (limits.vise_jaw_mm[0] + 60.0) <= limits.table_mm[0] + 1e-6
        assert (found.holders - 1) * (limits.vise_jaw_mm[0] + 60.0) <= limits.travel_mm[0]


@pytest.mark.parametrize("kind", ["chuck", "V-jaws", "turned"])
def test_what_holds_one_part_holds_one_part(kind: str) -> None:
    assert places_of(hold(kind), mill()[1], between_mm=5.0, most=50).count == 1


def test_a_vacuum_plate_is_filled_in_both_directions_and_holds_each_part_by_its_own_area() -> None:
    limits = replace(mill()[1], vacuum_mm=(300.0, 200.0), vacuum_bar=0.8)
    found = places_of(hold("vacuum plate", 90.0, 60.0), limits, between_mm=10.0, most=50)
    assert found.count == 9
    assert found.force_n == hold().force_n


def part() -> Block:
    return Block(40, 30, 20).pocket((8, 8), (32, 22), 6, corner=4).hole(5, 5, 5)


def test_one_and_two_are_made_one_by_one_and_many_in_fewer_clampings() -> None:
    body = part().part()
    shop = shop_with(vises=3)
    one, two, many = (answering.answer(ask(body, shop=shop, quantity=q)).steps[0] for q in (1, 2, 100))
    for step in (one, two):
        assert not any(note.key.startswith("mill.many_") for note in step.notes)
    (told,) = [dict(note.given) for note in many.notes if note.key == "mill.many_vises"]
    assert told["count"] == 6.0
    (saves,) = [dict(note.given) for note in many.notes if note.key == "mill.many_saves"]
    assert saves["clampings"] == math.ceil(99 / 6)
    assert isinstance(saves["each_s"], float)
    assert isinstance(saves["alone_s"], float)
    assert saves["each_s"] < saves["alone_s"]
    assert {phase.name for phase in many.phases} == {"set up", "first part", "the other parts"}
    assert sum(p.duration_s.value for p in many.phases) < sum(
        p.duration_s.value for p in answering.answer(ask(body, quantity=100)).steps[0].phases
    )


def test_several_in_a_clamping_are_chosen_only_where_that_is_sooner() -> None:
    few, many = lot(3, Places(1, 1, 1.0, ())), lot(3, Places(6, 3, 1.0, ()))
    assert best_lot([few, many]) is few
    few, many = lot(300, Places(1, 1, 1.0, ())), lot(300, Places(6, 3, 1.0, ()))
    assert best_lot([few, many]) is many


def test_left_alone_a_machine_is_loaded_a_clamping_at_a_time() -> None:
    long = Lot(Cycle(900.0, 80.0, 90.0), 50.0, 60.0, 0.0, 1200.0, 8, Places(3, 1, 1.0, ()))
    phases = phases_of(long, who=("ann",), alone=True, prove_out=1.5, edge_changes=0)
    runs = [phase for phase in phases if not phase.who]
    assert [round(run.duration_s.value / long.others.run_s) for run in runs] == [3, 3, 1]
