"""A bar pulled on: parts cut alike are cut once and counted each; every part meets the blank anew."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.program.removal.blank import RoundBlank
from steadyrest.program.removal.meet import meet
from steadyrest.program.removal.pulled import meet_each
from steadyrest.program.removal.tool_shape import tool_shape
from tests.program.removal.paths import Path

BAR = RoundBlank(20.0, (-60.0, 0.0))
TOOLS = {1: tool_shape(1, "turning", diameter_mm=0.0), 2: tool_shape(2, "part-off", diameter_mm=0.0, width_mm=3.0)}
OFF = {"offset": (0.0, 0.0, 0.0)}


def part(path: Path, x: float = 8.0) -> Path:
    path.tool(1).rapid(x=30, z=2).rapid(x=x).feed(z=-20).rapid(x=30).rapid(z=2)
    return path.tool(2).rapid(x=30, z=-23).rapid(x=12).feed(x=-0.2).rapid(x=30)


def start() -> Path:
    return Path(at=(30.0, 0.0, -23.0), **OFF)


def test_so_many_parts_remove_so_many_times_as_much() -> None:
    one = meet(part(start()).moves(), BAR, TOOLS, machine="lathe")
    path = start()
    for _ in range(4):
        part(path)
    each = meet_each(path.moves(), [9, 18, 27], BAR, TOOLS, machine="lathe")
    assert np.allclose(each.removed_mm3, np.tile(one.removed_mm3, 4))
    assert sum(each.removed_mm3) == pytest.approx(4 * sum(one.removed_mm3))
    assert [(s.first, s.end) for s in each.stretches][:3] == [(0, 5), (5, 9), (9, 14)]
    assert {tool.number: tool.removed_mm3 for tool in each.tools} == pytest.approx(
        {tool.number: 4 * tool.removed_mm3 for tool in one.tools}
    )
    assert not (each.rapid_mm > 0).any()


def test_a_part_that_is_cut_otherwise_is_judged_by_itself() -> None:
    path = part(part(start()), x=6.0)
    path.rows[9 + 1]["motion"] = 0
    wrong = part(start())
    wrong.tool(1).rapid(z=-10).rapid(x=5)
    found = meet_each(wrong.moves(), [9], BAR, TOOLS, machine="lathe")
    assert np.flatnonzero(found.rapid_mm > 0).tolist() == [10]
    each = meet_each(path.moves(), [9], BAR, TOOLS, machine="lathe")
    assert each.removed_mm3[9:].sum() > each.removed_mm3[:9].sum()


def test_a_run_without_pulls_is_met_as_it_is() -> None:
    moves = part(start()).moves()
    alone, each = (f(moves) for f in (
        lambda m: meet(m, BAR, TOOLS, machine="lathe"), lambda m: meet_each(m, [], BAR, TOOLS, machine="lathe")
    ))  # fmt: skip
    assert np.array_equal(alone.removed_mm3, each.removed_mm3)
    assert alone.follows == each.follows
