"""A turned part's features, as its drawing would list them. Parts are made by the kernel's primitives."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.features.find import Found, find
from steadyrest.part.solid.graph import solid_graph
from steadyrest.shop.part import Feature
from tests.part.solid import made


def found(shape: object) -> Found:
    graph = solid_graph(made.step(shape), "part.step", progress=lambda _w, _s: None, stop=lambda: False).graph
    return find(graph)


@cache
def shaft() -> Found:
    return found(made.stepped_shaft())


@cache
def hub() -> Found:
    return found(made.hub())


def kind(part: Found, name: str) -> list[Feature]:
    return [f for f in part.features if f.kind == name]


def size(feature: Feature, name: str) -> float:
    found_size = feature.size(name)
    assert found_size is not None
    return found_size.estimate


def test_shafts_have_the_diameters_and_lengths_that_were_turned() -> None:
    sizes = [(size(f, "diameter_mm"), size(f, "length_mm")) for f in kind(shaft(), "shaft")]
    assert sizes == [pytest.approx(s) for s in ((25, 39), (35, 80), (30, 29))]


def test_chamfers_lie_on_their_shafts() -> None:
    part = shaft()
    for chamfer, carrier in zip(kind(part, "chamfer"), (kind(part, "shaft")[0], kind(part, "shaft")[2]), strict=True):
        assert (size(chamfer, "width_mm"), size(chamfer, "angle_deg")) == (pytest.approx(1), pytest.approx(45))
        assert chamfer.on == carrier.id


def test_a_keyways_depth_counts_from_the_surface_at_its_centre_line() -> None:
    (keyway,) = kind(shaft(), "keyway")
    sizes = [size(keyway, name) for name in ("width_mm", "depth_mm", "length_mm")]
    assert sizes == pytest.approx([10, 5, 50])
    assert keyway.on == kind(shaft(), "shaft")[1].id
    assert keyway.along_mm == pytest.approx((55, 105))
    assert keyway.at_mm == pytest.approx((17.5, 0, 80))
    assert keyway.axis == pytest.approx((1, 0, 0))


def test_the_profile_has_no_gaps_and_its_lengths_add_up() -> None:
    for part in (shaft(), hub()):
        profile = part.profile
        assert profile is not None
        for before, after in pairwise(profile.outside):
            assert before.to_mm == after.from_mm
        assert profile.outside[0].from_mm == 0
        last = max(kind(part, "face"), key=lambda f: f.along_mm or (0, 0))
        assert sum(s.length_mm for s in profile.outside) == pytest.approx(size(last, "length_mm"))


def test_features_are_numbered_along_the_axis_every_time_alike() -> None:
    part = shaft()
    starts = [f.along_mm[0] for f in part.features if f.along_mm]
    assert [f.id for f in part.features] == [f"F{i + 1}" for i in range(len(part.features))]
    assert starts == sorted(starts)
    assert found(made.stepped_shaft()) == part


def test_a_through_bore_a_counterbore_and_a_keyway_in_the_bore() -> None:
    part = hub()
    bore = next(f for f in kind(part, "bore") if size(f, "diameter_mm") == pytest.approx(25))
    counterbore = next(f for f in kind(part, "bore") if size(f, "diameter_mm") == pytest.approx(40))
    assert (bore.through, counterbore.through) == (True, False)
    assert size(counterbore, "depth_mm") == pytest.approx(10)
    (keyway,) = kind(part, "keyway")
    assert keyway.inside
    assert keyway.on == bore.id
    assert (size(keyway, "width_mm"), size(keyway, "depth_mm")) == (pytest.approx(8), pytest.approx(3.3))


def test_four_holes_on_a_circle_are_one_pattern() -> None:
    (circle,) = hub().patterns
    assert (circle.kind, circle.count, circle.diameter_mm) == ("bolt circle", 4, pytest.approx(50))
    assert all(
        size(f, "diameter_mm") == pytest.approx(6.6) and f.through for f in hub().features if f.id in circle.features
    )


def test_a_blind_bore_has_its_depth_from_the_mouth_and_opens_to_that_end() -> None:
    part = found(made.cut(made.cylinder(40, 0, 60), made.cylinder(12, 35, 61)))
    (bore,) = kind(part, "bore")
    assert (bore.through, size(bore, "depth_mm")) == (False, pytest.approx(25))
    stepped = found(made.cut(made.cylinder(40, 0, 60), made.cylinder(20, 40, 61), made.cylinder(12, 15, 61)))
    depths = {round(size(f, "diameter_mm")): size(f, "depth_mm") for f in kind(stepped, "bore")}
    assert depths == {20: pytest.approx(20), 12: pytest.approx(45)}


def test_a_cross_hole_through_a_tube_is_one_hole() -> None:
    tube = made.cut(made.cylinder(30, 0, 60), made.cylinder(20, -1, 61))
    part = found(made.cut(tube, made.cylinder(5, 0, 40, axis=(1, 0, 0), start=(-20, 0, 30))))
    (hole,) = (f for f in kind(part, "bore") if size(f, "diameter_mm") == pytest.approx(5))
    assert hole.through
    assert size(hole, "length_mm") == pytest.approx(30, abs=1e-3)
    assert part.axisymmetric


def test_a_groove_is_named_by_width_floor_and_depth() -> None:
    body = made.fused(made.cylinder(30, 0, 40), made.cylinder(28.6, 40, 41.6), made.cylinder(30, 41.6, 60))
    (groove,) = kind(found(body), "groove")
    assert [s.name for s in groove.sizes] == ["width_mm", "diameter_mm", "depth_mm"]
    assert [s.estimate for s in groove.sizes] == pytest.approx([1.6, 28.6, 0.7])


def test_a_hexagon_is_measured_across_its_flats() -> None:
    part = found(made.fused(made.hexagon(24, 0, 16), made.cylinder(16, 16, 50)))
    (hexagon,) = kind(part, "hexagon")
    assert (size(hexagon, "width_mm"), size(hexagon, "length_mm")) == (pytest.approx(24), pytest.approx(16))
    assert part.profile is not None
    assert part.profile.largest_mm == pytest.approx(24 / math.cos(math.pi / 6))


def test_two_flats_are_one_feature_across_them_and_one_flat_has_a_depth() -> None:
    rod = made.cylinder(20, 0, 60)
    top, bottom = made.box((-20, 8, 40), (20, 20, 61)), made.box((-20, -20, 40), (20, -8, 61))
    (pair,) = kind(found(made.cut(rod, top, bottom)), "flat")
    assert (size(pair, "width_mm"), size(pair, "length_mm")) == (pytest.approx(16), pytest.approx(20))
    (single,) = kind(found(made.cut(rod, top)), "flat")
    assert size(single, "depth_mm") == pytest.approx(2)


def test_a_fillet_rounds_a_corner_without_moving_it() -> None:
    body = made.fused(made.cylinder(20, 0, 40), made.cylinder(40, 40, 60))
    part = found(made.filleted(body, 2.0, at_radius=10, at_z=40))
    (fillet,) = kind(part, "fillet")
    assert size(fillet, "radius_mm") == pytest.approx(2)
    assert fillet.inside
    assert part.profile is not None
    assert [(s.from_mm, s.to_mm) for s in part.profile.outside] == [pytest.approx((0, 40)), pytest.approx((40, 60))]


def test_a_taper_keeps_both_ends() -> None:
    part = found(made.fused(made.cylinder(30, 0, 20), made.cone(30, 20, 20, 70), made.cylinder(20, 70, 90)))
    (cone,) = kind(part, "cone")
    assert size(cone, "diameter_mm") == pytest.approx(30)
    assert size(cone, "angle_deg") == pytest.approx(2 * math.degrees(math.atan(5 / 50)))
    assert part.profile is not None
    taper = part.profile.outside[1]
    assert (taper.diameter_from_mm, taper.diameter_to_mm) == (pytest.approx(30), pytest.approx(20))


def test_a_block_with_a_bore_is_not_turned() -> None:
    part = found(made.cut(made.box((0, 0, 0), (60, 40, 20)), made.cylinder(30, -1, 21, at=(30, 20))))
    assert not part.axisymmetric
    assert part.profile is None
    assert part.size_mm == pytest.approx((60, 40, 20))


@settings(deadline=None, max_examples=15)
@given(
    steps=st.lists(st.tuples(st.integers(8, 60), st.integers(4, 60)), min_size=1, max_size=6).filter(
        lambda s: all(a[0] != b[0] for a, b in pairwise(s))
    )
)
def test_any_row_of_steps_comes_back(steps: list[tuple[int, int]]) -> None:
    at, shapes = 0, []
    for diameter, length in steps:
        shapes.append(made.cylinder(diameter, at, at + length))
        at += length
    part = found(made.fused(*shapes))
    assert part.profile is not None
    back = [(s.diameter_from_mm, s.length_mm) for s in part.profile.outside]
    assert back == [pytest.approx(step) for step in steps]
    assert not kind(part, "free")
