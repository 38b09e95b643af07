"""Calls, returns, repeats and the end of a program."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis.strategies import integers

from steadyrest.program.reading.dialect import Dialect, Limits
from steadyrest.program.reading.read import read
from steadyrest.program.run import EventKind, Run


def run(program: str, **dialect: object) -> Run:
    return read(program.encode(), Dialect(**dialect))  # type: ignore[arg-type]


def kinds(done: Run) -> list[tuple[str, int | None]]:
    return [(odd.kind, odd.line) for odd in done.odds]


@given(times=integers(0, 60))
def test_a_called_program_runs_as_often_as_l_says(times: int) -> None:
    done = run(f"G21 G91\nM98 P100 L{times}\nM30\nO100\nG0 X1\nM99\n")
    assert len(done.moves) == times
    assert done.ended


def test_the_count_may_stand_in_the_high_digits_of_p() -> None:
    """Eight digits, four of count and four of program: common practice, no source."""
    for word in ("P30100", "P0030100", "P100 L3"):
        assert len(run(f"G21 G91\nM98 {word}\nM30\nO0100\nG0 X1\nM99\n").moves) == 3
    # A program that really has five digits is meant by them.
    assert len(run("G21 G91\nM98 P30100\nM30\nO30100\nG0 X1\nM99\nO100\nG0 Y1\nM99\n").moves) == 1


def test_modes_last_beyond_a_call_and_lines_are_the_files_own() -> None:
    done = run("%\nO1\nG21 G90 G0 X1\n(a comment)\n\nM98 P2\nX5\nM30\nO2\nG91\nM99\n%")
    assert done.moves.line.tolist() == [3, 7]
    assert done.moves.end_mm[-1, 0] == 6.0
    assert done.lines == 12


def test_calls_nest() -> None:
    done = run("G21 G91\nM98 P2 L2\nM30\nO2\nM98 P3 L3\nM99\nO3\nG0 X1\nM99\n")
    assert len(done.moves) == 6


def test_a_return_may_name_the_line_to_go_on_with() -> None:
    done = run("G21 G91\nM98 P2\nG0 X100\nN50 G0 X1\nM30\nO2\nM99 P50\n")
    assert done.moves.line.tolist() == [4]


def test_a_program_neither_here_nor_in_the_library_is_told() -> None:
    program = "G21\nM98 P9011\nG65 P9012 A1\nM30\n"
    assert kinds(run(program)) == [("subprogram", 2), ("subprogram", 3)]
    done = run(program, library=(9011, 9012))
    assert not done.odds
    assert [(event.kind, event.value) for event in done.events[:2]] == [(EventKind.CALL, 9011), (EventKind.CALL, 9012)]


@pytest.mark.parametrize(
    ("words", "value"), [("I9.98 K10.02", 1.0), ("I9.98 K10.02 D5", 1.0), ("", 0.0), ("I9.98", 0.0), ("D5", 0.0)]
)
def test_a_hold_point_judges_only_with_both_limits(words: str, value: float) -> None:
    done = run(f"G21\nG65 P9011 {words}\nM30\n", library=(9011,), hold_point_calls=(9011,))
    points = [event for event in done.events if event.kind is EventKind.HOLD_POINT]
    assert [(event.line, event.value) for event in points] == [(2, value)]
    assert not done.odds


def test_the_letters_of_a_call_are_the_called_programs_alone() -> None:
    done = run("G21 G90 G1 X1 F100\nG65 P9 X50 F900 S5 T8\nG1 X2\nM30\n", library=(9,))
    assert done.moves.end_mm[-1, 0] == 2.0
    assert done.moves.feed_mm_min.tolist() == [100.0, 100.0]
    assert not [event for event in done.events if event.kind is EventKind.TOOL_CHANGE]


@pytest.mark.parametrize("text", ["G21 G0 X1\n", "%\nG21 G0 X1\n%\n", "G21 G0 X1\nO2\nM99\n", "G21 G0 X1\n%\nM30\n"])
def test_a_text_that_stops_before_its_end_word_is_told(text: str) -> None:
    done = run(text)
    assert [odd.kind for odd in done.odds] == ["end"]
    assert not done.ended


@pytest.mark.parametrize("end", ["M30", "M2", "M02", "G0 X1 M30", "M30\n%\nG0 X5"])
def test_nothing_runs_after_the_end(end: str) -> None:
    done = run(f"%\nG21 G0 X1\n{end}\nG0 X99\n")
    assert done.ended
    assert not done.odds
    assert done.events[-1].kind is EventKind.END
    assert len(done.moves) == 1


def test_a_main_program_repeats_with_a_bar_feed_as_often_as_asked() -> None:
    program = "G21 G91 G0 X1\nM70\nM99\n"
    done = run(program, bar_word="M70", main_passes=4)
    assert len(done.moves) == 4
    assert [event.value for event in done.events if event.kind is EventKind.BAR] == [1.0, 2.0, 3.0, 4.0]
    assert done.ended
    assert not done.odds


def test_a_million_calls_within_calls_are_given_up_quickly() -> None:
    body = "".join(f"O{n}\nM98 P{n + 1}\nM99\n" for n in range(1, 3000))
    done = read(f"G21\nM98 P1\nM30\n{body}".encode(), Dialect(), limits=Limits(calls_deep=16))
    assert [odd.kind for odd in done.odds] == ["loop"]
    assert not done.ended
