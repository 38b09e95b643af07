"""The cutting list's picture: all parts in it, to one scale, in order; nothing outside."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers.drawing.cut_picture import DrawnBar, cut_svg, drawn_bars
from steadyrest.stock.cutting.in_order import sawing
from tests.stock.cutting.lists import cutting_lists

SVG = "{http://www.w3.org/2000/svg}"


@st.composite
def bars(draw: st.DrawFn) -> DrawnBar:
    parts = tuple((f"P{k}", float(mm)) for k, mm in enumerate(draw(st.lists(st.integers(20, 900), max_size=8))))
    kerf, trim, rest = draw(st.integers(0, 4)), draw(st.sampled_from([0, 7])), draw(st.integers(0, 500))
    length = trim + sum(mm + kerf for _, mm in parts) + rest
    return DrawnBar("R1", float(max(length, 1)), float(trim), float(kerf), parts, float(rest), rest > 300)


@settings(max_examples=60, deadline=None)
@given(st.lists(bars(), min_size=1, max_size=5), st.sampled_from([80.0, 180.0]))
def test_every_part_is_drawn_to_one_scale_inside_the_page(drawn, width_mm):
    tree = ElementTree.fromstring(cut_svg(drawn, width_mm=width_mm))
    scale = (width_mm - 4) / max(bar.length_mm for bar in drawn)
    boxes = [[tuple(map(float, p.split(","))) for p in e.get("points").split()] for e in tree.iter(f"{SVG}polygon")]
    lengths = [mm for bar in drawn for _, mm in bar.parts]
    assert len(boxes) == len(lengths)
    for box, length in zip(boxes, lengths, strict=True):
        wide = max(x for x, _ in box) - min(x for x, _ in box)
        assert abs(wide - length * scale) < 0.3
        assert all(1.9 <= x <= width_mm - 1.9 for x, _ in box)


def test_numerals_are_the_order_of_cutting_and_the_words_say_the_same():
    bar = DrawnBar("R7", 3000.0, 7.5, 2.5, (("P1", 742.5), ("P1", 742.5), ("P2", 300.0)), 1192.5, True)
    text = cut_svg([bar])
    assert re.findall(r">(\d) · ", text) == ["1", "2", "3"]
    assert "rest, kept: 1192.5 mm" in text
    assert "R7: P1 742.5 mm, P1 742.5 mm, P2 300 mm; rest 1192.5 mm, kept." in text


def test_nothing_cut_is_no_picture_and_too_narrow_a_page_is_refused():
    assert cut_svg([]) == ""
    with pytest.raises(ValueError, match="width_mm"):
        cut_svg([], width_mm=20.0)


@settings(max_examples=20, deadline=None)
@given(cutting_lists(rows=3, count=3, pieces=3))
def test_a_plan_is_drawn_with_each_length_used_up(wanted):
    for bar in drawn_bars(wanted, sawing(wanted, lambda: 10.0)):
        used = bar.trim_mm + sum(length + bar.kerf_mm for _, length in bar.parts) + bar.rest_mm
        assert used == pytest.approx(bar.length_mm)
