"""A solid's patches: exact sizes, faces of one surface joined, and the unit that the file names."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.solid.graph import Solid, solid_graph
from steadyrest.trouble import BadInput
from tests.part.solid import made


def read(data: bytes, name: str = "part.step") -> Solid:
    return solid_graph(data, name, progress=lambda _what, _share: None, stop=lambda: False)


def kinds(solid: Solid) -> dict[str, int]:
    found: dict[str, int] = {}
    for patch in solid.graph.patches:
        found[patch.kind] = found.get(patch.kind, 0) + 1
    return found


def test_a_cylinder_is_three_patches_with_its_volume_area_and_box() -> None:
    solid = read(made.step(made.cylinder(20, 0, 50)))
    graph = solid.graph
    assert kinds(solid) == {"plane": 2, "cylinder": 1}
    assert graph.volume_mm3 == pytest.approx(math.pi * 100 * 50, rel=1e-9)
    assert graph.area_mm2 == pytest.approx(2 * math.pi * 100 + math.pi * 20 * 50, rel=1e-9)
    assert graph.box_mm[0] == pytest.approx((-10, -10, 0), abs=1e-6)
    assert graph.box_mm[1] == pytest.approx((10, 10, 50), abs=1e-6)
    (side,) = (p for p in graph.patches if p.kind == "cylinder")
    assert (side.radius_mm, side.inside, side.arc_rad) == (pytest.approx(10), False, pytest.approx(2 * math.pi))
    assert side.along_mm == pytest.approx((-25, 25))
    assert graph.turned_share == pytest.approx(1)
    assert {j.kind for j in graph.joints} == {"convex"}
    assert all(j.angle_rad == pytest.approx(math.pi / 2) for j in graph.joints)


def test_a_bore_is_inside_and_meets_its_floor_in_an_inner_corner() -> None:
    solid = read(made.step(made.cut(made.cylinder(40, 0, 30), made.cylinder(10, 10, 31))))
    (bore,) = (p for p in solid.graph.patches if p.kind == "cylinder" and p.inside)
    joints = {j.kind for j in solid.graph.joints if bore.id in (j.a, j.b)}
    assert joints == {"convex", "concave"}


def test_a_cylinder_parted_by_its_exporter_is_one_patch() -> None:
    # Fused halves keep a seam between two faces of one surface.
    half = made.cut(made.cylinder(20, 0, 50), made.box((-20, -20, -1), (0, 20, 51)))
    other = made.cut(made.cylinder(20, 0, 50), made.box((0, -20, -1), (20, 20, 51)))
    solid = read(made.step(made.fused(half, other)))
    assert kinds(solid) == {"plane": 2, "cylinder": 1}


def test_two_seats_of_one_diameter_apart_stay_two() -> None:
    solid = read(made.step(made.fused(made.cylinder(20, 0, 20), made.cylinder(30, 20, 30), made.cylinder(20, 30, 50))))
    assert kinds(solid)["cylinder"] == 3


def test_an_orbit_of_surfaces_written_as_splines_is_recognised() -> None:
    plain = made.fused(made.cylinder(30, 0, 20), made.cone(30, 20, 20, 40), made.cylinder(20, 40, 50))
    exact, splined = read(made.step(plain)), read(made.step(made.as_splines(plain)))
    assert kinds(splined) == kinds(exact)
    radii = [sorted(round(p.radius_mm, 6) for p in s.graph.patches) for s in (exact, splined)]
    assert radii[0] == radii[1]
    assert not splined.lost


@settings(deadline=None, max_examples=12)
@given(
    turn=st.floats(0, 360),
    about=st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.1),
    by=st.tuples(*[st.floats(-500, 500)] * 3),
)
def test_where_a_part_lies_changes_no_size(turn: float, about: tuple[float, ...], by: tuple[float, ...]) -> None:
    solid = read(made.step(made.moved(made.stepped_shaft(), turn_deg=turn, about=about, by=by)))
    assert solid.graph.volume_mm3 == pytest.approx(115443.3376, rel=1e-7)
    radii = sorted(p.radius_mm for p in solid.graph.patches if p.kind == "cylinder" and not p.inside)
    assert radii == pytest.approx([12.5, 15, 17.5])


def test_the_unit_is_the_files_own_and_sizes_are_in_mm() -> None:
    text = made.step(made.cylinder(20, 0, 50))
    assert read(text).unit.name == "mm"
    metres = text.replace(b"SI_UNIT(.MILLI.,.METRE.)", b"SI_UNIT($,.METRE.)")
    solid = read(metres)
    assert (solid.unit.name, solid.unit.state) == ("m", "sure")
    assert solid.graph.box_mm[1][2] == pytest.approx(50_000)
    assert [d.what.key for d in solid.doubts] == ["read.odd_size"]


def test_two_solids_are_counted_and_doubted() -> None:
    solid = read(made.step(made.compound(made.cylinder(20, 0, 50), made.cylinder(20, 0, 50, at=(40, 0)))))
    assert solid.graph.solids == 2
    assert "read.several_solids" in {d.what.key for d in solid.doubts}


def test_open_surfaces_are_no_solid() -> None:
    with pytest.raises(BadInput, match="no solid"):
        read(made.step(made.faces_only(made.cylinder(20, 0, 50))))


def test_stopping_stops() -> None:
    with pytest.raises(InterruptedError):
        solid_graph(made.step(made.cylinder(20, 0, 50)), "x", progress=lambda _w, _s: None, stop=lambda: True)


def test_reading_says_nothing_on_standard_output(capfd: pytest.CaptureFixture[str]) -> None:
    text = made.step(made.cylinder(20, 0, 50))
    capfd.readouterr()
    read(text)
    assert capfd.readouterr().out == ""
