"""Parts that are not turned: holes, pockets, slots, and from how many sides they must be reached."""

from __future__ import annotations

import pytest

from steadyrest.part.features.find import Found
from steadyrest.shop.part import Feature
from tests.part.features.test_find_turned import found, kind, size
from tests.part.solid import made

PLATE = ((0, 0, 0), (120, 80, 20))


def sizes(feature: Feature) -> dict[str, float]:
    return {s.name: pytest.approx(s.estimate) for s in feature.sizes}


def drilled(*shapes: object) -> Found:
    return found(made.cut(made.box(*PLATE), *shapes))


def test_a_plates_holes_have_place_depth_and_bottom() -> None:
    part = drilled(
        made.cylinder(10, -1, 21, at=(20, 20)),
        made.cylinder(8, 12, 21, at=(60, 40)),
        made.cylinder(18, 10, 21, at=(100, 60)),
        made.cylinder(9, -1, 21, at=(100, 60)),
    )
    holes = {round(size(f, "diameter_mm")): f for f in kind(part, "bore")}
    assert {d: f.through for d, f in holes.items()} == {10: True, 8: False, 18: False, 9: True}
    assert holes[10].at_mm == pytest.approx((20, 20, 10))
    assert size(holes[8], "depth_mm") == pytest.approx(8)
    assert size(holes[18], "depth_mm") == pytest.approx(10)
    assert holes[8].axis == pytest.approx((0, 0, -1))
    assert part.approach_directions_min == 1


def test_holes_from_two_sides_need_two_directions() -> None:
    part = drilled(made.cylinder(8, 12, 21, at=(60, 40)), made.cylinder(8, 0, 15, axis=(1, 0, 0), start=(-1, 40, 10)))
    assert part.approach_directions_min == 2
    both = drilled(made.cylinder(8, 12, 21, at=(60, 40)), made.cylinder(8, -1, 8, at=(30, 40)))
    assert both.approach_directions_min == 2


def test_a_pocket_has_its_floor_walls_and_depth() -> None:
    part = drilled(made.box((20, 20, 12), (70, 50, 21)))
    (pocket,) = kind(part, "pocket")
    assert sizes(pocket) == {"depth_mm": 8, "width_mm": 30, "length_mm": 50}
    assert pocket.through is False


def test_a_window_is_a_pocket_that_goes_through() -> None:
    (window,) = kind(drilled(made.box((20, 20, -1), (70, 50, 21))), "pocket")
    assert window.through
    assert (size(window, "width_mm"), size(window, "length_mm")) == (pytest.approx(30), pytest.approx(50))


def test_a_channel_is_a_slot_with_width_and_depth() -> None:
    (slot,) = kind(drilled(made.box((-1, 30, 14), (121, 42, 21))), "slot")
    assert sizes(slot) == {"width_mm": 12, "depth_mm": 6, "length_mm": 120}


def test_a_slot_with_round_ends_is_as_long_as_its_cutter_ran() -> None:
    cutter = made.fused(
        made.box((30, 34, -1), (70, 46, 21)),
        made.cylinder(12, -1, 21, at=(30, 40)),
        made.cylinder(12, -1, 21, at=(70, 40)),
    )
    (slot,) = kind(drilled(cutter), "slot")
    assert (size(slot, "width_mm"), size(slot, "length_mm")) == (pytest.approx(12), pytest.approx(52))
    assert slot.through


def test_a_bolt_circle_with_an_empty_place_is_still_one() -> None:
    import math

    holes = [
        made.cylinder(6, -1, 21, at=(60 + 25 * math.cos(i * math.pi / 3), 40 + 25 * math.sin(i * math.pi / 3)))
        for i in range(5)
    ]
    (circle,) = drilled(*holes, made.cylinder(20, -1, 21, at=(60, 40))).patterns
    assert (circle.count, circle.diameter_mm) == (5, pytest.approx(50))


def test_a_plain_block_has_six_faces_and_asks_for_nothing() -> None:
    part = found(made.box((0, 0, 0), (30, 20, 10)))
    assert [f.kind for f in part.features] == ["face"] * 6
    assert part.size_mm == pytest.approx((30, 20, 10))
    assert part.approach_directions_min is None


def test_a_tilted_block_is_measured_along_its_own_sides() -> None:
    part = found(made.moved(made.box((0, 0, 0), (30, 20, 10)), turn_deg=31, about=(1, 2, 3)))
    assert part.size_mm == pytest.approx((30, 20, 10))
