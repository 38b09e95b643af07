"""Grooves, undercuts, parting off: edge against width, blade against depth, over all the tools there are."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.shop.figure import because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Feature
from steadyrest.stations.turn.clamping import part_off_tool
from steadyrest.stations.turn.grooves import groove
from tests.stations.parts import size, turned
from tests.stations.test_threading import asked, lathe, no, setting, without


def blade(number: int, kind: str, width: float, deep: float) -> Tool:
    base = next(tool for tool in lathe().tools if tool.kind == "grooving")
    return replace(base, number=number, kind=kind, width_mm=width, max_depth_mm=deep)


@settings(deadline=None, max_examples=60)
@given(width=floats(0.5, 12), depth=floats(0.2, 14))
def test_a_groove_is_cut_exactly_where_some_tool_is_narrow_and_long_enough(width: float, depth: float) -> None:
    tools = (blade(8, "grooving", 1.6, 8.0), blade(20, "grooving", 3.0, 5.0), blade(9, "part-off", 2.0, 12.0))
    way = groove(
        setting(lathe((*without("grooving", "part-off"), *tools))), from_mm=30, to_mm=30 - 2 * depth, width_mm=width
    )
    able = [tool for tool in tools if width >= tool.width_mm - 0.01 and depth <= tool.max_depth_mm]
    assert (way.tool is not None) == bool(able)
    assert way.tool is None or way.tool.number in {tool.number for tool in able}
    assert way.tool is not None or (way.cut.refused and way.nearest is not None)


def test_every_tool_says_what_it_lacks_and_the_answer_which_would_do() -> None:
    deep = Feature(
        "T1", "groove", (size("width_mm", 1.2), size("depth_mm", 9.0)), (0, 0, 1), (0, 0, 20.0), (19.4, 20.6), on="S1"
    )
    part = turned([(40.0, 40.0, None), (50.0, 50.0, None)], others=(deep,))
    refused = no(asked(part, 55.0, lathe()))
    assert {reason.key for reason in refused.reasons} == {"turn.groove_deep", "turn.groove_narrow"}
    assert refused.nearest == because("turn.groove_tool", width_mm=1.2, depth_mm=9.0)


def test_a_groove_inside_says_so() -> None:
    inside = Feature("T1", "groove", (size("width_mm", 3.0),), (0, 0, 1), (0, 0, 20.0), (18.0, 22.0), inside=True)
    part = turned([(40.0, 40.0, None), (50.0, 50.0, None)], bores=((25.0, 0.0, 90.0),), others=(inside,))
    assert [reason.key for reason in no(asked(part, 55.0, lathe())).reasons] == ["turn.groove_inside"]


def test_the_narrowest_blade_that_reaches_parts_off() -> None:
    tools = (blade(1, "part-off", 2.0, 10.0), blade(2, "part-off", 3.0, 26.0), blade(3, "part-off", 4.0, 40.0))
    assert [getattr(part_off_tool(tools, bar), "number", None) for bar in (18.0, 50.0, 70.0, 90.0)] == [1, 2, 3, None]
