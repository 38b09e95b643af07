"""Files as they come: other code pages, tape marks, rubbish, and what is far too much."""

from __future__ import annotations

import codecs

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import binary, integers, lists, sampled_from, tuples

from steadyrest.program.reading.dialect import Dialect, Limits
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run
from steadyrest.trouble import BadInput
from tests.program.programs import programs

SMALL = Limits(repeats=2_000, moves=20_000)
PROGRAM = "%\nO1 (Bohrung \xd8 5)\nG21 G90\nG0 X1 Y2\nG1 Z-1 F100\nM30\n%\n"


@pytest.mark.parametrize(
    "data",
    [
        PROGRAM.encode("latin-1"),
        PROGRAM.encode("utf-8"),
        codecs.BOM_UTF8 + PROGRAM.encode("utf-8"),
        PROGRAM.encode("utf-16"),
        codecs.BOM_UTF16_BE + PROGRAM.encode("utf-16-be"),
        PROGRAM.replace("\n", "\r\n").encode("cp1252"),
        PROGRAM.replace("\n", "\r").encode("cp1252"),
        PROGRAM.replace("\n", "\r\r\n").encode("cp1252"),
        b"\0" * 200 + PROGRAM.encode("latin-1") + b"\0" * 200,
        PROGRAM.encode("cp437", "replace").rstrip(b"\n"),
    ],
)
def test_a_program_is_the_same_in_every_code_page_and_with_every_line_end(data: bytes) -> None:
    run = read(data, Dialect())
    assert run.moves.line.tolist() == [4, 5]
    assert run.lines == 7
    assert not run.odds


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("PLATE 7, SECOND SIDE\n%\nO1\nG21 G90 G0 X1\nM30\n%\n", [4]),
        ("(G1 in a comment)\n\n%\nG21 G90 G0 X1\nM30\n", [4]),
        ("G21 G90 G0 X1\nM30\n%\n", [1]),
        ("\x11%\x13\nG21 G90 G0 X1\nM30\n%\n\x1a", [2]),
        ("G21 G90\nM98 P2\nM30\n%\n%\nO2\nG0 X1\nM99\n%", [7]),
    ],
)
def test_a_leader_is_no_program_and_a_trailer_ends_it(text: str, lines: list[int]) -> None:
    run = read(text.encode(), Dialect())
    assert run.moves.line.tolist() == lines
    assert not run.odds
    assert run.ended


def test_pieces_make_the_same_program_as_the_whole() -> None:
    data = PROGRAM.encode("latin-1")
    pieces = (data[k : k + 3] for k in range(0, len(data), 3))
    assert read(pieces, Dialect()).moves.end_mm.tolist() == read(data, Dialect()).moves.end_mm.tolist()


@pytest.mark.parametrize(
    "data",
    [
        b"", b"\n\n  \r\n", b"\0\0\0\0", b"Dear customer,\nthe parts are late.\n", bytes(range(256)) * 40,
        b"\x7fELF" + bytes(200), b"PK\x03\x04" + bytes(range(200)) * 9,
    ],
)  # fmt: skip
def test_what_is_no_program_is_refused_in_one_line(data: bytes) -> None:
    with pytest.raises(BadInput) as refused:
        read(data, Dialect(), name="night.nc")
    assert refused.value.line().startswith("night.nc: ")
    assert "\n" not in refused.value.line()


def test_a_file_beyond_the_limit_is_refused_before_it_is_all_read() -> None:
    def endless() -> object:
        while True:
            yield b"G0 X1\n" * 1000

    with pytest.raises(BadInput, match="longer than"):
        read(endless(), Dialect(), limits=Limits(text_bytes=100_000))  # type: ignore[arg-type]


def test_more_moves_than_the_limit_end_the_run_and_are_told() -> None:
    text = b"G21 G90\nG0 X0\n" + b"X1\nX2\n" * 2000 + b"M30\n"
    run = read(text, Dialect(), limits=Limits(moves=1000))
    assert len(run.moves) == 1000
    assert [odd.kind for odd in run.odds] == ["file"]
    assert not run.ended


def test_more_findings_than_the_limit_are_cut_short_and_that_is_told() -> None:
    run = read(b"G21\n" + b"M77\n" * 500 + b"M30\n", Dialect(), limits=Limits(odds=50))
    assert len(run.odds) == 51
    assert "file" in [odd.kind for odd in run.odds]


def test_work_can_be_stopped() -> None:
    with pytest.raises(InterruptedError):
        read(PROGRAM.encode(), Dialect(), stop=lambda: True)


def bounded(data: bytes) -> None:
    """Reads it to an end, or refuses it in one line; what it gives is whole."""
    try:
        run = read(data, Dialect(library=(9011,)), limits=SMALL)
    except BadInput as refused:
        said = refused.line()
    else:
        whole(run)
        said = ""
    assert "\n" not in said


def whole(run: Run) -> None:
    moves = run.moves
    assert len(moves) <= SMALL.moves
    assert all(1 <= odd.line <= run.lines for odd in run.odds if odd.line is not None)
    assert all(0 <= event.before <= len(moves) for event in run.events)
    assert np.isfinite(moves.end_mm).all()
    assert (moves.length_mm >= 0).all()
    assert (moves.line[:, None] >= 1).all()
    assert (moves.line <= run.lines).all()


@given(data=binary(max_size=300))
@settings(deadline=None)
def test_any_bytes_come_to_an_end(data: bytes) -> None:
    bounded(data)


PIECES = [
    "G21", "G0", "G1", "G2", "G3", "G28", "G53", "G81", "G83", "G87", "G80", "G41", "G42", "G40", "G43", "G92",
    "G10 L2", "G10 L20", "G65", "G65 P9011", "G31", "G33", "G93", "G95", "G96", "X", "Y1", "Z-1e5", "I2", "J-3", "K0",
    "R5", "P1", "P9", "Q.1", "L2", "L99999", "D1", "H1", "F1", "S99", "T1", "M6", "M3", "M98", "M99", "M30", "#1=#1+1",
    "#[#1]=2", "X#1", "IF[#1LT5]GOTO1", "GOTO2", "WHILE[#1LT9]DO1", "END1", "DO2", "END2", "N1", "N2", "O1", "O9", "%",
    "/", "(", ")", ";", "[", "]", "=", "A90", "B-1", "X99999999999999999999", "X.00000000000000000000001", "G" * 50,
    "#" * 40, "[" * 90,
]  # fmt: skip


@given(parts=lists(tuples(sampled_from(PIECES), sampled_from(["\n", " ", ""])), max_size=60))
@settings(deadline=None, max_examples=150)
def test_words_thrown_together_come_to_an_end(parts: list[tuple[str, str]]) -> None:
    bounded("".join(piece + gap for piece, gap in parts).encode())


@given(text=programs(), cuts=lists(tuples(integers(0, 2000), integers(0, 255)), max_size=5), end=integers(0, 2000))
@settings(deadline=None, max_examples=20)
def test_a_damaged_program_comes_to_an_end(text: str, cuts: list[tuple[int, int]], end: int) -> None:
    data = bytearray(text.encode())
    for at, byte in cuts:
        if at < len(data):
            data[at] ^= byte
    bounded(bytes(data[: max(1, min(end, len(data)))]))
    lines = text.split("\n")
    lines[len(lines) // 2 :], lines[: len(lines) // 2] = lines[: len(lines) // 2], lines[len(lines) // 2 :]
    bounded("\n".join(lines).encode())
