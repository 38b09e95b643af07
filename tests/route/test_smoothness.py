"""A roughness wished for changes the finishing feed, or sends the part out; and edges with a price wear money.

Source: Ra = f2 / (32 r) of a round nose, as in every handbook (from memory); checked against numbers in
tests/checks/test_turning.py.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from steadyrest.route.best import best_routes
from steadyrest.route.smoothness import smooth
from steadyrest.shop.finish import finishes
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Route
from steadyrest.tables.practice import rule
from steadyrest.wording.say import say
from tests.stations.parts import demo_shop, lift_shaft


def route(*wanted: str, shop: Shop | None = None) -> Route:
    floor = shop or demo_shop()
    metal = floor.material("42CrMo4")
    return best_routes(lift_shaft(), material=metal, quantity=2, shop=floor, keep=1, finishes=finishes(wanted))[0]


def turned_s(made: Route) -> float:
    return sum(figure.value for step in made.steps if step.station == "turn" for figure in step.split[:1])


def test_a_finer_wish_cuts_longer_and_a_coarser_one_less() -> None:
    fine, usual, coarse = route("Ra 0.8"), route(), route("Ra 6.3")
    assert turned_s(fine) > turned_s(usual) > turned_s(coarse)
    assert [why.key for why in fine.why if why.key.startswith("smooth.")] == ["smooth.cut"]
    assert all(say(why) for why in fine.why)


def test_what_no_edge_reaches_is_ground_then_lapped_then_refused_with_the_finest_there_is() -> None:
    shop = demo_shop()
    ways = {
        text: [one.way for one in smooth(finishes([text]), shop, turned=True).finishes]
        for text in ("Ra 0.4", "Ra 0.2", "Ra 0.06", "Ra 0.02")
    }
    assert ways == {
        "Ra 0.4": [],
        "Ra 0.2": ["ground"],
        "Ra 0.06": ["ground", "lapped"],
        "Ra 0.02": ["ground", "lapped"],
    }
    (no,) = smooth(finishes(["Ra 0.02"]), shop, turned=True).cannot
    assert no.nearest is not None
    assert dict(no.nearest.given)["lapped_um"] == rule("lapped_ra_um")
    both = smooth(finishes(["Ra 0.2", "ground S2", "plated 8 um"]), shop, turned=True).finishes
    assert [one.way for one in both] == ["ground", "plated"], "ground once, before it is plated"


def test_a_wish_finer_than_turning_sends_the_shaft_to_the_wheel() -> None:
    made = route("Ra 0.2")
    assert "ground" in [step.id for step in made.steps]
    assert any(why.key == "smooth.ground" for why in made.why)


def test_edges_with_a_price_cost_what_the_lot_wears_of_their_life() -> None:
    free, dear = (
        replace(shop, machines=tuple(
            replace(one, tools=tuple(replace(tool, edge_money=Decimal(price)) for tool in one.tools))
            for one in shop.machines
        ))
        for shop, price in ((demo_shop(), 0), (demo_shop(), 60))
    )  # fmt: skip
    plain, worn = route(shop=free), route(shop=dear)
    for before, after in zip(plain.steps, worn.steps, strict=True):
        assert before.tool_s == after.tool_s
        tools = {} if after.machine is None else {tool.number: tool for tool in dear.machine(after.machine).tools}
        money = sum(2 * each_s / tools[number].life_s * 60 for number, each_s in after.tool_s)
        assert float(after.cash - before.cash) == pytest.approx(money, abs=0.006)
    assert sum(step.cash for step in worn.steps) > sum(step.cash for step in plain.steps)
