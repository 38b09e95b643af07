"""How thick it is: said in any way a shop says it, read from the file's name, asked for else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.flat.thickness import thickness_in_name, thickness_mm, with_thickness
from steadyrest.trouble import BadInput
from tests.part.flat.tags import drawing, read, rectangle


@pytest.mark.parametrize(
    ("text", "mm"),
    [("6", 6.0), ("6 mm", 6.0), ("1/4 in", 6.35), ("10 gauge steel", 3.41630), ("10 ga aluminium", 2.58826),
     ("0.8mm", 0.8)],
)  # fmt: skip
def test_a_thickness_is_a_length_or_a_gauge_of_a_metal(text: str, mm: float) -> None:
    assert thickness_mm(text) == pytest.approx(mm, abs=1e-5)


@pytest.mark.parametrize("text", ["", "thick", "10 gauge", "99 gauge", "-3", "0", "1000", "nan"])
def test_what_is_no_thickness_is_one_line(text: str) -> None:
    with pytest.raises(BadInput) as bad:
        thickness_mm(text)
    assert "\n" not in str(bad.value)
    assert bad.value.where == "--thickness"


@given(text=st.text(max_size=20))
def test_any_text_is_a_thickness_or_a_clear_refusal(text: str) -> None:
    try:
        found = thickness_mm(text)
    except BadInput:
        return
    assert 0.1 <= found <= 400.0


@pytest.mark.parametrize(
    ("name", "mm"),
    [("bracket_t6.dxf", 6.0), ("plate-8mm.dxf", 8.0), ("lid t=1,5.dxf", 1.5), ("PL10 base.dxf", 10.0),
     ("part4.dxf", None), ("two_plates.dxf", None), ("t6 and 8mm.dxf", None), ("M8 bracket.dxf", None)],
)  # fmt: skip
def test_a_files_name_may_tell_it(name: str, mm: float | None) -> None:
    assert thickness_in_name(name) == mm


def test_a_plate_has_its_box_and_volume_and_what_only_the_name_says_is_asked() -> None:
    part = read(drawing(rectangle(0, 0, 100, 50)))
    plate = with_thickness(part, "4")
    assert plate.size_mm[2] == 4.0
    assert plate.volume_mm3 == pytest.approx(100 * 50 * 4)
    assert not [doubt for doubt in plate.doubts if doubt.ask.key == "flat.ask_thickness"]
    with pytest.raises(BadInput, match="thick"):
        with_thickness(part, "")
