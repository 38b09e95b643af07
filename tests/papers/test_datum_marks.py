"""The letters from which places are measured stand on their faces, outside of the part, and the list says how far."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.figure import because
from steadyrest.shop.part import Datum, Part
from tests.papers.test_part_picture import SVG, plate
from tests.part.nominal.parts import worn_shaft

Box = tuple[float, float, float, float]


def flat(sense: float) -> Part:
    """A plate, its datums on the upper or the lower, the right or the left, the back or the front side."""
    why = (because("datums.a"),)
    at = [(1 + sense) / 2 * edge for edge in (100.0, 60.0, 12.0)]
    datums = tuple(
        Datum(name, "face", None, tuple(at[k] if i == k else 0.0 for i in range(3)),
              tuple(sense if i == k else 0.0 for i in range(3)), why)
        for name, k in (("A", 2), ("B", 1), ("C", 0))
    )  # fmt: skip
    return replace(name_sizes(plate()), datums=datums)


def turned(sense: float) -> Part:
    part = name_sizes(worn_shaft())
    assert part.profile is not None
    axis = part.profile.axis
    out = tuple(sense * c for c in axis)
    end = Datum("B", "face", None, part.profile.origin_mm, out, (because("datums.end", diameter_mm=30.0),))
    return replace(part, datums=(Datum("A", "axis", None, (0.0, 0.0, 0.0), axis, (because("datums.axis"),)), end))


def box(element: ElementTree.Element) -> Box:
    x, y, w, h = (float(element.get(name, "0")) for name in ("x", "y", "width", "height"))
    return x, y, x + w, y + h


def apart(a: Box, b: Box) -> bool:
    return a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


@pytest.mark.parametrize("sense", [-1.0, 1.0])
@pytest.mark.parametrize("width_mm", [95.0, 180.0])
def test_each_letter_stands_once_in_a_square_clear_of_every_view_and_of_each_other(
    sense: float, width_mm: float
) -> None:
    root = ElementTree.fromstring(part_svg(flat(sense), width_mm=width_mm))
    rects = [box(e) for e in root.iter(f"{SVG}rect")]
    squares = [r for r in rects if r[2] - r[0] == pytest.approx(4.0) and r[3] - r[1] == pytest.approx(4.0)]
    views = [r for r in rects if r not in squares and r[2] - r[0] > 5.5]
    assert len(squares) == 3
    assert len(views) == 3
    assert all(apart(square, other) for square in squares for other in (*views, *(s for s in squares if s != square)))
    letters = [e.text for e in root.iter(f"{SVG}text") if e.text in ("A", "B", "C")]
    assert sorted(letters) == ["A", "B", "C"]


@pytest.mark.parametrize("sense", [-1.0, 1.0])
def test_a_turned_parts_axis_is_marked_at_a_diameter_and_not_on_the_end_that_lengths_count_from(sense: float) -> None:
    root = ElementTree.fromstring(part_svg(turned(sense)))
    at = {e.text: float(e.get("x", "0")) for e in root.iter(f"{SVG}text") if e.text in ("A", "B")}
    assert (at["B"] > at["A"]) == (sense > 0)


def test_like_places_are_listed_once_with_all_their_numerals() -> None:
    text = [e.text or "" for e in ElementTree.fromstring(part_svg(flat(-1.0))).iter(f"{SVG}text")]
    assert "3: 10 mm from B · 10 mm from C" in text
    assert "6: 50 mm from B · 90 mm from C" in text


def test_in_a_file_without_a_unit_no_place_is_said() -> None:
    part = flat(-1.0)
    unknown = replace(part, unit=replace(part.unit, state="ask"))
    assert "mm from B" not in part_svg(unknown)
