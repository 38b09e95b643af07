"""Routes of threaded parts over the demo's floor: made whole, measured, or refused with every limit."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import LatheLimits, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route
from tests.stations.parts import demo_shop
from tests.stations.test_threading import nut, stud


def route(part: Part, shop: Shop, quantity: int = 1) -> Route:
    return best_routes(part, material=shop.material("C45"), quantity=quantity, shop=shop, keep=1)[0]


def with_lathe(tools: frozenset[str] | None = None, **limits: object) -> Shop:
    shop = demo_shop()
    lathe = shop.machine("lathe")
    assert isinstance(lathe.limits, LatheLimits)
    kept = tuple(tool for tool in lathe.tools if tools is None or tool.kind not in tools)
    other = replace(lathe, tools=kept, limits=replace(lathe.limits, **limits))
    return replace(shop, machines=tuple(other if machine.id == "lathe" else machine for machine in shop.machines))


def test_a_stud_and_a_tapped_bush_are_made_whole() -> None:
    for part in (stud(), nut()):
        found = route(part, demo_shop())
        assert not found.cannot
        assert {name for step in found.steps for name in step.makes} == {feature.id for feature in part.features}


def test_the_thread_alone_is_missing_where_no_tool_cuts_it() -> None:
    found = route(stud(), with_lathe(frozenset({"threading"})))
    assert [no.features for no in found.cannot] == [("T1",)]
    assert found.cannot[0].nearest is not None


def test_the_slide_and_its_acceleration_change_the_route_or_the_refusal() -> None:
    def minutes(shop: Shop) -> float:
        return sum(step.machine_s for step in route(stud(), shop).steps)

    assert route(stud(), with_lathe(rapid_mm_min=(5000.0, 100.0))).cannot
    assert minutes(with_lathe(accel_mm_s2=100.0)) > minutes(demo_shop())
    assert minutes(with_lathe(controlled=False)) > minutes(demo_shop())


def test_threads_in_stringy_steel_are_not_left_alone() -> None:
    found = route(stud(), demo_shop(), quantity=20)
    step = next(step for step in found.steps if "T1" in step.makes)
    assert not step.unattended
    assert any(why.key == "alone.stringy" for why in step.unattended_why)
