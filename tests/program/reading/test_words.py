"""A line taken apart: what is a word, what is not, and what does not count."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import text

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.reading.words import block_of


def words(line: str) -> list[tuple[str, float]]:
    return [(word.letter, word.number) for word in block_of(line).words]


@pytest.mark.parametrize(
    "line",
    [
        "G01 X10.5 Y-.25 F200",
        "g1x10.5y-.25f200",
        "G1X+10.500Y-0.25F200.",
        "N120 G1 X10.5 Y-.25 F200",
        "n0120g01 x 10.5\ty -.25 f200 ; to the right",
        "G1 (first) X10.5 (then) Y-.25 F200 (at last)",
        "/ G1 X10.5 Y-.25 F200",
        "/2 G1 X10.5 Y-.25 F200",
        "O100 G1 X10.5 Y-.25 F200",
    ],
)
def test_blanks_case_zeros_comments_and_line_numbers_do_not_count(line: str) -> None:
    """ISO 6983-1 and NISTIR 6556, from memory."""
    assert words(line) == [("G", 1.0), ("X", 10.5), ("Y", -0.25), ("F", 200.0)]


@pytest.mark.parametrize(
    ("line", "strange"),
    [
        ("G1 X", "X"), ("G X10", "G"), ("G1 X10 $", "$"), ("X10,R2", ",R2"), ("X1.2.3", ".3"), ("&", "&"),
        ("X#", "#"), ("#1", "#1"), ("X[1+]", "X[1+]"), ("G1 Xabc[", "X"), ("X[[[", "X[[["), ("GOTO", "GOTO"),
    ],
)  # fmt: skip
def test_what_is_no_word_is_kept_as_it_stands(line: str, strange: str) -> None:
    assert strange in block_of(line).strange


@pytest.mark.parametrize("line", ["(G187 M77)", "; G187", "( G187", "", "   ", "%", "N100", "DPRNT[X#500[34]]"])
def test_comments_prints_and_empty_lines_hold_no_words(line: str) -> None:
    block = block_of(line)
    assert not block.words
    assert not block.strange


def test_a_number_without_a_point_is_told_from_one_with() -> None:
    assert [word.point for word in block_of("X10 Y10. Z.5 R-1").words] == [False, True, True, False]


@given(line=text(max_size=400))
@settings(deadline=None)
def test_any_line_can_be_taken_apart(line: str) -> None:
    block_of(line)


UNKNOWN = ["G187", "M77", "G1.5", "G299", "E5", "V3", "G123 P2", "M250", "G12", "$", "X1.2.3", "G-1", "M6.1", "U2"]
KNOWN = [
    "G01", "G001", "G1.", "M08", "m8", "(G187)", ";M77", "G17", "G40", "G49", "G80", "G64", "G93 F1", "G94", "G98",
    "G99", "G61", "G9", "G54", "G59", "M30", "/ M8", "N999 G90", "M19", "M48", "D3", "H0", "G4 P10", "O77",
]  # fmt: skip


@pytest.mark.parametrize("line", UNKNOWN)
def test_an_unknown_word_is_told_with_its_line(line: str) -> None:
    run = read(f"G21 G90\nG0 X1\n{line}\nM30\n".encode(), Dialect())
    assert [(odd.kind, odd.line) for odd in run.odds] == [("word", 3)]


@pytest.mark.parametrize("line", KNOWN)
def test_a_known_word_is_no_finding_even_where_it_changes_nothing(line: str) -> None:
    run = read(f"G21 G90\nG0 X1\n{line}\nM30\n".encode(), Dialect())
    assert [odd for odd in run.odds if odd.kind == "word"] == []


@pytest.mark.parametrize(("inch", "metric"), [("G20", "G21"), ("G70", "G71")])
def test_unit_words_are_the_machines_own_and_the_others_are_unknown(inch: str, metric: str) -> None:
    dialect = Dialect(inch_word=inch, metric_word=metric)
    for word, unit, mm in ((inch, "in", 25.4), (metric, "mm", 1.0)):
        run = read(f"{word}\nG0 X1.\nM30\n".encode(), dialect)
        assert run.unit == unit
        assert run.moves.end_mm[0, 0] == mm
        assert not run.odds
    other = "G71" if inch == "G20" else "G21"
    run = read(f"{other}\nG0 X1.\nM30\n".encode(), dialect)
    assert [(odd.kind, odd.line) for odd in run.odds] == [("word", 1), ("units", 2)]


def test_a_machines_own_word_is_known_to_it_alone() -> None:
    program = b"G21\nG0 X1\nM29\nM70\nM30\n"
    assert [odd.line for odd in read(program, Dialect()).odds] == [3, 4]
    assert not read(program, Dialect(extra_words=("M29",), bar_word="M70")).odds


def test_the_slash_leaves_lines_out_only_with_its_switch() -> None:
    program = b"G21\n/ G0 X5\nG0 Y5\nM30\n"
    assert len(read(program, Dialect()).moves) == 2
    assert len(read(program, Dialect(block_delete=True)).moves) == 1


def test_a_number_without_a_point_counts_least_increments_where_the_machine_says_so() -> None:
    old = Dialect(least_increment_mm=0.001, least_increment_in=0.0001)
    run = read(b"G21 G90 G0 X1000 Y1.\nG1 X2000 F100\nG20 X10000\nM30\n", old)
    assert run.moves.end_mm[:, 0].tolist() == pytest.approx([1.0, 2.0, 25.4])
    assert run.moves.end_mm[0, 1] == 1.0
    assert run.moves.feed_mm_min[1] == 100.0
