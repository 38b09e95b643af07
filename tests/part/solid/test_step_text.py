"""Hostile STEP text ends in one line, before the kernel sees it."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.files.step import checked_text, is_step
from steadyrest.part.solid.graph import solid_graph
from steadyrest.trouble import BadInput
from tests.corpus.step_files import HEAD, TAIL, hostile
from tests.part.solid import made

SOUND = made.step(made.stepped_shaft())
HOSTILE = hostile(SOUND)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_ends_in_one_line(name: str) -> None:
    with pytest.raises(BadInput) as trouble:
        solid_graph(HOSTILE[name], "bad.step", progress=lambda _w, _s: None, stop=lambda: False)
    line = trouble.value.line()
    assert line.startswith("bad.step")
    assert "\n" not in line


def test_a_sound_file_passes_with_its_faces_counted() -> None:
    text = checked_text(made.step(made.cylinder(20, 0, 50)), "x")
    assert (text.faces, text.units, text.signed) == (3, ("mm",), False)


def test_the_line_of_a_fault_is_the_files_own() -> None:
    text = HEAD + b"/* two\nlines */\n#1=CARTESIAN_POINT('',(0.,1.E300,0.));\n" + TAIL
    with pytest.raises(BadInput, match=r"x, line 10:"):
        checked_text(text, "x")


def test_brackets_and_semicolons_in_strings_and_comments_are_words() -> None:
    text = HEAD + b"/* (((;;; #99 */#1=PRODUCT('((((( ; #77 ''quoted''',$);\n" + TAIL
    assert checked_text(text, "x").faces == 0


@settings(deadline=None, max_examples=150)
@given(data=st.binary(max_size=400) | st.text(max_size=200).map(lambda t: HEAD + t.encode() + TAIL))
def test_any_bytes_pass_or_end_in_one_line(data: bytes) -> None:
    is_step(data)
    with suppress(BadInput):
        assert checked_text(data, "x").faces >= 0
