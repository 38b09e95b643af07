"""A worn seat laid flat: well-formed, numbered, and as deep as its map."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.papers.drawing.wear_contours import wear_contours
from steadyrest.shop.part import WearMap
from tests.papers import sample

SVG = "{http://www.w3.org/2000/svg}"


def worn(depth_mm: float, rows: int = 20, columns: int = 48):
    along, turn = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-np.pi, np.pi, columns), indexing="ij")
    depth = depth_mm * np.clip(1.4 - np.hypot(1.6 * along, turn / 1.5), 0, 1)
    return replace(sample.part(), wear_maps=(WearMap("F2", (42.0, 92.0), tuple(map(tuple, depth.tolist()))),))


def numbers(shapes):
    return {element.text for element in (ElementTree.fromstring(shape) for shape in shapes) if element.tag == "text"}


def test_each_step_that_is_wide_enough_carries_its_number():
    block = wear_contours(worn(0.6), unit="mm", width=180, top=0, colours=ink.LIGHT)
    assert {"4", "5"} <= numbers(block.shapes)
    shallow = wear_contours(worn(0.15), unit="mm", width=180, top=0, colours=ink.LIGHT)
    assert not {"4", "5"} & numbers(shallow.shapes)


@pytest.mark.parametrize("width", [95, 180])
@pytest.mark.parametrize("dark", [False, True])
def test_the_part_s_picture_holds_the_map_and_stays_well_formed(width, dark):
    svg = part_svg(worn(0.45), width_mm=width, dark=dark)
    root = ElementTree.fromstring(svg)
    assert any("laid flat" in (element.text or "") for element in root.iter(f"{SVG}text"))
    assert len(list(root.iter(f"{SVG}path"))) > 3


def test_a_part_without_maps_takes_no_room():
    assert wear_contours(sample.part(), unit="mm", width=180, top=7, colours=ink.LIGHT).height == 0


@settings(max_examples=30)
@given(st.data())
def test_any_map_with_any_gaps_can_be_drawn(data):
    rows, columns = data.draw(st.integers(2, 8)), data.draw(st.integers(4, 12))
    cells = st.one_of(st.none(), st.floats(-0.2, 2.0))
    depth = tuple(tuple(data.draw(cells) for _ in range(columns)) for _ in range(rows))
    part = replace(sample.part(), wear_maps=(WearMap("F2", (42.0, 92.0), depth),))
    ElementTree.fromstring(part_svg(part))
