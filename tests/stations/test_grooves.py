"""Grooves, undercuts, parting off: edge against width, blade against depth, over all the tools there are."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.shop.figure import because
from steadyrest.shop.floor import Machine, Tool
from steadyrest.shop.part import Feature, Part, Stretch
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


def ringed(floor: float = 29.0, at: tuple[float, float] = (16.0, 19.0)) -> Part:
    """A bore of 25 with a groove for a ring in it."""
    sizes = (size("diameter_mm", floor), size("width_mm", at[1] - at[0]))
    inside = Feature("T1", "groove", sizes, (0, 0, 1), (0, 0, sum(at) / 2), at, inside=True, on="B1")
    return turned([(50.0, 50.0, None)], bores=((25.0, 0.0, 50.0),), others=(inside,))


def with_bar(**bar: float) -> Machine:
    plain = {"diameter_mm": 12.0, "length_mm": 60.0, "width_mm": 2.0, "max_depth_mm": 3.0}
    sizes = plain | bar
    tool = replace(blade(31, "grooving", sizes["width_mm"], sizes["max_depth_mm"]), made_of="carbide")
    tool = replace(tool, diameter_mm=sizes["diameter_mm"], length_mm=sizes["length_mm"])
    there = lathe()
    return replace(there, tools=(*there.tools, tool))


def test_a_groove_in_a_bore_needs_a_tool_on_a_bar_and_says_which() -> None:
    refused = no(asked(ringed(), 55.0, lathe()))
    assert [reason.key for reason in refused.reasons] == ["turn.no_groove_bar"]
    assert refused.nearest is not None
    assert refused.nearest.key == "turn.groove_bar"


def test_a_groove_in_a_bore_is_cut_where_the_bore_is() -> None:
    got = asked(ringed(), 55.0, with_bar())
    makers = [step for step in got.steps if "T1" in step.makes]
    assert len(makers) == 1
    assert "B1" in makers[0].makes
    assert "T31 grooving" in makers[0].tools


def test_a_groove_is_not_cut_in_a_bore_that_is_not_made() -> None:
    long = turned([(40.0, 140.0, None), (50.0, 50.0, None)], bores=((25.0, 0.0, 190.0),), others=ringed().features[-1:])
    refused = {name: no for no in asked(long, 55.0, with_bar()).undone for name in no.features}
    assert {"B1", "T1"} <= set(refused)
    assert [reason.key for reason in refused["T1"].reasons] == ["turn.groove_no_bore"]


def test_a_groove_that_the_profile_shows_is_cut_like_one_that_it_does_not() -> None:
    part = ringed()
    assert part.profile is not None
    inside = (
        Stretch(0.0, 16.0, 25.0, 25.0, "B1"),
        Stretch(16.0, 19.0, 29.0, 29.0, "T1"),
        Stretch(19.0, 50.0, 25.0, 25.0, "B1"),
    )
    shown = replace(part, profile=replace(part.profile, inside=inside))
    got = asked(shown, 55.0, with_bar())
    assert {"B1", "T1"} <= set(got.made)
    assert not got.undone


@pytest.mark.parametrize(
    ("bar", "key"),
    [
        ({"diameter_mm": 23.5}, "turn.bar_thick"), ({"length_mm": 10.0}, "turn.bar_short"),
        ({"max_depth_mm": 1.0}, "turn.groove_deep"), ({"width_mm": 4.0}, "turn.groove_narrow"),
        ({"diameter_mm": 3.0, "length_mm": 95.0}, "turn.bar_bends"),
    ],
)  # fmt: skip
def test_what_a_grooving_bar_lacks_is_named(bar: dict[str, float], key: str) -> None:
    assert key in {reason.key for reason in no(asked(ringed(), 55.0, with_bar(**bar))).reasons}


def test_the_narrowest_blade_that_reaches_parts_off() -> None:
    tools = (blade(1, "part-off", 2.0, 10.0), blade(2, "part-off", 3.0, 26.0), blade(3, "part-off", 4.0, 40.0))
    assert [getattr(part_off_tool(tools, bar), "number", None) for bar in (18.0, 50.0, 70.0, 90.0)] == [1, 2, 3, None]
