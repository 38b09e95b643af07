"""What is lifted at each step, and what must be done before what."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers

from steadyrest.route.best import best_routes, ready_s
from steadyrest.route.lifts import Weights, load_at, too_heavy
from steadyrest.route.precedence import desk_s
from steadyrest.shop.work import Route
from tests.stations.parts import NAMED, demo_shop, disc, lift_shaft, pin

WORKED = [make for make in NAMED if make.__name__ != "bracket"]


@cache
def routes(make, quantity: int = 1) -> tuple[Route, ...]:
    shop = demo_shop()
    metal = "42CrMo4" if make is disc else "C45"
    return best_routes(make(), material=shop.material(metal), quantity=quantity, shop=shop)


@pytest.mark.parametrize("make", WORKED, ids=lambda make: make.__name__)
def test_every_step_waits_for_steps_before_it_and_none_for_itself(make) -> None:
    for route in routes(make):
        seen: set[str] = set()
        for step in route.steps:
            assert set(step.after) <= seen, (step.id, step.after)
            seen.add(step.id)
        assert all(step.after for step in route.steps[2:] if step.needs_stock)


def test_a_controlled_machine_waits_for_its_program_and_the_saw_does_not() -> None:
    found = {step.id: step for step in routes(lift_shaft)[0].steps}
    assert not found["prepare"].needs_stock
    assert found["saw"].after == ()
    assert set(found["turn-1"].after) == {"saw", "prepare"}


def test_the_desk_works_while_stock_is_on_order() -> None:
    shop = demo_shop()
    bought = next(route for route in routes(lift_shaft) if route.buy)
    assert any(reason.key == "route.desk_meanwhile" for reason in bought.why)
    slow = replace(shop, suppliers=tuple(replace(s, lead_days=30) for s in shop.suppliers))
    without = replace(bought, steps=tuple(step for step in bought.steps if step.needs_stock))
    assert desk_s(bought.steps) > 0
    assert ready_s(bought, slow) == pytest.approx(ready_s(without, slow))
    rack = next(route for route in routes(lift_shaft) if not route.buy)
    assert all(reason.key != "route.desk_meanwhile" for reason in rack.why)


def test_what_is_lifted_is_said_at_every_step_that_moves_something() -> None:
    for route in routes(pin, 3):
        for step in route.steps:
            assert (step.lifted is None) == (step.station == "prepare")
        assert {step.lifted for step in route.steps if step.lifted and too_heavy(step.lifted)} <= set(route.handling)


def with_lift(kg: float) -> tuple[Route, ...]:
    shop = demo_shop()
    shop = replace(shop, habits=replace(shop.habits, lift_alone_kg=kg))
    return best_routes(disc(), material=shop.material("42CrMo4"), quantity=1, shop=shop)


def test_a_weaker_person_never_gets_fewer_cautions() -> None:
    strong, weak = with_lift(1000.0), with_lift(0.5)
    warned = [[r.key for step in found[0].steps for r in step.cautions if r.key.startswith("lift.")]
              for found in (strong, weak)]  # fmt: skip
    assert len(warned[1]) > len(warned[0])
    assert "lift.hoist" in warned[1]


@settings(deadline=None)
@given(integers(1, 500))
def test_boxes_share_the_lot_and_none_is_lighter_than_a_part(quantity: int) -> None:
    route = routes(lift_shaft)[0]
    assert route.blank is not None
    step = next(step for step in route.steps if step.id == "deliver")
    load = load_at(step, Weights(10.0, 1, route.blank, 1.9, quantity))
    assert load is not None
    assert 1.9 - 1e-9 <= load.mass_kg <= max(1.9, 20.0) + 1e-9
