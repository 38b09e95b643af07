"""Changing any limit of any machine in the shop file changes a route, a time or a refusal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace

import pytest

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import Machine, PowerCurve, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route, Undone
from tests.stations.parts import bracket, bush, cross_drilled, demo_shop, disc, lift_shaft, long_shaft, pin, spindle

PARTS = (lift_shaft, cross_drilled, spindle, disc, bush, long_shaft, pin, bracket)
FACTORS = (0.005, 0.3, 3.0, 50.0)


def changed(shop: Shop, machine: Machine, name: str, index: int | None, factor: float) -> Shop:
    """The shop with one number of one machine multiplied."""
    if name == "set_up_s":
        new = replace(machine, set_up_s=machine.set_up_s * factor)
    else:
        old = getattr(machine.limits, name)
        value: object
        if isinstance(old, PowerCurve):
            value = PowerCurve(tuple((rpm, power * factor) for rpm, power in old.points))
        elif isinstance(old, tuple):
            value = tuple(item * factor if i == index else item for i, item in enumerate(old))
        else:
            value = old * factor
        new = replace(machine, limits=replace(machine.limits, **{name: value}))
    return replace(shop, machines=tuple(new if m.id == machine.id else m for m in shop.machines))


def numbers() -> Iterator[tuple[str, str, int | None]]:
    for machine in demo_shop().machines:
        if machine.kind in ("lathe", "mill", "saw"):
            yield machine.id, "set_up_s", None
        for field in fields(machine.limits):
            value = getattr(machine.limits, field.name)
            if isinstance(value, bool):
                continue
            if isinstance(value, tuple):
                yield from ((machine.id, field.name, index) for index in range(len(value)))
            else:
                yield machine.id, field.name, None


def told(no: Undone) -> tuple[object, ...]:
    return no.station, no.machine, no.features, tuple((reason.key, str(reason.given)) for reason in no.reasons)


def outcome(route: Route) -> tuple[object, ...]:
    """What a person would see change: stock, steps, machines, times, what is made, what is refused."""
    steps = tuple(
        (step.id, step.machine, step.makes, step.unattended, step.holding.key,
         tuple((p.feature, p.low_mm) for p in step.hold_points),
         tuple(round(phase.duration_s.value, 3) for phase in step.phases))
        for step in route.steps
    )  # fmt: skip
    blank = (route.blank.size_mm, round(route.blank.length_mm, 3)) if route.blank else None
    return route.piece, blank, route.rest_mm, steps, tuple(told(no) for no in (*route.cannot, *route.refused))


def outcomes(part: Part, shop: Shop) -> tuple[object, ...]:
    routes = best_routes(part, material=shop.material("C45"), quantity=1, shop=shop, keep=1)
    return tuple(outcome(route) for route in routes)


BASE = {make: outcomes(make(), demo_shop()) for make in PARTS}


@pytest.mark.parametrize(("machine", "name", "index"), list(numbers()), ids=str)
def test_changing_a_limit_changes_a_route_a_time_or_a_refusal(machine: str, name: str, index: int | None) -> None:
    shop = demo_shop()
    old = shop.machine(machine)
    for make in PARTS:
        for factor in FACTORS:
            if outcomes(make(), changed(shop, old, name, index, factor)) != BASE[make]:
                return
    pytest.fail(f"{machine}.{name} counts for nothing")


@pytest.mark.parametrize(
    ("machine", "name"),
    [("lathe", "tailstock"), ("lathe", "controlled"), ("mill", "controlled"), ("saw", "feeds_itself")],
)
def test_a_yes_or_no_of_a_machine_counts_as_well(machine: str, name: str) -> None:
    shop = demo_shop()
    old = shop.machine(machine)
    new = replace(old, limits=replace(old.limits, **{name: not getattr(old.limits, name)}))
    other = replace(shop, machines=tuple(new if m.id == machine else m for m in shop.machines))
    free = replace(other, machines=tuple(replace(m, may_run_alone=True) for m in other.machines))
    before = replace(shop, machines=tuple(replace(m, may_run_alone=True) for m in shop.machines))

    def seen(floor: Shop) -> list[object]:
        found: list[object] = []
        for make in (lift_shaft, spindle, cross_drilled):
            part = make()
            routes = best_routes(part, material=floor.material("C45"), quantity=20, shop=floor, keep=1)
            found.extend((outcome(route), [step.unattended_why for step in route.steps]) for route in routes)
        return found

    assert seen(free) != seen(before)


def test_there_are_as_many_numbers_as_the_shop_file_has() -> None:
    assert len(list(numbers())) > 50
