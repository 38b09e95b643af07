"""Parts that are not turned, scanned: what a machinist would name on them. Truth is the forward model's own."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.features.approach import are_met
from steadyrest.part.read import read
from steadyrest.shop.part import Part
from tests.scoring.drawings import Drawing
from tests.scoring.prismatic import scanned, stl
from tests.scoring.shapes import DOWN, UP, Prism


def drawn() -> Drawing:
    """A plate 90 x 60 x 16: four holes on a circle of 36, a countersink, a slot through, a pocket, a blind hole."""
    drawing = Drawing("plate", (-45.0, -30.0, -16.0), (45.0, 30.0, 0.0))
    drawing.add(Prism((0.0, 0.0, -16.0), UP, (1.0, 0.0, 0.0), 90.0, 60.0, 0.0, 16.0))
    for k in range(4):
        a = 0.3 + k * np.pi / 2
        drawing.hole((18 * np.cos(a), 18 * np.sin(a), 0.0), DOWN, 6.6, 16.0, through=True)
    drawing.countersunk((-36.0, 21.0, 0.0), DOWN, 5.5, 11.0, 16.0)
    drawing.pocket(
        (35.0, 0.0, 0.0), DOWN, (0.0, 1.0, 0.0), length=24.0, width=9.0, corner=4.5, depth=16.0, through=True
    )
    drawing.pocket((-34.0, -6.0, 0.0), DOWN, (0.0, 1.0, 0.0), length=26.0, width=14.0, corner=4.0, depth=7.0,
                   through=False)  # fmt: skip
    drawing.hole((0.0, 0.0, 0.0), DOWN, 12.0, 9.0, through=False)
    return drawing


@pytest.fixture(scope="module")
def part() -> Part:
    drawing = drawn()
    vertices, faces, _, _, _ = scanned(drawing, 3, blind=False)
    return read(stl(vertices, faces), "plate.stl", unit="mm", progress=lambda *_: None, stop=lambda: False)


def sizes(part: Part, kind: str, name: str) -> list[float]:
    return sorted(size.estimate for f in part.features if f.kind == kind and (size := f.size(name)))


def test_every_hole_is_found_and_nothing_else_is_one(part: Part) -> None:
    assert sizes(part, "bore", "diameter_mm") == pytest.approx([5.5, 6.6, 6.6, 6.6, 6.6, 12.0], abs=0.05)


def test_a_hole_with_a_bottom_is_blind_and_the_others_go_through(part: Part) -> None:
    wide = next(f for f in part.features if f.kind == "bore" and f.sizes[0].estimate > 11)
    depth = wide.size("depth_mm")
    assert wide.through is False
    assert depth is not None
    assert depth.estimate == pytest.approx(9.0, abs=0.1)
    assert all(f.through for f in part.features if f.kind == "bore" and f.id != wide.id)


def test_holes_on_a_circle_are_a_pattern(part: Part) -> None:
    (pattern,) = part.patterns
    assert (pattern.count, pattern.diameter_mm) == (4, pytest.approx(36.0, abs=0.1))


def test_a_slot_is_as_wide_as_its_walls_stand_apart(part: Part) -> None:
    assert sizes(part, "slot", "width_mm") == pytest.approx([9.0], abs=0.05)
    assert sizes(part, "slot", "length_mm") == pytest.approx([24.0], abs=0.1)


def test_a_pocket_counts_from_the_face_that_it_is_cut_into(part: Part) -> None:
    assert sizes(part, "pocket", "depth_mm") == pytest.approx([7.0], abs=0.1)


def test_a_countersink_is_as_wide_as_its_mouth(part: Part) -> None:
    assert sizes(part, "cone", "diameter_mm") == pytest.approx([11.0], abs=0.15)


def test_the_box_lies_between_the_faces(part: Part) -> None:
    assert part.size_mm == pytest.approx((90.0, 60.0, 16.0), abs=0.05)


def test_one_direction_reaches_what_opens_upwards(part: Part) -> None:
    assert part.approach_directions_min == 1


def test_as_few_directions_as_meet_every_need() -> None:
    needs = [frozenset({0, 1}), frozenset({1, 2}), frozenset({3})]
    assert not are_met(needs, 1)
    assert are_met(needs, 2)
