"""Changing any number of the tools in a drawer changes a route, a time, a refusal or a price; and a machine's own hour.

By reflection over `Tool` and `MachineHour`: a field added later is under it at once. What only the leaving check asks
of a tool (coolant, its point) is in tests/program.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields, replace
from decimal import Decimal

import pytest

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import Shop, Tool
from steadyrest.shop.machine_hour import MachineHour
from steadyrest.shop.part import Part
from tests.route.test_every_limit_counts import outcome
from tests.stations.blocks import bearing_plate
from tests.stations.parts import bush, cross_drilled, demo_shop, disc, lift_shaft
from tests.stations.solids import Block
from tests.stations.test_threading import nut
from tests.stations.test_turn_noses_and_faces import ringed

NOT_PLANNED = {"number", "needs_coolant", "holder_mm"}  # a name; what the leaving check alone looks at; below
OTHERS: dict[str, tuple[object, ...]] = {
    "kind": ("probe",), "role": ("probe",), "made_of": ("hss", "carbide"), "driven": (True,),
    "lead_rad": (math.pi / 4,), "edge_money": (Decimal(90),), "pitch_mm": (9.0,), "face_from_mm": (35.0,),
    "stick_out_mm": (2.0,), "used_s": (1e9,), "width_mm": (40.0,), "edge_mm": (3.0,),
}  # fmt: skip
PARTS = (lift_shaft, bush, cross_drilled, disc, bearing_plate)
ASKING = {"pitch_mm": (nut,), "face_from_mm": (ringed,)}
SHOP = demo_shop()


def changed(name: str) -> Iterator[Shop]:
    """The shop with one field of every tool changed."""
    for value in OTHERS.get(name, (0.05, 4.0)):

        def other(tool: Tool, value: object = value) -> Tool:
            old = getattr(tool, name)
            return replace(tool, **{name: value if name in OTHERS else type(old)(max(old * value, 1))})  # type: ignore[operator]

        yield replace(SHOP, machines=tuple(replace(m, tools=tuple(map(other, m.tools))) for m in SHOP.machines))


SEEN: dict[str, object] = {}


def told(part: Part, shop: Shop) -> object:
    """What a person would see change, the cost among it."""
    if shop is SHOP and part.name in SEEN:
        return SEEN[part.name]
    routes = best_routes(part, material=shop.material("C45"), quantity=20, shop=shop, keep=1)
    found = [(outcome(route), route.cost.value if route.cost else None) for route in routes]
    if shop is SHOP:
        SEEN[part.name] = found
    return found


@pytest.mark.parametrize("name", [field.name for field in fields(Tool) if field.name not in NOT_PLANNED])
def test_changing_a_field_of_the_tools_changes_a_route_a_time_a_refusal_or_a_price(name: str) -> None:
    parts = [make() for make in ASKING.get(name, PARTS)]
    assert any(told(part, other) != told(part, SHOP) for part in parts for other in changed(name)), name


def test_a_holder_too_wide_for_a_pocket_deeper_than_the_tool_stands_out_changes_what_is_made() -> None:
    part = Block(90, 90, 30, 1.0).pocket((10, 10), (80, 80), 20, 6).part()
    found: list[object] = []
    for wide_mm in (16.0, 120.0):
        machines = tuple(
            replace(m, tools=tuple(replace(tool, stick_out_mm=12.0, holder_mm=wide_mm) for tool in m.tools))
            for m in SHOP.machines
        )
        found.append(told(part, replace(SHOP, machines=machines)))
    assert found[0] != found[1]


@pytest.mark.parametrize("name", [field.name for field in fields(MachineHour)])
def test_changing_a_figure_of_a_machine_s_hour_changes_what_an_hour_costs(name: str) -> None:
    hour = SHOP.machine("mill").hour
    assert hour is not None
    old = getattr(hour, name)
    assert replace(hour, **{name: old * 2}).per_hour != hour.per_hour
