"""Whatever a drawing holds: one line that says what is wrong and where, or a sound answer."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.files.dxf import SENTINEL, is_dxf
from steadyrest.shop.part import Part
from steadyrest.trouble import BadInput
from tests.part.flat.tags import arc, block, circle, drawing, insert, line, lines, polyline, read, rectangle, said, tags

CORPUS = Path(__file__).parents[2] / "corpus" / "dxf"
ANSWERS: dict[str, str] = tomllib.loads((CORPUS / "answers.toml").read_text(encoding="utf-8"))
SPLINE = tags(
    (0, "SPLINE"), (8, "0"), (70, 8), (71, 2), *((40, k) for k in (0, 0, 0, 1, 1, 1)),
    (10, 0), (20, 0), (10, 9), (20, 9), (10, 20), (20, 0),
)  # fmt: skip
SEED = drawing(
    rectangle(0, 0, 100, 60)
    + circle(20, 20, 5)
    + arc(50, 30, 8, 0, 180)
    + line(42, 30, 58, 30)
    + polyline([(70, 20, 0), (80, 20, 1), (80, 30, 0), (70, 30, 1)])
    + insert("hole", 30, 40, (41, 2.0), (42, 1.0), (50, 30))
    + lines([(85, 40), (95, 40), (95, 50), (85, 40)])
    + SPLINE,
    blocks=block("hole", circle(0, 0, 3)),
)
WORDS = (
    b"nan",
    b"inf",
    b"-1e9",
    b"1e308",
    b"1e-300",
    b"",
    b"0",
    b"-1",
    b"99999999999",
    b"INSERT",
    b"SPLINE",
    b"ENDSEC",
)


def sound(data: bytes) -> Part | None:
    """The part, which keeps its own rules; or None where one line says why not."""
    try:
        part = read(data, "mm")
    except BadInput as why:
        one_line = "\n" not in why.line() and why.where.startswith("plate.dxf")
        if not one_line:
            raise
        return None
    assert part.flat is not None
    assert part.flat.outlines
    assert part.solids == sum(not outline.inside for outline in part.flat.outlines)
    numbers = [part.flat.area.value, part.flat.cut_length.value, *part.size_mm]
    numbers += [s.estimate for f in part.features for s in f.sizes]
    assert np.all(np.isfinite(numbers))
    assert all(s.estimate > 0 for f in part.features for s in f.sizes)
    return part


@pytest.mark.parametrize("name", ANSWERS)
def test_a_hostile_drawing_gets_its_answer(name: str) -> None:
    data = (CORPUS / f"{name}.dxf").read_bytes()
    if not ANSWERS[name]:
        assert sound(data) is not None
        return
    with pytest.raises(BadInput) as trouble:
        read(data)
    assert ANSWERS[name] in trouble.value.line()


def test_every_hostile_drawing_has_its_answer() -> None:
    assert {p.stem for p in CORPUS.glob("*.dxf")} == set(ANSWERS)
    assert ANSWERS


def test_what_a_hostile_drawing_lost_is_said() -> None:
    assert "flat.lost_block" in said(read((CORPUS / "block_missing.dxf").read_bytes()), "lost")
    assert "flat.lost_degenerate" in said(read((CORPUS / "radius_zero.dxf").read_bytes()), "lost")
    assert "flat.lost_tilted" in said(read((CORPUS / "tilted.dxf").read_bytes()), "lost")


def test_a_line_shorter_than_rounding_is_lost_and_said() -> None:
    part = read(drawing(rectangle(0, 0, 100, 60) + line(10, 0, 10, 1e-300) + line(20, 0, 20 + 1e-12, 0)), "mm")
    assert "flat.lost_degenerate" in said(part, "lost")


@given(at=st.integers(0, len(SEED) - 1))
@settings(deadline=None, max_examples=60)
def test_a_drawing_cut_short_is_refused(at: int) -> None:
    # The very end may go: a line end after the end mark is no loss.
    assert sound(SEED[:at]) is None or at >= len(SEED.rstrip())


@given(flips=st.lists(st.tuples(st.integers(0, len(SEED) - 1), st.integers(0, 255)), min_size=1, max_size=6))
@settings(deadline=None, max_examples=120)
def test_flipped_bytes_never_break_it(flips: list[tuple[int, int]]) -> None:
    data = bytearray(SEED)
    for at, byte in flips:
        data[at] = byte
    sound(bytes(data))


@given(changes=st.lists(st.tuples(st.integers(0, 10_000), st.sampled_from(WORDS)), min_size=1, max_size=4))
@settings(deadline=None, max_examples=40)
def test_swapped_values_never_break_it(changes: list[tuple[int, bytes]]) -> None:
    rows = SEED.split(b"\n")
    for at, word in changes:
        rows[at % len(rows)] = word
    sound(b"\n".join(rows))


@given(first=st.integers(0, 300), many=st.integers(1, 40), times=st.integers(0, 3))
@settings(deadline=None, max_examples=60)
def test_lines_left_out_or_repeated_never_break_it(first: int, many: int, times: int) -> None:
    rows = SEED.split(b"\n")
    sound(b"\n".join(rows[:first] + rows[first : first + many] * times + rows[first + many :]))


@given(noise=st.binary(max_size=400))
@settings(deadline=None, max_examples=60)
def test_noise_after_the_mark_of_a_binary_file_is_refused(noise: bytes) -> None:
    assert is_dxf(SENTINEL + noise)
    assert sound(SENTINEL + noise) is None
