"""A flat with many rims is read without the kernel's own mending of it; what is read must be the same."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.files import step
from steadyrest.part.solid.graph import MANY_BOUNDS
from steadyrest.part.solid.kernel.reading import read_body
from steadyrest.part.solid.kernel.sound_shape import unmended
from tests.part.solid import made


def plate(holes: int) -> bytes:
    at = [(8.0 + 12 * (k % 8), 8.0 + 12 * (k // 8)) for k in range(holes)]
    high = 12 * math.ceil(holes / 8) + 4
    tools = [made.cylinder(5 + k % 3, -1 if k % 2 else 4, 11, at=place) for k, place in enumerate(at)]
    return made.step(made.cut(made.box((0, 0, 0), (100, high, 10)), *tools))


def body(data: bytes, *, many_bounds: bool):
    found = read_body(data, body=None, many_bounds=many_bounds, progress=lambda _w, _s: None, stop=lambda: False)
    assert found is not None
    return found


def test_a_plate_reads_the_same_with_and_without_the_kernels_mending() -> None:
    data = plate(48)
    quick, slow = body(data, many_bounds=True), body(data, many_bounds=False)
    assert unmended(data) is not None
    assert quick.volume_mm3 == pytest.approx(slow.volume_mm3, rel=1e-9)
    assert sorted((f.surface.kind, round(f.surface.radius_mm, 6), round(f.area_mm2, 4)) for f in quick.faces) == sorted(
        (f.surface.kind, round(f.surface.radius_mm, 6), round(f.area_mm2, 4)) for f in slow.faces
    )
    assert sorted((e.kind, round(e.length_mm, 4)) for e in quick.edges) == sorted(
        (e.kind, round(e.length_mm, 4)) for e in slow.edges
    )
    assert not quick.mended


def test_the_text_says_how_many_rims_a_face_has() -> None:
    # 46 holes in the top of a plate are 47 rims: its own and theirs.
    assert step.checked_text(plate(46), "plate.step").most_bounds == 47 > MANY_BOUNDS
    assert step.checked_text(made.step(made.box((0, 0, 0), (1, 2, 3))), "box.step").most_bounds == 1


def test_open_surfaces_are_no_solid_either_way() -> None:
    data = made.step(made.faces_only(made.box((0, 0, 0), (10, 20, 30))))
    assert unmended(data) is None


WORDS = st.sampled_from(
    ["#1=A(#2,3.)", "#2=(B(1)C('x'))", "#3=D(*)", "\n #4 = E_F ( $ )\n", "#5=G", "H(1)", "#6=I((1)", "#7=J)1(", "", " ",
     "ENDSEC", "DATA", "DATA('a')", "#8=!K(.T.)"]
)  # fmt: skip


@given(st.lists(WORDS, max_size=8))
def test_the_quick_look_at_statements_never_passes_what_the_slow_one_refuses(words: list[str]) -> None:
    body_text = ("HEADER;ENDSEC;DATA;" + "".join(word + ";" for word in words)).encode()
    start = body_text.index(b"DATA;") + 5
    quick = step.all_defined(body_text, start)
    if quick is not None:
        assert quick == step.defined_one_by_one(body_text, start, "x")
