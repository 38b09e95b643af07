"""Small bores on the lathe: reamed where the tools are there; else the tool to buy is the nearest yes, and helps."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.shop.floor import Machine, Tool
from steadyrest.shop.part import Part
from tests.stations.parts import demo_shop, turned
from tests.stations.test_turn import ask

LATHE = demo_shop().machine("lathe")
DRILL = next(tool for tool in LATHE.tools if tool.kind == "drill")


def bored(diameter_mm: float) -> Part:
    return turned([(20.0, 30.0, None)], bores=((diameter_mm, 0.0, 30.0),))


def tool(kind: str, diameter_mm: float, number: int) -> Tool:
    return replace(DRILL, kind=kind, diameter_mm=diameter_mm, number=number, max_depth_mm=60.0, length_mm=80.0)


def with_tools(*more: Tool) -> Machine:
    """The demo's lathe with its own drills away and these in their place."""
    return replace(LATHE, tools=(*(t for t in LATHE.tools if t.kind != "drill"), *more))


@pytest.mark.parametrize("diameter_mm", [1.2, 3.0, 8.0])
def test_the_drill_that_is_named_as_the_nearest_yes_makes_the_bore(diameter_mm: float) -> None:
    got = ask(bored(diameter_mm), 22.0, with_tools())
    no = next(no for no in got.undone if no.nearest is not None)
    given = dict(no.nearest.given)  # type: ignore[union-attr]
    size_mm, deep_mm = given["diameter_mm"], given["depth_mm"]
    assert isinstance(size_mm, float)
    assert isinstance(deep_mm, float)
    bought = replace(tool("drill", size_mm, 91), max_depth_mm=deep_mm + 1.0)
    assert not ask(bored(diameter_mm), 22.0, with_tools(bought)).undone


def test_a_reamer_makes_what_no_bar_goes_into_and_only_after_a_drill_of_its_own() -> None:
    reamer, right, wrong = tool("reamer", 8.0, 92), tool("drill", 7.8, 91), tool("drill", 6.0, 91)
    got = ask(bored(8.0), 22.0, with_tools(right, reamer))
    assert not got.undone
    assert any(92 in dict(step.tool_s) for step in got.steps)
    assert ask(bored(8.0), 22.0, with_tools(wrong, reamer)).undone


def test_a_reamer_too_short_or_of_another_size_is_not_taken() -> None:
    drill = tool("drill", 7.8, 91)
    for reamer in (tool("reamer", 8.1, 92), replace(tool("reamer", 8.0, 92), max_depth_mm=10.0)):
        assert ask(bored(8.0), 22.0, with_tools(drill, reamer)).undone
