"""A refusal that a tool would undo names the tool: bought, it is a yes; the nearest there is says what it lacks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Machine, MillLimits, Tool
from steadyrest.stations.mill import times
from steadyrest.stations.mill.holes import hole as turned_part_hole
from steadyrest.stations.mill.lacking import Lack, easiest, in_drawer, to_buy
from steadyrest.stations.mill.slots import Slot, slot
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times import Cut
from tests.stations.parts import demo_shop


def place(*tools: Tool) -> Place:
    machine = demo_shop().machine("mill")
    assert isinstance(machine.limits, MillLimits)
    return Place(replace(machine, tools=tools or machine.tools), machine.limits, demo_shop().material("C45"))


def drawer() -> tuple[Tool, ...]:
    return place().machine.tools


def bought(lack: Lack, number: int) -> Tool:
    """The tool that a lack asks for, as a merchant would send it."""
    return Tool(
        number, lack.kind, "finish", lack.diameter_mm or 10.0, max(lack.depth_mm, 1.0) + 5.0,
        "carbide" if lack.kind in ("end mill", "slot drill") else "hss", 2, 0.0, math.pi / 2,
        max(lack.depth_mm, 1.0) + 1.0, 0.0, 20_000.0, 3600.0, 0.0, False, lack.pitch_mm,
    )  # fmt: skip


def deep_hole(where: Place) -> Cut:
    return times.hole(where, diameter_mm=9.3, depth_mm=70.0, limits_mm=0.2, through=True)


def fine_hole(where: Place) -> Cut:
    return times.hole(where, diameter_mm=9.0, depth_mm=60.0, limits_mm=0.015, through=True)


def thread(where: Place) -> Cut:
    return times.hole(where, diameter_mm=7.0, depth_mm=30.0, limits_mm=0.2, through=False, thread=(7.0, 1.0, 20.0))


@pytest.mark.parametrize("work", [deep_hole, fine_hole, thread])
def test_what_is_named_once_bought_makes_it_a_yes(work: Callable[[Place], Cut]) -> None:
    plain = [tool for tool in drawer() if tool.kind not in ("boring", "thread mill")]
    refused = work(place(*plain))
    assert refused.refused
    assert refused.lacks
    more = [bought(lack, 900 + k) for k, lack in enumerate(refused.lacks)]
    assert not work(place(*plain, *more)).refused
    for left_out in range(len(more)):
        fewer = [tool for k, tool in enumerate(more) if k != left_out]
        assert work(place(*plain, *fewer)).refused, "each of them is needed"


def test_a_missing_drill_is_said_by_its_size_and_depth() -> None:
    cut = deep_hole(place())
    buy = to_buy(cut.lacks)
    assert buy is not None
    assert buy.key == "mill.buy_size"
    assert dict(buy.given) == {"kind": "drill", "diameter_mm": pytest.approx(9.3), "depth_mm": 70.0}


def nearest_by_hand(tools: tuple[Tool, ...], kind: str, diameter_mm: float) -> Tool:
    drills = sorted((abs(tool.diameter_mm - diameter_mm), tool.number) for tool in tools if tool.kind == kind)
    return next(tool for tool in tools if tool.number == drills[0][1])


@pytest.mark.parametrize(
    ("diameter", "depth", "key"),
    [(9.3, 10.0, "mill.drawer_size"), (8.5, 500.0, "mill.drawer_short"), (9.3, 500.0, "mill.drawer_both")],
)
def test_the_nearest_of_the_drawer_says_what_it_lacks(diameter: float, depth: float, key: str) -> None:
    why = in_drawer(drawer(), Lack("drill", diameter, diameter, depth))
    assert isinstance(why, Reason)
    given = dict(why.given)
    best = nearest_by_hand(drawer(), "drill", diameter)
    assert why.key == key
    assert given["tool"] == best.number
    assert given["has_mm"] == best.diameter_mm
    if "off_mm" in given:
        assert given["off_mm"] == pytest.approx(abs(best.diameter_mm - diameter))
    if "depth_mm" in given:
        assert given["depth_mm"] == depth


def test_a_drawer_without_a_kind_says_so_and_one_that_has_the_tool_says_nothing() -> None:
    none = in_drawer(tuple(tool for tool in drawer() if tool.kind != "drill"), Lack("drill", 8.5, 8.5, 10.0))
    assert none is not None
    assert none.key == "mill.drawer_none"
    assert in_drawer(drawer(), Lack("drill", 8.5, 8.5, 10.0)) is None


def test_a_power_that_is_missing_is_no_tool_that_is_missing() -> None:
    weak = place()
    limits = replace(weak.limits, max_force_n=1.0)
    cut = deep_hole(replace(weak, limits=limits, machine=replace(weak.machine, limits=limits)))
    assert cut.refused
    rounder = times.hole(replace(weak, limits=limits), diameter_mm=8.5, depth_mm=20.0, limits_mm=0.2, through=True)
    assert rounder.refused
    assert "mill.drill_force" in {reason.key for reason in rounder.refused}


def test_of_two_ways_the_one_with_fewer_and_commoner_tools_is_named() -> None:
    ream, drill = Lack("reamer", 10.0, 10.0), Lack("drill", 9.8, 9.8)
    assert easiest([(ream, drill), (drill,), (ream,), ()]) == (drill,)
    assert easiest([(), ()]) == ()


def test_a_turned_part_s_missing_drill_and_cutter_are_named_alike() -> None:
    missed = turned_part_hole(place(), diameter_mm=9.3, depth_mm=20.0, limits_mm=0.2)
    assert missed.lacks == (Lack("drill", 9.3, 9.3, 20.0),)
    narrow = slot(place(), Slot(2.0, 3.0, 20.0, 0.2, exact=False))
    assert narrow.refused
    (lack,) = narrow.lacks
    assert lack.kind == "slot drill"
    assert lack.diameter_mm == pytest.approx(2.02)
    made = slot(place(*drawer(), bought(replace(lack, diameter_mm=2.0), 900)), Slot(2.0, 3.0, 20.0, 0.2, exact=False))
    assert not made.refused


def test_a_machine_is_not_asked_for_a_tool_where_limits_are_finer_than_any_holds() -> None:
    cut = times.hole(place(), diameter_mm=9.0, depth_mm=20.0, limits_mm=0.004, through=True)
    assert cut.refused
    assert not cut.lacks


def test_machine_values_are_as_the_drawer_has_them() -> None:
    machine = demo_shop().machine("mill")
    assert isinstance(machine, Machine)
    assert any(tool.kind == "drill" and tool.diameter_mm == 8.5 for tool in machine.tools)
