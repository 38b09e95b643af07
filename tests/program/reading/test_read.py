"""What a program does, against a plain reader written from the words' definitions alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run
from tests.oracles.slow_program import SlowProgram
from tests.program.programs import programs

OFFSETS = {54: (-300.0, -200.0, -400.0), 55: (-100.0, -50.0, -350.0)}
DIALECTS = {
    "mill": Dialect(offsets_mm={f"G{n}": place for n, place in OFFSETS.items()}, peck_clear_mm=0.5),
    "lathe": Dialect(
        kind="lathe",
        x_is_diameter=True,
        offsets_mm={f"G{n}": place for n, place in OFFSETS.items()},
        peck_clear_mm=0.5,
    ),
}


def done(text: str, **dialect: object) -> Run:
    return read(text.encode(), Dialect(**dialect))  # type: ignore[arg-type]


def odd(run: Run) -> list[tuple[str, int | None]]:
    return [(one.kind, one.line) for one in run.odds]


def same(run: Run, slow: SlowProgram) -> None:
    moves = run.moves
    assert moves.line.tolist() == [m["line"] for m in slow.moves]
    assert moves.motion.tolist() == [m["motion"] for m in slow.moves]
    assert moves.tool.tolist() == [m["tool"] for m in slow.moves]
    assert moves.cycle.tolist() == [m["cycle"] for m in slow.moves]
    for column, name in (
        (moves.start_mm, "start"), (moves.end_mm, "end"), (moves.length_mm, "length"), (moves.feed_mm_min, "feed"),
        (moves.rpm, "rpm"), (moves.offset_mm, "offset"),
    ):  # fmt: skip
        wanted = np.array([m[name] for m in slow.moves], np.float64).reshape(column.shape)
        np.testing.assert_allclose(column, wanted, rtol=1e-9, atol=1e-7, err_msg=name)
    for row, move in enumerate(slow.moves):
        if move["centre"] is not None:
            np.testing.assert_allclose(moves.centre_mm[row], np.array(move["centre"]), rtol=1e-6, atol=1e-6)
    told = [(e.kind.name, e.line, e.before, pytest.approx(e.value)) for e in run.events]
    assert told == slow.events
    wanted_odds = sorted({(kind, line) for kind, line in slow.odds}, key=str)
    assert sorted({(o.kind, o.line) for o in run.odds}, key=str) == wanted_odds
    assert run.ended == slow.ended


@given(text=programs())
@settings(max_examples=40, deadline=None)
def test_a_mill_does_what_the_plain_reader_does(text: str) -> None:
    slow = SlowProgram(OFFSETS, diameter=False, peck_clear=0.5)
    slow.run(text)
    same(read(text.encode(), DIALECTS["mill"]), slow)


@given(text=programs())
@settings(max_examples=30, deadline=None)
def test_a_lathe_does_what_the_plain_reader_does(text: str) -> None:
    slow = SlowProgram(OFFSETS, diameter=True, peck_clear=0.5)
    slow.run(text)
    same(read(text.encode(), DIALECTS["lathe"]), slow)


@given(text=programs(more=True))
@settings(max_examples=40, deadline=None)
def test_the_compiled_reader_and_the_careful_one_agree(text: str) -> None:
    for known in DIALECTS.values():
        dialect = replace(known, tool_length_mm={1: 80.0})
        quick, careful = read(text.encode(), dialect), read(text.encode(), dialect, quickly=False)
        assert quick.odds == careful.odds
        assert quick.events == careful.events
        assert (quick.ended, quick.unit, quick.lines) == (careful.ended, careful.unit, careful.lines)
        for name in type(quick.moves).__slots__:
            np.testing.assert_allclose(
                getattr(quick.moves, name), getattr(careful.moves, name), rtol=1e-11, atol=1e-9, err_msg=name
            )
