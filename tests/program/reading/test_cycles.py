"""Canned cycles hole by hole: sequences of NISTIR 6556 (from memory) and of the contract's G81 to G85."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, sampled_from

from steadyrest.program.reading.cycles import Hole, steps
from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.run import EventKind, Motion, Run


def run(program: str, **dialect: object) -> Run:
    return read(program.encode(), Dialect(**dialect))  # type: ignore[arg-type]


def heights(done: Run, axis: int = 2) -> list[tuple[int, float]]:
    return [(int(motion), float(end[axis])) for motion, end in zip(done.moves.motion, done.moves.end_mm, strict=True)]


R, F = int(Motion.RAPID), int(Motion.LINE)
HEAD = "G21 G90 F100\nG0 X0 Y0 Z20\n"


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("G98 G81 Z-5 R2", [(R, 2), (F, -5), (R, 20)]),
        ("G99 G81 Z-5 R2", [(R, 2), (F, -5), (R, 2)]),
        ("G98 G82 Z-5 R2 P500", [(R, 2), (F, -5), (R, 20)]),
        ("G99 G85 Z-5 R2", [(R, 2), (F, -5), (F, 2)]),
        ("G98 G85 Z-5 R2", [(R, 2), (F, -5), (F, 2), (R, 20)]),
        ("G99 G83 Z-5 R2 Q3", [(R, 2), (F, -1), (R, 2), (R, -0.5), (F, -4), (R, 2), (R, -3.5), (F, -5), (R, 2)]),
        ("G98 G83 Z-4 R2 Q3", [(R, 2), (F, -1), (R, 2), (R, -0.5), (F, -4), (R, 20)]),
        ("G99 G73 Z-5 R2 Q4", [(R, 2), (F, -2), (R, -1.8), (F, -5), (R, 2)]),
        ("G99 G84 Z-5 R2", [(R, 2), (F, -5), (F, 2)]),
        ("G99 G86 Z-5 R2 P500", [(R, 2), (F, -5), (R, 2)]),
        ("G99 G89 Z-5 R2 P500", [(R, 2), (F, -5), (F, 2)]),
    ],
)
def test_a_hole_goes_as_its_cycle_says(line: str, wanted: list[tuple[int, float]]) -> None:
    done = run(f"{HEAD}{line}\nG80\nM30\n", peck_clear_mm=0.5, chip_break_mm=0.2)
    assert heights(done)[1:] == [(way, pytest.approx(z)) for way, z in wanted]
    assert done.moves.cycle.tolist() == [False] + [True] * len(wanted)
    assert not done.odds


@pytest.mark.parametrize(("word", "dwells"), [("G81", 0), ("G82", 1), ("G83", 0), ("G85", 0), ("G86", 1), ("G89", 1)])
def test_only_cycles_with_a_dwell_dwell(word: str, dwells: int) -> None:
    done = run(f"{HEAD}G99 {word} X1 Z-5 R2 P500 Q9\nM30\n")
    found = [(event.before, event.value) for event in done.events if event.kind is EventKind.DWELL]
    assert found == [(4, 0.5)] * dwells


def test_holes_follow_with_every_line_that_names_an_axis_until_the_cycle_is_off() -> None:
    done = run(f"{HEAD}G98 G81 X5 Z-5 R2\nX10\nF50\nY7\nG80\nX0\nM30\n")
    assert done.moves.line.tolist() == [2, 3, 3, 3, 3, 4, 4, 4, 4, 6, 6, 6, 6, 8]
    assert done.moves.motion[-1] == Motion.RAPID
    assert done.moves.feed_mm_min[11] == 50.0


def test_any_motion_word_ends_a_cycle() -> None:
    done = run(f"{HEAD}G99 G81 X5 Z-5 R2\nG1 X8\nX9\nM30\n")
    assert done.moves.motion[-2:].tolist() == [F, F]
    assert done.moves.end_mm[-1].tolist() == [9.0, 0.0, 2.0]


def test_the_first_level_is_where_the_cycles_began_even_between_returns_to_r() -> None:
    done = run(f"{HEAD}G99 G81 X5 Z-5 R2\nG98 X10\nM30\n")
    assert done.moves.end_mm[-1, 2] == 20.0


def test_a_hole_never_goes_sideways_below_r() -> None:
    done = run("G21 G90 F100\nG0 Z1\nG81 X5 Z-5 R2\nM30\n")
    assert heights(done)[1:] == [(R, 2.0), (R, 2.0), (F, -5.0), (R, 2.0)]


def test_steps_by_l_go_on_from_hole_to_hole() -> None:
    """NISTIR 6556, its example: G91 G81 X4 Y5 Z-0.6 R1.8 L3 from (1, 2, 3) drills at (5,7), (9,12), (13,17) to 4.2."""
    done = run("G21 G90 F10\nG0 X1 Y2 Z3\nG91 G81 G98 X4 Y5 Z-0.6 R1.8 L3\nM30\n")
    cuts = done.moves.end_mm[done.moves.motion == Motion.LINE]
    np.testing.assert_allclose(cuts, [[5, 7, 4.2], [9, 12, 4.2], [13, 17, 4.2]])


def test_levels_once_given_stay_when_steps_become_incremental() -> None:
    """The usual row of holes: depth and R absolute in the first line, then steps (common practice, no source)."""
    done = run(f"{HEAD}G99 G81 Z-5 R2 L0\nG91 X10 L3\nM30\n")
    cuts = done.moves.motion == Motion.LINE
    assert done.moves.end_mm[cuts].tolist() == [[10, 0, -5], [20, 0, -5], [30, 0, -5]]
    assert done.moves.start_mm[cuts][:, 2].tolist() == [2.0, 2.0, 2.0]


def test_incremental_levels_count_from_the_first_level_and_from_r() -> None:
    done = run(f"{HEAD}G91 G99 G81 X5 Z-7 R-18\nX5\nX5\nM30\n")
    cuts = done.moves.motion == Motion.LINE
    assert done.moves.end_mm[cuts].tolist() == [[5, 0, -5], [10, 0, -5], [15, 0, -5]]


def test_no_hole_where_l_is_nought_but_what_it_says_is_kept() -> None:
    done = run(f"{HEAD}G99 G81 X5 Z-5 R2 L0\nX10\nM30\n")
    assert done.moves.line.tolist() == [2, 4, 4, 4, 4]


@pytest.mark.parametrize(("plane", "axis", "sideways", "deep"), [("G18", 1, "X5 Z3", "Y"), ("G19", 0, "Y5 Z3", "X")])
def test_cycles_drill_across_the_plane(plane: str, axis: int, sideways: str, deep: str) -> None:
    done = run(f"G21 G90 F100 {plane}\nG0 X20 Y20 Z20\nG99 G81 {sideways} {deep}-5 R2\nM30\n")
    assert heights(done, axis)[2:] == [(R, 2.0), (F, -5.0), (R, 2.0)]


def test_a_lathe_drills_along_z() -> None:
    done = run("G21 G90 G95 S900 M3 F.1\nG0 X0 Z5\nG99 G83 Z-10 R2 Q6\nM30\n", kind="lathe", x_is_diameter=True)
    assert done.moves.end_mm[:, 0].tolist() == [0.0] * len(done.moves)
    assert done.moves.end_mm[done.moves.motion == Motion.LINE][:, 2].tolist() == [-4.0, -10.0]


@given(
    near=floats(-20, 20), depth=floats(0.1, 60), q=floats(0.05, 80), clear=floats(0, 3), to_near=booleans(),
    does=sampled_from(["peck", "peck, break chips"]),
)  # fmt: skip
@settings(deadline=None)
def test_pecks_add_up_to_the_depth_and_none_is_deeper_than_q(
    near: float, depth: float, q: float, clear: float, to_near: bool, does: str
) -> None:
    bottom = near - depth
    back = near if to_near else near + 30
    taken = list(steps(does, Hole(near, bottom, back, q_mm=q, clear_mm=clear, break_mm=clear)))
    reached, at = near, near + 30
    for step in taken:
        if step.kind == "feed":
            assert reached - step.level <= q + 1e-9
            assert at >= reached - 1e-9  # no rapid beyond what was cut
            reached = min(reached, step.level)
        at = step.level
    assert reached == pytest.approx(bottom)
    assert at == pytest.approx(back)
    assert sum(step.kind == "feed" for step in taken) == max(1, math.ceil(depth / q - 1e-9))


@pytest.mark.parametrize("line", ["G81 X5", "G81 X5 Z-5", "G81 X5 R2", "G83 X5 Z-5 R2", "G83 X5 Z-50 R2 Q.0001"])
def test_a_cycle_that_lacks_a_word_is_told(line: str) -> None:
    assert [odd.kind for odd in run(f"{HEAD}{line}\nM30\n").odds] == ["word"]
