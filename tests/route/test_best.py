"""Routes: the order that the part forces, the choice of stock, and the noes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers

from steadyrest.route.best import _unlike, _worth_showing, best_routes
from steadyrest.route.left_over import with_a_tool
from steadyrest.shop.figure import because
from steadyrest.shop.floor import LatheLimits, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route, Undone
from steadyrest.wording.say import say
from tests.stations.parts import NAMED, bracket, bush, demo_shop, disc, lift_shaft, parts, pin, spindle, turned


def routes(part: Part, quantity: int = 1, shop: Shop | None = None, metal: str = "C45") -> tuple[Route, ...]:
    floor = shop or demo_shop()
    return best_routes(part, material=floor.material(metal), quantity=quantity, shop=floor)


def test_the_lift_shaft_comes_out_of_the_rack_with_its_collar_unturned() -> None:
    best, *others = routes(lift_shaft())
    assert best.piece == "R1"
    assert best.blank is not None
    assert best.blank.size_mm == (44.45,)
    assert not best.cannot
    assert [step.id for step in best.steps] == [
        "prepare", "saw", "turn-1", "turn-2", "mill", "deburr", "inspect", "deliver",
    ]  # fmt: skip
    assert any(reason.key == "turn.left_as_stock" for f in best.steps[2].limits for reason in f.why)
    assert any(route.buy for route in others)


def test_a_bearing_seat_is_measured_before_the_last_pass() -> None:
    best = routes(lift_shaft())[0]
    held = {point.feature: point for step in best.steps for point in step.hold_points}
    assert set(held) == {"S2", "S5", "K1"}
    assert held["S2"].gauge == "micrometer_50"
    assert (held["S2"].low_mm, held["S2"].high_mm) == (36.5145, 36.5305)


def test_every_piece_that_will_not_do_says_by_how_much() -> None:
    best = routes(lift_shaft())[0]
    said = {say(reason) for no in best.refused for reason in no.reasons}
    assert "R4 is 40 mm; 45.45 mm is wanted: 5.45 mm too small" in said
    assert "R5 is 42CrMo4, wanted is C45" in said
    assert any("R5 is 221 mm long" in line and "42 mm too short" in line for line in said)


@pytest.mark.parametrize("make", NAMED, ids=lambda make: make.__name__)
def test_every_machine_of_the_floor_is_used_or_refused(make) -> None:
    for route in routes(make()):
        used = {step.machine for step in route.steps}
        refused = {no.machine for no in (*route.refused, *route.cannot)}
        if route.steps:
            assert {machine.id for machine in demo_shop().machines} <= used | refused
        else:
            assert route.cannot


@pytest.mark.parametrize("make", [m for m in NAMED if m is not bracket], ids=lambda make: make.__name__)
@pytest.mark.parametrize("quantity", [1, 7])
def test_a_sensible_turned_part_is_made_whole(make, quantity: int) -> None:
    metal = "42CrMo4" if make is disc else "C45"
    part = make()
    best = routes(part, quantity, metal=metal)[0]
    assert not best.cannot, [say(r) for no in best.cannot for r in no.reasons]
    made = {name for step in best.steps for name in step.makes}
    assert made == {feature.id for feature in part.features}


def test_routes_stand_in_order_of_money_and_say_how_much_dearer() -> None:
    found = routes(lift_shaft())
    costs = [route.cost.value for route in found if route.cost]
    assert len(costs) == len(found)
    assert costs == sorted(costs)
    assert found[0].why[0].key == "route.first"
    assert all(route.why[0].key == "route.dearer" for route in found[1:])


def test_a_part_without_an_axis_gives_one_route_without_steps_and_every_machine_s_reason() -> None:
    (route,) = routes(bracket())
    assert not route.steps
    first = route.cannot[0].reasons[0]
    assert first.key == "route.no_axis"
    assert "120 mm x 80 mm x 20 mm" in say(first)
    assert {no.machine for no in route.cannot} >= {"lathe", "mill", "grinder", "brake", "jet"}


def test_limits_too_fine_for_the_lathe_are_a_no_with_the_nearest_yes() -> None:
    best = routes(turned([(30.0, 60.0, (29.996, 30.0)), (40.0, 60.0, None)]))[0]
    (no,) = best.cannot
    assert no.features == ("S1",)
    assert no.reasons[0].key == "size.too_fine"
    assert no.nearest is not None
    assert no.nearest.key == "turn.leave_for_grinding"


def test_a_slender_spindle_is_held_at_a_centre_and_without_a_tailstock_refused() -> None:
    shop = demo_shop()
    assert any(step.holding.key == "turn.hold_centre" for step in routes(spindle())[0].steps)
    lathe = shop.machine("lathe")
    assert isinstance(lathe.limits, LatheLimits)
    bare = replace(lathe, limits=replace(lathe.limits, tailstock=False))
    floor = replace(shop, machines=tuple(bare if m.id == "lathe" else m for m in shop.machines))
    (route,) = routes(spindle(), shop=floor)
    assert not route.steps
    keys = {reason.key for no in route.cannot for reason in no.reasons}
    assert {"turn.no_tailstock", "turn.stick_out"} <= keys


def test_a_metal_that_is_neither_in_the_rack_nor_sold_gives_its_reasons() -> None:
    (route,) = routes(pin(), metal="Ti-6Al-4V")
    assert not route.steps
    assert any(reason.key == "stock.nobody_sells" for no in route.cannot for reason in no.reasons)


def test_a_heavy_blank_brings_its_caution() -> None:
    big = turned([(120.0, 80.0, None), (200.0, 80.0, None), (120.0, 80.0, None)], name="big")
    best = routes(big)[0]
    assert any(reason.key in ("lift.two", "lift.hoist") for figure in best.handling for reason in figure.why)
    assert any(reason.key in ("lift.two", "lift.hoist") for step in best.steps for reason in step.cautions)


@settings(deadline=None, max_examples=8)
@given(quantity=integers(1, 1_000_000))
def test_more_parts_never_take_less_time(quantity: int) -> None:
    def seconds(count: int) -> float:
        return sum(phase.duration_s.value for step in routes(bush(), count)[0].steps for phase in step.phases)

    assert seconds(quantity + 1) >= seconds(quantity) - 1e-6


@settings(deadline=None, max_examples=15)
@given(part=parts(), quantity=integers(1, 50))
def test_any_part_gets_routes_or_reasons_and_never_an_exception(part: Part, quantity: int) -> None:
    found = routes(part, quantity)
    assert found
    for route in found:
        assert route.steps or route.cannot
        made = [name for step in route.steps for name in step.makes]
        undone = {name for no in route.cannot for name in no.features}
        assert len(made) == len(set(made))
        if route.steps:
            assert set(made) | undone == {feature.id for feature in part.features}
            assert not set(made) & undone
            if route.rest_mm is None:  # bought cut to size, or out of a sheet: nothing is sawn off here
                assert all(step.station != "saw" for step in route.steps)
            else:
                assert route.rest_mm >= 0


def test_the_same_question_gets_the_same_answer() -> None:
    assert routes(lift_shaft()) == routes(lift_shaft())


def test_a_quantity_below_one_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="quantity 0"):
        routes(pin(), 0)


def test_a_whole_route_says_by_how_much_another_would_be_cheaper_with_a_tool_that_is_not_there() -> None:
    first = routes(bush())[0]
    assert first.cost is not None
    drill, why = because("turn.buy_drill", diameter_mm=8.0, depth_mm=7.0), because("route.nobody", feature="B1")
    cheap = replace(first.cost, value=first.cost.value - 40.0)
    lacks = replace(first, cost=cheap, cannot=(Undone("turn", "lathe", ("B1",), (why,), drill),))
    told = dict(with_a_tool(first, [first, lacks]).why[-1].given)
    assert (told["less_money"], told["diameter_mm"], told["tools"]) == (pytest.approx(40.0), 8.0, 1.0)
    more = replace(lacks, cannot=(*lacks.cannot, Undone("mill", "mill", ("F2",), (why,))))
    dear = replace(lacks, cost=replace(cheap, value=first.cost.value + 1.0))
    assert with_a_tool(first, [first, more, dear]) == first, "what no tool makes, and what is dearer, is no advice"


def test_no_route_that_leaves_more_costs_more_and_is_no_sooner_is_shown_beside_the_first() -> None:
    part, shop = pin(), demo_shop()
    first = best_routes(part, material=shop.material("C45"), quantity=1, shop=shop, keep=1)[0]
    assert first.cost is not None
    dear = replace(first.cost, value=first.cost.value + 50.0)
    less = Undone("mill", "mill", ("K1",), (because("route.none"),))
    worse = replace(first, cannot=(*first.cannot, less), cost=dear)
    cheap = replace(worse, cost=replace(dear, value=1.0))
    assert _worth_showing([first, worse, cheap], shop) == [first, cheap]


def test_bar_of_nearly_the_same_size_is_no_choice_beside_another_way() -> None:
    part, shop = pin(), demo_shop()
    first = best_routes(part, material=shop.material("C45"), quantity=1, shop=shop, keep=1)[0]
    assert first.blank is not None
    twin = replace(first, blank=replace(first.blank, size_mm=(first.blank.size_mm[0] + 0.15,)))
    other = replace(first, steps=first.steps[1:])
    assert _unlike([first, twin, other]) == [first, other, twin]
