"""Routes of milled parts: from block, bar or plate through saw, mill, bench and gauge."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import Piece, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route
from steadyrest.wording.say import say
from tests.stations.blocks import BLOCKS, bearing_plate, plain_block, slotted_bar
from tests.stations.parts import demo_shop

CUT = ("saw", "mill")


def flat(name: str, size_mm: tuple[float, float], length_mm: float, condition: str = "bright drawn") -> Piece:
    return Piece(name, "flat", size_mm, length_mm, "C45", condition, "rack D", "H 1", Decimal(30))


def routes(part: Part, quantity: int = 1, shop: Shop | None = None, metal: str = "C45") -> tuple[Route, ...]:
    floor = shop or demo_shop()
    return best_routes(part, material=floor.material(metal), quantity=quantity, shop=floor)


@pytest.mark.parametrize("make", BLOCKS, ids=lambda make: make.__name__)
def test_a_sensible_block_is_made_whole(make) -> None:
    part = make()
    best = routes(part)[0]
    assert not best.cannot, [say(reason) for no in best.cannot for reason in no.reasons]
    made = [name for step in best.steps for name in step.makes]
    assert sorted(made) == sorted(feature.id for feature in part.features)


@pytest.mark.parametrize("make", BLOCKS, ids=lambda make: make.__name__)
def test_it_is_programmed_sawn_milled_deburred_measured_and_delivered_in_that_order(make) -> None:
    for route in routes(make()):
        stations = list(dict.fromkeys(step.station for step in route.steps))
        sawn = ["saw"] if any(step.station == "saw" for step in route.steps) else []
        assert stations == ["prepare", *sawn, "mill", "hand", "inspect", "deliver"]
        assert sawn or any(reason.key in ("route.sawn_to_size", "route.cut_by_supplier") for reason in route.why)


@pytest.mark.parametrize("make", BLOCKS, ids=lambda make: make.__name__)
def test_every_machine_and_every_piece_is_used_or_says_why_not(make) -> None:
    shop, found = demo_shop(), routes(make())
    kept = {route.piece for route in found}
    for route in found:
        used = {step.machine for step in route.steps}
        refused = {no.machine for no in (*route.refused, *route.cannot)}
        assert {machine.id for machine in shop.machines} <= used | refused
        said = " ".join(say(reason) for no in route.refused for reason in no.reasons)
        for piece in shop.pieces:
            assert piece.id in kept or piece.id in said


def test_flat_of_the_part_s_own_section_is_taken_before_a_dearer_block() -> None:
    shop = replace(demo_shop(), pieces=(flat("F40", (40.0, 20.0), 400.0),))
    best = routes(plain_block(), shop=shop)[0]
    assert best.piece == "F40"
    assert best.blank is not None
    assert set(best.blank.as_stock) == {"width", "thickness"}
    assert next(step.station for step in best.steps if step.station in CUT) == "saw"


def test_less_to_mill_takes_less_time() -> None:
    near = replace(demo_shop(), pieces=(flat("N", (45.0, 25.0), 400.0),), suppliers=())
    far = replace(demo_shop(), pieces=(flat("F", (90.0, 60.0), 400.0),), suppliers=())
    cut = [
        sum(step.split[0].value for step in routes(plain_block(), shop=shop)[0].steps if step.station == "mill")
        for shop in (near, far)
    ]
    assert cut[0] < cut[1]


def test_nothing_to_make_it_from_gives_each_piece_s_no() -> None:
    shop = replace(demo_shop(), pieces=(flat("S", (20.0, 5.0), 400.0),), suppliers=())
    (route,) = routes(bearing_plate(), shop=shop)
    assert not route.steps
    keys = {reason.key for no in route.cannot for reason in no.reasons}
    assert keys == {"stock.block_small", "stock.nobody_sells"}


def test_a_part_larger_than_every_mill_is_a_no_with_the_numbers() -> None:
    (route,) = routes(replace(plain_block(), size_mm=(1900.0, 900.0, 200.0)))
    assert not route.steps
    assert route.cannot
    assert all(say(reason) for no in route.cannot for reason in no.reasons)


def test_without_a_mill_every_other_machine_still_says_its_no() -> None:
    shop = demo_shop()
    bare = replace(shop, machines=tuple(machine for machine in shop.machines if machine.kind != "mill"))
    (route,) = routes(plain_block(), shop=bare)
    assert not route.steps
    assert {no.machine for no in route.cannot} >= {"lathe", "grinder", "brake", "jet"}
    assert any(reason.key == "mill.no_mill" for no in route.cannot for reason in no.reasons)


def test_a_lot_shares_its_programs_and_its_setting_up() -> None:
    one, ten = routes(slotted_bar(), 1)[0], routes(slotted_bar(), 10)[0]
    seconds = [sum(phase.duration_s.value for step in route.steps for phase in step.phases) for route in (one, ten)]
    assert seconds[0] < seconds[1] < 10.0 * seconds[0]
    prepared = [next(step for step in route.steps if step.station == "prepare") for route in (one, ten)]
    assert prepared[0].person_s == prepared[1].person_s


def test_the_first_part_of_a_lot_takes_longer_than_each_of_the_others() -> None:
    ten = routes(slotted_bar(), 10)[0]
    for step in ten.steps:
        if step.station == "mill":
            first = next(phase for phase in step.phases if phase.name == "first part")
            others = next(phase for phase in step.phases if phase.name == "the other parts")
            assert first.duration_s.value > others.duration_s.value / 9.0


def test_the_routes_that_are_kept_say_by_how_much_each_is_dearer_or_sooner() -> None:
    found = routes(bearing_plate())
    assert found[0].why[0].key == "route.first"
    assert all(route.why[0].key == "route.dearer" for route in found[1:])
    costs = [route.cost.value for route in found if route.cost]
    assert costs[0] == min(costs)


def test_the_same_question_gets_the_same_answer() -> None:
    assert routes(bearing_plate()) == routes(bearing_plate())
