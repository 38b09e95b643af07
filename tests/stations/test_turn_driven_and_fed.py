"""Driven tools, collets, the bar feeder and the second spindle: what they make, what they refuse, what they save."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, sampled_from

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import LatheLimits, Machine, Shop
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import Route
from steadyrest.stations.answer import Ask, State
from steadyrest.stations.turn.answering import answer
from steadyrest.stations.turn.driven import shape_of
from steadyrest.stock.choice import choices
from steadyrest.wording.say import say
from tests.stations.lathes import COLLETS, DRIVEN, driven_tools
from tests.stations.parts import bush, cross_drilled, demo_shop, keyway, lift_shaft, pin, size, turned


def shop_with(*, tools: bool = True, **limits: object) -> Shop:
    shop = demo_shop()
    lathe = shop.machine("lathe")
    lathe = replace(lathe, limits=replace(lathe.limits, **limits))
    if tools:
        lathe = replace(lathe, tools=(*lathe.tools, *driven_tools(lathe)))
    return replace(shop, machines=tuple(lathe if m.id == "lathe" else m for m in shop.machines))


def turned_on(part: Part, shop: Shop, quantity: int = 1):
    """The lathe's answer, from the cheapest stock."""
    metal = shop.material("C45")
    choice = choices(part, material=metal, quantity=quantity, shop=shop)[0][0]
    state = State(choice.blank, choice.condition, choice.bar_mm, choice.bar_kg, choice.per_bar, sawn=True)
    ids = tuple(feature.id for feature in part.features)
    return answer(Ask(part, ids, state, metal, quantity, shop, shop.machine("lathe")))


def refusals(found, name: str) -> str:
    return "; ".join(say(r) for no in found.undone if name in no.features for r in no.reasons)


def test_a_lathe_without_driven_tools_leaves_what_is_off_the_axis() -> None:
    found = turned_on(cross_drilled(), shop_with())
    assert {"H1", "P1"} <= {name for no in found.undone for name in no.features}


def test_a_cross_hole_and_a_keyway_of_the_cutter_s_width_are_made_on_the_lathe() -> None:
    assert "H1" in turned_on(cross_drilled(), shop_with(**DRIVEN)).made
    key = keyway(8.0, 4.0, (10.0, 50.0), on="S1", around=30.0, fit=False)
    assert "K1" in turned_on(turned([(30.0, 80.0, None)], others=(key,)), shop_with(**DRIVEN)).made


@pytest.mark.parametrize(
    ("width", "limits", "word"),
    [
        (10.0, {}, "move 1 mm off the axis"),
        (6.0, {"y_mm": 20.0}, "does not go into 6 mm"),
        (8.0, {"driven_torque_nm": 0.02}, "0.1 mm is the least worth taking"),
        (8.0, {"driven_power_w": 1.0}, "0.1 mm is the least worth taking"),
    ],
)
def test_a_keyway_that_the_turret_cannot_mill_is_refused_with_numbers(width, limits, word) -> None:
    key = keyway(width, 4.0, (10.0, 50.0), on="S1", around=30.0, fit=False)
    found = turned_on(turned([(30.0, 80.0, None)], others=(key,)), shop_with(**{**DRIVEN, **limits}))
    assert word in refusals(found, "K1")


def test_a_wider_keyway_needs_a_y_axis_and_has_it_then() -> None:
    key = keyway(10.0, 4.0, (10.0, 50.0), on="S1", around=30.0, fit=False)
    part = turned([(30.0, 80.0, None)], others=(key,))
    assert "K1" in turned_on(part, shop_with(**DRIVEN, y_mm=20.0)).made


def test_a_hole_beside_the_axis_needs_as_much_y_as_it_is_off() -> None:
    hole = Feature("H1", "bore", (size("diameter_mm", 6.0), size("depth_mm", 12.0)), (1, 0, 0), (15.0, 9.0, 20.0),
                   (17.0, 23.0))  # fmt: skip
    part = turned([(40.0, 60.0, None)], others=(hole,))
    assert "9 mm beside it" in refusals(turned_on(part, shop_with(**DRIVEN)), "H1")
    assert "H1" in turned_on(part, shop_with(**DRIVEN, y_mm=9.5)).made


@given(across=floats(12.0, 29.0), length=floats(5.0, 30.0))
def test_six_flats_leave_the_width_across_them(across: float, length: float) -> None:
    six = Feature("X1", "hexagon", (size("width_mm", across), size("length_mm", length)), (1, 0, 0), (0, 0, 10),
                  (0.0, length))  # fmt: skip
    part = turned([(30.0, 80.0, None)], others=(six,))
    assert part.profile is not None
    shape = shape_of(part.profile, six)
    assert shape is not None
    assert shape.sides == 6
    assert 30.0 - 2.0 * shape.depth_mm == pytest.approx(across)
    # the chord that a flat leaves on the round, by Pythagoras
    assert (shape.width_mm / 2.0) ** 2 + (across / 2.0) ** 2 == pytest.approx(15.0**2)


@settings(deadline=None, max_examples=8)
@given(factor=floats(1.1, 8.0), name=sampled_from(("driven_max_rpm", "driven_power_w", "driven_torque_nm")))
def test_a_stronger_turret_is_never_slower(factor: float, name: str) -> None:
    key = keyway(8.0, 4.0, (10.0, 50.0), on="S1", around=30.0, fit=False)
    part = turned([(30.0, 80.0, None)], others=(key,))
    weak = {**DRIVEN, "driven_power_w": 400.0, "driven_torque_nm": 2.0}
    times = [
        sum(step.split[0].value for step in turned_on(part, shop_with(**limits)).steps)
        for limits in (weak, {**weak, name: weak[name] * factor})  # type: ignore[operator]
    ]
    assert times[1] <= times[0] + 1e-6


def routes(make, shop: Shop, quantity: int) -> tuple[Route, ...]:
    return best_routes(make(), material=shop.material("C45"), quantity=quantity, shop=shop)


def test_what_driven_tools_and_the_mill_can_both_make_is_tried_both_ways_and_the_dearer_is_said() -> None:
    found = routes(cross_drilled, shop_with(**DRIVEN, y_mm=30.0), 6)
    ways = {reason.key for route in found for reason in (*route.why, *(r for n in route.refused for r in n.reasons))}
    assert "route.milled_after" in ways
    with_mill = [route for route in found if any(step.station == "mill" for step in route.steps)]
    assert len(with_mill) < len(found)


def test_what_the_lathe_refuses_and_the_mill_makes_is_said_with_the_lathe_s_numbers() -> None:
    best = routes(lift_shaft, shop_with(**DRIVEN), 1)[0]
    assert any(step.station == "mill" and "K1" in step.makes for step in best.steps)
    said = "; ".join(say(r) for no in best.refused if no.machine == "lathe" for r in no.reasons)
    assert "driven cutter" in said


def test_a_collet_holds_only_its_own_sizes_and_bright_bar() -> None:
    held = turned_on(cross_drilled(), shop_with(**COLLETS))
    assert held.steps[0].holding.key == "turn.hold_collet"
    small = turned_on(cross_drilled(), shop_with(**{**COLLETS, "collet_mm": (4.0, 20.0)}))
    assert small.steps[0].holding.key != "turn.hold_collet"


def test_a_bar_too_thin_for_the_chuck_is_held_in_a_collet() -> None:
    limits = demo_shop().machine("lathe").limits
    assert isinstance(limits, LatheLimits)
    wide = {"chuck_smallest_mm": 60.0}
    assert not turned_on(pin(), shop_with(**wide)).steps
    assert turned_on(pin(), shop_with(**wide, **COLLETS)).steps


def square_rack(**limits: object) -> Shop:
    shop = shop_with(**limits)
    bar = replace(shop.pieces[0], id="Q1", shape="square", size_mm=(40.0,), length_mm=400.0, material="C45")
    return replace(shop, pieces=(bar,), suppliers=())


def test_a_square_bar_is_turned_only_in_four_jaws_that_hold_its_side() -> None:
    part = turned([(30.0, 20.0, None), (36.0, 20.0, None)])
    metal = demo_shop().material("C45")
    none = best_routes(part, material=metal, quantity=1, shop=square_rack())
    assert not none[0].steps
    held = best_routes(part, material=metal, quantity=1, shop=square_rack(four_jaw_mm=(10.0, 100.0)))[0]
    first = next(step for step in held.steps if step.station == "turn")
    assert first.holding.key == "turn.hold_four_jaw"
    assert held.blank is not None
    assert held.blank.mass_kg == pytest.approx(40.0**2 * held.blank.length_mm * metal.density_kg_m3 * 1e-9)
    small = best_routes(part, material=metal, quantity=1, shop=square_rack(four_jaw_mm=(10.0, 39.0)))[0]
    assert "turn.four_jaw_size" in {r.key for no in (*small.cannot, *small.refused) for r in no.reasons}


FED: dict[str, object] = {**COLLETS, "bar_feed_mm": (1000.0, 150.0)}


def fed_route(shop: Shop, quantity: int = 20) -> Route:
    return next(r for r in routes(bush, shop, quantity) if any(reason.key == "route.bar_fed" for reason in r.why))


def test_short_parts_off_one_bar_are_not_sawn_and_are_compared_with_sawn_ones() -> None:
    found = routes(bush, shop_with(**FED), 20)
    best = found[0]
    assert any(reason.key == "route.bar_fed" for reason in best.why)
    assert all(step.station != "saw" for step in best.steps)
    ways = [r.key for no in best.refused for r in no.reasons if no.station == "route"]
    sawn = [r for r in found if any(step.station == "saw" for step in r.steps)]
    assert "route.plain" in ways or sawn


def test_a_bar_feeds_as_many_parts_as_its_length_less_the_rest_holds() -> None:
    shop = shop_with(**FED)
    route = fed_route(shop)
    assert route.blank is not None
    count = next(reason for reason in route.why if reason.key == "route.bar_fed")
    per_bar = dict(count.given)["count"]
    assert isinstance(per_bar, float)
    each = route.blank.length_mm + shop.habits.part_off_mm
    assert per_bar * each + 150.0 <= 1000.0 < (per_bar + 1) * each + 150.0


def test_a_fed_lot_runs_alone_bar_by_bar_only_where_the_prohibition_list_lets_it() -> None:
    step = fed_route(shop_with(**FED)).steps[1]
    quiet = [phase for phase in step.phases if not phase.who]
    assert step.unattended == bool(quiet)
    shop = shop_with(**FED)
    forbidden = tuple(replace(m, may_run_alone=False) for m in shop.machines)
    watched = fed_route(replace(shop, machines=forbidden)).steps[1]
    assert all(phase.who for phase in watched.phases)
    assert any(reason.key == "alone.not_allowed" for reason in watched.unattended_why)


def test_a_second_spindle_makes_both_sides_in_one_step_with_less_of_somebody_s_time() -> None:
    def hands_s(route: Route) -> float:
        return sum(step.person_s for step in route.steps if step.station == "turn")

    one, two = fed_route(shop_with(**FED)), fed_route(shop_with(**FED, second_spindle=True))
    assert [step.station for step in two.steps].count("turn") == 1
    assert hands_s(two) < hands_s(one)
    assert {n for s in one.steps for n in s.makes} == {n for s in two.steps for n in s.makes}


def test_without_a_feeder_short_parts_are_pulled_on_by_hand_within_the_spindle_and_never_alone() -> None:
    shop = shop_with(**COLLETS)
    bare = replace(shop, pieces=())  # all has to be bought
    route = next(r for r in routes(bush, bare, 20) if any(reason.key == "route.bar_pulled" for reason in r.why))
    assert all(step.station != "saw" for step in route.steps)
    first = next(step for step in route.steps if step.station == "turn")
    assert not first.unattended
    assert all(phase.who for phase in first.phases)
    assert "caution.bar_pulled" in {reason.key for reason in first.cautions}
    bar_mm = dict(route.buy[0].what.given)["bar_mm"]
    assert isinstance(bar_mm, float)
    assert bar_mm <= 800.0
    assert "route.bar_pulled" not in {reason.key for r in routes(bush, bare, 1) for reason in r.why}


@pytest.mark.parametrize(
    ("limits", "key"),
    [
        ({"bar_feed_mm": None}, "turn.hand_bar_long"),
        ({"bar_feed_mm": (60.0, 10.0)}, "turn.feeder_long"),
        ({"spindle_bore_mm": 10.0}, "turn.feeder_thick"),
        ({"bar_feed_mm": (3000.0, 2900.0)}, "turn.feeder_rest"),
    ],
)
def test_a_bar_that_cannot_be_fed_is_refused_with_numbers(limits, key: str) -> None:
    shop = shop_with(**{**FED, **limits})
    metal, part = shop.material("C45"), bush()
    choice = choices(part, material=metal, quantity=2, shop=shop)[0][0]
    state = State(choice.blank, choice.condition, choice.bar_mm, choice.bar_kg, 2, sawn=True, fed=True)
    lathe: Machine = shop.machine("lathe")
    found = answer(Ask(part, tuple(f.id for f in part.features), state, metal, 2, shop, lathe))
    assert not found.steps
    assert key in {reason.key for no in found.undone for reason in no.reasons}
