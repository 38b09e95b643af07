"""The picture of a flat part: valid, the same every time, every feature told, nothing beyond the paper."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.part.flat.outline_dxf import outline_dxf
from tests.part.flat.tags import arc, block, circle, drawing, insert, line, polyline, read, rectangle

ENTITIES = (
    rectangle(0, 0, 200, 120)
    + circle(40, 40, 15)
    + "".join(circle(20 + 12 * k, 100, 2) for k in range(12))
    + polyline([(100, 40, 0), (150, 40, 1), (150, 52, 0), (100, 52, 1)])
    + arc(160, 90, 10, 200, 340)
    + line(120, 0, 120, 120, "bend")
)
ROUND = drawing(ENTITIES)
DATA = drawing(
    ENTITIES + insert("hole", 170, 20, (41, 2.0), (42, 1.0)),
    blocks=block("hole", circle(0, 0, 4)),
)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_picture_is_valid_and_the_same_every_time(unit: str, *, dark: bool) -> None:
    part = read(DATA)
    svg = part_svg(part, unit=unit, dark=dark)
    assert svg == part_svg(part, unit=unit, dark=dark)
    ElementTree.fromstring(svg)
    assert "style=" not in svg
    assert "long dashes: bend lines" in svg
    assert "thickness not told" in svg


@pytest.mark.parametrize("width", [95.0, 180.0])
def test_outlines_stay_on_the_paper(width: float) -> None:
    svg = part_svg(read(DATA), width_mm=width)
    high = float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)[1])  # type: ignore[index]
    for path in re.findall(r'<path d="(M [^"]+)"', svg):
        places = re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", path)
        assert all(-0.01 <= float(x) <= width + 0.01 and -0.01 <= float(y) <= high for x, y in places)


def test_what_is_handed_over_reads_back_the_same() -> None:
    part = read(ROUND)
    again = read(outline_dxf(part))
    assert outline_dxf(part) == outline_dxf(read(ROUND))
    assert part.flat is not None
    assert again.flat is not None
    assert again.flat.area.value == pytest.approx(part.flat.area.value, rel=1e-9)
    assert again.flat.cut_length.value == pytest.approx(part.flat.cut_length.value, rel=1e-9)
    assert [(f.id, f.kind) for f in again.features] == [(f.id, f.kind) for f in part.features]
    assert [m.role for m in again.flat.markings] == ["bend"]
