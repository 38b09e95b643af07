"""Rings sunk into faces, of solids by the kernel and of scans by closed form: in the profile, with width and depth."""

from __future__ import annotations

import pytest

from steadyrest.part.features.find import Found, find
from steadyrest.part.read import with_points
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.solid.graph import solid_graph
from steadyrest.shop.part import Feature
from tests.part.revolved import line, mesh_of
from tests.part.solid import made


def solid(shape: object) -> Found:
    return find(solid_graph(made.step(shape), "part.step", progress=lambda _w, _s: None, stop=lambda: False).graph)


def scanned(*corners: tuple[float, float]) -> Found:
    """A bored disc of which the line is given from the bore's mouth at the first face round to the bore again."""
    mesh = mesh_of(line(*corners), step_mm=0.8, noise_mm=0.03, seed=11, softness_mm=0.25, closed=True)
    return find(with_points(scan_graph(mesh, progress=quietly, stop=never), mesh))


def flange(*, inner: float, outer: float, depth: float):
    """A disc 60 x 14 bored 16, with a ring sunk into its far face."""
    tool = made.cut(made.cylinder(outer, 14 - depth, 20), made.cylinder(inner, 0, 30))
    return made.cut(made.cylinder(60, 0, 14), made.cylinder(16, -1, 15), tool)


def sizes(part: Found, kind: str, key: str) -> dict[str, float]:
    (one,) = [f for f in part.features if f.kind == kind and has(f, key)]
    return {size.name: size.estimate for size in one.sizes}


def has(feature: Feature, key: str) -> bool:
    return any(reason.key == key for reason in feature.why)


@pytest.mark.parametrize(("inner", "outer", "depth"), [(36.0, 44.0, 2.2), (24.0, 52.0, 1.0)])
def test_a_ring_sunk_into_a_face_is_a_groove_and_stands_in_the_profile(inner: float, outer: float, depth: float):
    part = solid(flange(inner=inner, outer=outer, depth=depth))
    got = sizes(part, "groove", "features.face_groove")
    assert got == pytest.approx({"width_mm": (outer - inner) / 2, "diameter_mm": outer, "depth_mm": depth})
    assert part.profile is not None
    (recess,) = part.profile.recesses
    assert (recess.inner_mm, recess.outer_mm) == pytest.approx((inner, outer))
    assert recess.to_mm - recess.from_mm == pytest.approx(depth)


def test_a_face_groove_of_a_cord_is_said_to_be_for_it():
    # A cord of 0.139 in in a face, for liquids: 0.101 to 0.107 in deep, 0.177 to 0.187 in wide (common O-ring chart).
    part = solid(flange(inner=44.0 - 2 * 4.62, outer=44.0, depth=2.64))
    (groove,) = [f for f in part.features if f.kind == "groove"]
    assert has(groove, "features.o_ring_groove")


def test_a_counterbore_and_a_shoulder_are_no_recesses():
    stepped = made.fused(made.cylinder(60, 0, 14), made.cylinder(30, 14, 20))
    part = solid(made.cut(stepped, made.cylinder(16, -1, 30), made.cylinder(22, 17, 30)))
    assert part.profile is not None
    assert not part.profile.recesses
    assert not [f for f in part.features if f.kind == "groove"]


def test_a_scans_face_groove_is_found_with_its_walls():
    part = scanned((0, 8), (0, 24), (10, 24), (10, 20), (7.8, 20), (7.8, 15), (10, 15), (10, 8))
    got = sizes(part, "groove", "features.face_groove")
    assert got["width_mm"] == pytest.approx(5.0, abs=0.1)
    assert got["diameter_mm"] == pytest.approx(40.0, abs=0.1)
    assert got["depth_mm"] == pytest.approx(2.2, abs=0.05)


def test_a_scans_sunk_middle_too_shallow_for_a_wall_is_said_and_a_plain_face_is_not_sunk():
    part = scanned((0, 8), (0, 24), (10, 24), (10, 18), (9.2, 18), (9.2, 8))
    got = sizes(part, "bore", "features.face_recess")
    assert got["diameter_mm"] == pytest.approx(36.0, abs=0.4)
    assert got["depth_mm"] == pytest.approx(0.8, abs=0.05)
    plain = scanned((0, 8), (0, 24), (10, 24), (10, 8))
    assert plain.profile is not None
    assert not plain.profile.recesses
