"""Holes and walls told by what they stand beside: counterbores, grids, ribs, islands; teeth and near misses refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.part.features.find import find
from steadyrest.part.features.free_form import without_near_misses
from steadyrest.part.patch import Joint, Patch, PatchGraph
from steadyrest.shop.part import Feature
from tests.part.features.test_find_turned import Found, found, kind, size
from tests.part.solid import made

PLATE = ((0, 0, 0), (120, 80, 20))


def why(feature: Feature) -> set[str]:
    return {reason.key for reason in feature.why}


def drilled(*shapes: object) -> Found:
    return found(made.cut(made.box(*PLATE), *shapes))


def test_a_wider_hole_over_a_narrower_one_is_a_counterbore_and_stands_on_it() -> None:
    part = drilled(made.cylinder(6.6, -1, 21, at=(30, 30)), made.cylinder(11, 13, 21, at=(30, 30)))
    wide, small = sorted(kind(part, "bore"), key=lambda f: -size(f, "diameter_mm"))
    assert why(wide) == {"features.counterbore"}
    assert wide.on == small.id
    assert not why(small)


def test_a_shallow_seat_is_a_spotface() -> None:
    part = drilled(made.cylinder(9, -1, 21, at=(30, 30)), made.cylinder(20, 18.5, 21, at=(30, 30)))
    wide = max(kind(part, "bore"), key=lambda f: size(f, "diameter_mm"))
    assert why(wide) == {"features.spotface"}


def test_a_narrower_hole_beside_the_line_of_a_wide_one_makes_it_no_counterbore() -> None:
    part = drilled(made.cylinder(20, 10, 21, at=(30, 30)), made.cylinder(6, -1, 11, at=(34, 30)))
    assert all("features.counterbore" not in why(f) for f in kind(part, "bore"))


def test_holes_in_rows_and_columns_are_a_grid() -> None:
    part = drilled(*(made.cylinder(6, -1, 21, at=(20 + 25 * i, 20 + 20 * k)) for i in range(4) for k in range(3)))
    (pattern,) = part.patterns
    assert (pattern.kind, pattern.count, pattern.diameter_mm) == ("grid", 12, None)


def test_holes_on_a_line_at_one_step_are_a_row_and_at_two_steps_are_none() -> None:
    even = drilled(*(made.cylinder(6, -1, 21, at=(15 + 18 * i, 30 + 5 * i)) for i in range(5)))
    assert [(p.kind, p.count) for p in even.patterns] == [("row", 5)]
    uneven = drilled(*(made.cylinder(6, -1, 21, at=(x, 30)) for x in (15, 33, 55)))
    assert uneven.patterns == ()


def test_the_corners_of_a_rectangle_are_no_grid() -> None:
    part = drilled(*(made.cylinder(6, -1, 21, at=at) for at in ((20, 20), (90, 20), (20, 60), (90, 60))))
    assert all(p.kind != "grid" for p in part.patterns)


def test_a_thin_wall_on_a_floor_is_a_rib_and_a_thick_one_in_a_hollow_is_an_island() -> None:
    hollow = made.cut(made.box(*PLATE), made.box((10, 10, 5), (110, 70, 21)))
    rib = found(made.fused(hollow, made.box((58, 10, 5), (62, 70, 17))))
    (wall,) = kind(rib, "boss")
    assert why(wall) == {"features.rib"}
    assert size(wall, "width_mm") == pytest.approx(4)
    assert size(wall, "depth_mm") == pytest.approx(12)
    island = found(made.fused(hollow, made.box((40, 30, 5), (80, 55, 12))))
    (block,) = kind(island, "boss")
    assert why(block) == {"features.island"}
    assert (size(block, "width_mm"), size(block, "length_mm")) == (pytest.approx(25), pytest.approx(40))


def test_a_step_at_the_edge_is_neither_rib_nor_island() -> None:
    part = found(made.fused(made.box(*PLATE), made.box((0, 0, 20), (30, 80, 35))))
    assert not kind(part, "boss")


def toothed(teeth: int) -> object:
    """A bar of 40 with straight gaps, each with a flat floor 3 deep and as wide as 8."""
    body = made.cylinder(40, 0, 30)
    gap = made.box((17, -4, -1), (25, 4, 31))
    return made.cut(body, *(made.moved(gap, turn_deg=360 * k / teeth) for k in range(teeth)))


def test_the_floor_between_two_teeth_is_no_flat() -> None:
    assert not kind(found(toothed(8)), "flat")


def test_a_flat_that_ends_in_a_shoulder_is_one() -> None:
    part = found(made.cut(made.cylinder(40, 0, 60), made.box((15, -30, 20), (25, 30, 61))))
    (flat,) = kind(part, "flat")
    assert size(flat, "depth_mm") == pytest.approx(5)


def lump(*, edged: bool, rms: float, arc: float = 2 * math.pi, simple_mm2: float = 300.0) -> PatchGraph:
    """A freely shaped part of 1000 mm2 with one round and its end face."""
    points = np.random.default_rng(1).normal(size=(200, 3))
    wall = Patch(0, "cylinder", (0, 0, 0), (0, 0, 1), 8.0, inside=True, arc_rad=arc, along_mm=(-5, 5), rms_mm=rms,
                 area_mm2=simple_mm2, points=points)  # fmt: skip
    rest = Patch(1, "free", (0, 0, 20), (0, 0, 1), area_mm2=1000 - simple_mm2, points=points + np.array([0, 0, 40]))
    joint = Joint(0, 1, "convex" if edged else "smooth", 1.0 if edged else 0.1, 50.0)
    return PatchGraph((wall, rest), (joint,), True, ((-9, -9, -9), (9, 9, 60)), 1000.0, None, 1, 0.05, 0.8)


def test_on_a_casting_a_round_that_ends_at_edges_and_fits_is_a_bore() -> None:
    graph, refused = without_near_misses(lump(edged=True, rms=0.05))
    assert refused == frozenset()
    assert graph.patches[0].kind == "cylinder"


@pytest.mark.parametrize(
    "near_miss",
    [lump(edged=False, rms=0.05), lump(edged=True, rms=0.2), lump(edged=True, rms=0.05, arc=2.5)],
    ids=["runs out softly", "fits worse than the scanner measures", "reaches part of the way round"],
)
def test_on_a_casting_a_near_miss_is_free_and_gives_no_size(near_miss: PatchGraph) -> None:
    part = find(near_miss)
    assert {f.kind for f in part.features} == {"free"}
    assert not any(f.sizes for f in part.features)
    assert any("features.near_miss" in why(f) for f in part.features)
    assert any(doubt.what.key == "features.free_form_part" for doubt in part.doubts)


def test_a_machined_part_is_not_asked() -> None:
    graph = lump(edged=False, rms=0.2, simple_mm2=900.0)
    assert without_near_misses(graph) == (graph, frozenset())


@pytest.mark.parametrize(("depth_mm", "name"), [(3.5, "keyway"), (6.5, "slot")])
def test_a_recess_deeper_than_any_key_sits_is_a_slot(depth_mm: float, name: str) -> None:
    recess = made.box((15 - depth_mm, -3, 40), (16, 3, 61))
    part = found(made.cut(made.cylinder(30, 0, 60), recess))
    cuts = [f for f in part.features if f.kind in ("keyway", "slot")]
    assert [f.kind for f in cuts] == [name]
    assert size(cuts[0], "width_mm") == pytest.approx(6)
