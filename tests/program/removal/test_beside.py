"""What stands beside the work: against a slow twin that looks at many points of the way, and by hand."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis.strategies import floats, lists, tuples

from steadyrest.program.removal.beside import Thing, struck
from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.tool_shape import tool_shape
from tests.program.removal.paths import Path

QUICK = (Phase.explicit, Phase.generate)
JAW = Thing("vise", BoxBlank((-20.0, -10.0, -30.0), (20.0, 10.0, -5.0)))
POST = Thing("post", RoundBlank(20.0, (-30.0, -5.0)))
CHUCK = Thing("chuck", RoundBlank(160.0, (-100.0, -60.0), 40.0))
TOOLS = {
    1: tool_shape(1, "end mill", diameter_mm=10.0),
    2: tool_shape(2, "drill", diameter_mm=4.0, length_mm=30.0, holder_mm=40.0),
}
places = tuples(floats(-40, 40), floats(-40, 40), floats(-20, 10))


@pytest.mark.parametrize("thing", [JAW, POST])
@settings(phases=QUICK, max_examples=60, deadline=None)
@given(way=lists(places, min_size=2, max_size=5))
def test_depth_is_that_of_the_nearest_of_many_points_of_the_way(thing: Thing, way: list) -> None:
    path = Path(at=way[0])
    for place in way[1:]:
        path.feed(*place)
    told = {one.move: one.depth_mm for one in struck(path.moves(), [thing], TOOLS, machine="mill")}
    for move, (a, b) in enumerate(pairwise(way)):
        if a == b:
            continue
        line = np.array(a) + np.linspace(0, 1, 4001)[:, None] * (np.array(b) - np.array(a))
        line = line[line[:, 2] < -5.05]
        deepest = 0.0 if not len(line) else float((5.0 - away(line, thing.shape)).max())
        if deepest > 0.06 or told.get(move, 0.0) > 0.07:
            assert told.get(move, 0.0) == pytest.approx(deepest, abs=0.03)


def away(line: np.ndarray, shape: BoxBlank | RoundBlank) -> np.ndarray:
    """How far points are from a thing in the plane, below 0 inside."""
    if isinstance(shape, RoundBlank):
        return np.hypot(line[:, 0], line[:, 1]) - shape.diameter_mm / 2
    x = np.maximum(shape.min_mm[0] - line[:, 0], line[:, 0] - shape.max_mm[0])
    y = np.maximum(shape.min_mm[1] - line[:, 1], line[:, 1] - shape.max_mm[1])
    return np.where((x > 0) | (y > 0), np.hypot(np.maximum(x, 0), np.maximum(y, 0)), np.maximum(x, y))


def test_a_tool_that_passes_above_or_beside_strikes_nothing() -> None:
    over = Path(at=(-50.0, 0.0, 0.0)).rapid(x=50)
    beside = Path(at=(-50.0, 15.1, -20.0)).rapid(x=50)
    along = Path(at=(-50.0, 15.0, -20.0)).feed(x=50)
    assert all(struck(one.moves(), [JAW], TOOLS, machine="mill") == () for one in (over, beside, along))


def test_a_holder_strikes_where_its_slim_drill_does_not() -> None:
    told = struck(Path(at=(0.0, 25.0, 20.0)).tool(2).feed(z=-40).moves(), [JAW], TOOLS, machine="mill")
    assert [(one.holder, round(one.depth_mm, 6)) for one in told] == [(True, 5.0)]
    assert struck(Path(at=(0.0, 25.0, 20.0)).tool(2).feed(z=-34).moves(), [JAW], TOOLS, machine="mill") == ()


def test_things_of_the_machine_are_asked_only_with_a_tool_length_in_force() -> None:
    table = Thing("table", BoxBlank((-1000.0, -1000.0, -900.0), (1000.0, 1000.0, -420.0)), machine=True)
    path = Path(at=(0.0, 0.0, 100.0))  # work zero at -400: the tip goes to -430
    assert struck(path.feed(z=-30).moves(), [table], TOOLS, machine="mill") == ()
    held = Path(at=(0.0, 0.0, 100.0)).length_in_force(80.0)
    assert [one.move for one in struck(held.feed(z=-30).moves(), [table], TOOLS, machine="mill")] == [0]


def test_a_turning_tool_strikes_the_chuck_and_a_drill_goes_through_its_bore() -> None:
    lathe = {1: tool_shape(1, "turning", diameter_mm=0.0), 2: tool_shape(2, "drill", diameter_mm=20.0)}
    turning = Path(at=(90.0, 0.0, 5.0), offset=(0.0, 0.0, 0.0)).rapid(x=50).feed(z=-62)
    told = struck(turning.moves(), [CHUCK], lathe, machine="lathe", home_mm=(500.0, 0.0, 500.0))
    assert [(one.move, round(one.depth_mm, 6)) for one in told] == [(1, 30.0)]
    clear = Path(at=(90.0, 0.0, 5.0), offset=(0.0, 0.0, 0.0)).rapid(x=50).feed(z=-60)
    assert struck(clear.moves(), [CHUCK], lathe, machine="lathe", home_mm=(500.0, 0.0, 500.0)) == ()
    drill = Path(at=(0.0, 0.0, 5.0), offset=(0.0, 0.0, 0.0)).tool(2).feed(z=-80)
    assert struck(drill.moves(), [CHUCK], lathe, machine="lathe", home_mm=(500.0, 0.0, 500.0)) == ()
