"""What changed between two programs, in moves: planted edits are told, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.difference import difference, matched, rising, summary
from steadyrest.wording.say import say
from tests.program.hand_runs import run_of, turned_parts

LAW = settings(deadline=None)

STEPS = [
    ("speed", 800.0), ("coolant", 1.0), ("tool", 1), ("rate", 200.0), ("rapid", 0, 0, 5), ("feed", 0, 0, -5),
    ("feed", 40, 0, -5), ("feed", 40, 30, -5), ("feed", 0, 30, -5), ("feed", 0, 0, -5), ("rapid", 0, 0, 50),
    ("tool", 2), ("rate", 90.0), ("rapid", 10, 10, 5), ("feed", 10, 10, -12), ("rapid", 10, 10, 50),
]  # fmt: skip
OLD = run_of(STEPS)


def told(steps) -> list[tuple[str, int, int]]:
    return [(one.kind, one.tool, one.count) for one in difference(OLD, run_of(steps))]


def test_the_same_moves_make_no_difference_however_the_text_is_laid_out() -> None:
    spaced = [STEPS[0], ("rate", 100.0), *STEPS[1:]]  # other line numbers, a word that changes nothing
    assert difference(OLD, run_of(spaced)) == ()
    assert summary(()).key == "difference.none"
    assert difference(OLD, run_of(STEPS, offset=(100.0, 20.0, -300.0))) == ()  # another place on the table


def test_a_feed_a_speed_and_a_tool_are_told_as_such() -> None:
    feed = [("rate", 260.0) if step == ("rate", 200.0) else step for step in STEPS]
    assert told(feed) == [("feed", 1, 5)]
    speed = [("speed", 900.0) if step == ("speed", 800.0) else step for step in STEPS]
    assert {kind for kind, _, _ in told(speed)} == {"speed"}
    tool = [("tool", 5) if step == ("tool", 2) else step for step in STEPS]
    assert told(tool) == [("tool", 5, 3)]


def test_a_move_added_and_a_move_gone_are_told_with_their_lines() -> None:
    longer = [*STEPS[:8], ("feed", 20, 30, -5), *STEPS[8:]]
    kinds = told(longer)
    assert ("added", 1, 2) in kinds
    assert ("gone", 1, 1) in kinds
    (added,) = [one for one in difference(OLD, run_of(longer)) if one.kind == "added"]
    assert added.lines == (9, 10)


def test_a_pocket_cut_deeper_is_one_sentence_and_not_a_dozen() -> None:
    deeper = [(*s[:3], s[3] - 0.2) if s[0] == "feed" and s[3] == -5 else s for s in STEPS]
    found = difference(OLD, run_of(deeper))
    (one,) = [one for one in found if one.kind == "shifted"]
    assert dict(one.said.given)["z_mm"] == pytest.approx(-0.2)
    assert "shifted" in say(one.said)


def test_a_stop_taken_out_and_a_check_put_in_are_told() -> None:
    old = run_of([*STEPS, ("stop", 0.0)])
    new = run_of([*STEPS, ("check", 1.0)])
    assert [one.said.key for one in difference(old, new)] == ["difference.stops", "difference.checks"]


def test_a_repeated_part_is_matched_repeat_by_repeat() -> None:
    old = turned_parts(8)
    moves = old.moves
    slower = replace(
        old, moves=replace(moves, feed_mm_min=np.where(moves.tool == 2, moves.feed_mm_min * 0.5, moves.feed_mm_min))
    )
    (one,) = difference(old, slower)
    assert (one.kind, one.tool, one.count) == ("feed", 2, 8)
    fewer = difference(old, turned_parts(7))
    assert {one.kind for one in fewer} <= {"gone", "event"}
    assert sum(one.count for one in fewer if one.kind == "gone") == len(moves) // 8


@LAW
@given(
    a=st.lists(st.integers(0, 8), max_size=40).map(lambda v: np.array(v, dtype=np.int64)),
    b=st.lists(st.integers(0, 8), max_size=40).map(lambda v: np.array(v, dtype=np.int64)),
)
def test_matches_are_alike_and_in_order_on_both_sides(a: np.ndarray, b: np.ndarray) -> None:
    pairs = matched(a, b)
    assert (a[pairs[:, 0]] == b[pairs[:, 1]]).all()
    assert (np.diff(pairs, axis=0) > 0).all()
    assert len(matched(a, a)) == len(a)


@LAW
@given(a=st.lists(st.integers(0, 1000), unique=True, min_size=1, max_size=60), data=st.data())
def test_what_was_only_taken_out_or_put_in_leaves_all_the_rest_matched(a: list[int], data: st.DataObject) -> None:
    keep = data.draw(st.lists(st.booleans(), min_size=len(a), max_size=len(a)))
    b = [value for value, kept in zip(a, keep, strict=True) if kept]
    assert len(matched(np.array(a, dtype=np.int64), np.array(b, dtype=np.int64))) == len(b)


@LAW
@given(values=st.lists(st.integers(0, 60), unique=True, max_size=14))
def test_the_rising_row_is_the_longest(values: list[int]) -> None:
    told = rising(np.array(values, dtype=np.int64))
    picked = [values[k] for k in told]
    assert picked == sorted(picked)
    best = [1] * len(values)
    for k in range(len(values)):
        best[k] = 1 + max((best[j] for j in range(k) if values[j] < values[k]), default=0)
    assert len(picked) == max(best, default=0)
