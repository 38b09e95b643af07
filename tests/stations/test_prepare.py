"""Modelling and programming: once for the lot, by a person, for controlled machines only."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import LatheLimits, MillLimits, Shop
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import Step
from steadyrest.stations.prepare import model_s, program_s
from tests.stations.parts import bracket, demo_shop, lift_shaft, size


def prepared(quantity: int = 1, shop: Shop | None = None) -> Step | None:
    floor = shop or demo_shop()
    steps = best_routes(lift_shaft(), material=floor.material("C45"), quantity=quantity, shop=floor)[0].steps
    return next((step for step in steps if step.station == "prepare"), None)


def by_hand(shop: Shop) -> Shop:
    machines = tuple(
        replace(m, limits=replace(m.limits, controlled=False)) if isinstance(m.limits, LatheLimits | MillLimits) else m
        for m in shop.machines
    )
    return replace(shop, machines=machines)


@settings(deadline=None, max_examples=6)
@given(quantity=integers(1, 300))
def test_it_does_not_grow_with_the_lot(quantity: int) -> None:
    one, many = prepared(1), prepared(quantity)
    assert one is not None
    assert many is not None
    assert [p.duration_s.value for p in one.phases] == [p.duration_s.value for p in many.phases]
    assert many.split[0].value == pytest.approx(one.split[0].value / quantity)


def test_a_person_does_it_who_may_put_it_down() -> None:
    step = prepared()
    assert step is not None
    assert step.machine is None
    assert all(phase.who and phase.interruptible for phase in step.phases)


def test_who_is_named_to_program_does_it_and_nobody_else() -> None:
    shop = demo_shop()
    people = tuple(replace(p, skills=(*p.skills, "program")) if p.id == "ines" else p for p in shop.people)
    step = prepared(shop=replace(shop, people=people))
    assert step is not None
    assert {phase.who for phase in step.phases} == {("ines",)}


def test_machines_run_by_hand_need_no_program() -> None:
    assert prepared(shop=by_hand(demo_shop())) is None


def hole(name: str, diameter: float) -> Feature:
    return Feature(name, "bore", (size("diameter_mm", diameter),), (0, 0, 1), (0, 0, 0))


def with_features(*features: Feature, kind: str = "solid") -> Part:
    return replace(bracket(), kind=kind, features=features)  # type: ignore[arg-type]


def step_making(part: Part) -> tuple[Step, ...]:
    step = prepared()
    assert step is not None
    return (replace(step, station="mill", machine="mill", makes=tuple(f.id for f in part.features)),)


def test_ten_holes_alike_are_programmed_sooner_than_ten_different_ones() -> None:
    alike = with_features(*(hole(f"H{n}", 6.0) for n in range(10)))
    different = with_features(*(hole(f"H{n}", 5.0 + n) for n in range(10)))
    assert program_s(alike, step_making(alike)).value < program_s(different, step_making(different)).value


def test_a_free_surface_is_the_dearest_thing_to_draw_and_to_program() -> None:
    free = with_features(Feature("X1", "free", (), (0, 0, 1), (0, 0, 0)), kind="scan")
    plain = with_features(hole("H1", 6.0), kind="scan")
    assert model_s(free).value > model_s(plain).value
    assert program_s(free, step_making(free)).value > program_s(plain, step_making(plain)).value


def test_a_scan_is_drawn_over_and_a_solid_only_looked_through() -> None:
    features = tuple(hole(f"H{n}", 5.0 + n) for n in range(6))
    assert model_s(with_features(*features, kind="scan")).value > model_s(with_features(*features)).value
