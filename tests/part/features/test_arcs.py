"""Balls, domes, full radii and radiused grooves of solids made by the kernel: in the profile, by their names."""

from __future__ import annotations

import math

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepPrimAPI import BRepPrimAPI_MakeSphere, BRepPrimAPI_MakeTorus
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

from steadyrest.part.features.arc import line_arc
from steadyrest.part.features.find import Found, find
from steadyrest.part.features.frame import Frame
from steadyrest.part.patch import Patch
from steadyrest.part.solid.graph import solid_graph
from steadyrest.shop.part import Feature, Stretch
from tests.part.solid import made


def ball(radius: float, at: float):
    return BRepPrimAPI_MakeSphere(gp_Ax2(gp_Pnt(0, 0, at), gp_Dir(0, 0, 1)), radius).Shape()


def ring(radius: float, tube: float, at: float):
    return BRepPrimAPI_MakeTorus(gp_Ax2(gp_Pnt(0, 0, at), gp_Dir(0, 0, 1)), radius, tube).Shape()


def found(shape: object) -> Found:
    graph = solid_graph(made.step(shape), "part.step", progress=lambda _w, _s: None, stop=lambda: False).graph
    return find(graph)


def only(part: Found, kind: str) -> Feature:
    (one,) = [f for f in part.features if f.kind == kind]
    return one


def size(feature: Feature, name: str) -> float:
    got = feature.size(name)
    assert got is not None
    return got.estimate


def volume(stretches: tuple[Stretch, ...]) -> float:
    """Of frustums."""
    ends = [(s.length_mm, s.diameter_from_mm, s.diameter_to_mm) for s in stretches]
    return sum(math.pi / 12 * long * (a * a + a * b + b * b) for long, a, b in ends)


def test_a_ball_end_is_a_ball_by_its_diameter_and_ends_the_part():
    part = found(made.fused(made.cylinder(12, 0, 45), ball(10, 48)))
    assert size(only(part, "sphere"), "diameter_mm") == pytest.approx(20.0)
    assert part.profile is not None
    assert part.profile.length_mm == pytest.approx(58.0)
    assert part.profile.largest_mm == pytest.approx(20.0)
    # Neck by its cylinder, ball less its cap below the neck: closed form pi h^2 (3 R - h) / 3.
    cap = 2.0
    true = math.pi * 36 * 40 + 4 / 3 * math.pi * 1000 - math.pi * cap**2 * (30 - cap) / 3
    assert volume(part.profile.outside) == pytest.approx(true, rel=0.005)


def test_a_domed_end_is_a_cap_by_its_radius():
    part = found(BRepAlgoAPI_Common(made.cylinder(20, 0, 60), ball(30, 10)).Shape())
    assert size(only(part, "sphere"), "radius_mm") == pytest.approx(30.0)
    assert size(only(part, "shaft"), "length_mm") == pytest.approx(10 + math.sqrt(900 - 100))
    assert not [d for d in part.doubts if d.what.key == "features.gap"]


def test_a_dome_whose_middle_lies_beyond_the_axis_ends_where_it_comes_to_the_axis():
    # Radius 50 about a ring of 15, its inner part: closed form sqrt(50^2 - 15^2) for where it meets the axis.
    turn = np.linspace(math.acos(25 / 50), math.acos(15 / 50), 40)
    radius, along = 50 * np.cos(turn) - 15, 50 * np.sin(turn)
    around = np.linspace(0, 2 * np.pi, 24)[:, None]
    points = np.stack((radius * np.cos(around), radius * np.sin(around), along + 0 * around), axis=-1).reshape(-1, 3)
    patch = Patch(0, "torus", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 15.0, 50.0, points=points)
    arc = line_arc(patch, Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0)), tail=0.0, rounding_mm=0.0)
    assert arc is not None
    assert arc.high_mm == pytest.approx(math.sqrt(50**2 - 15**2))
    assert arc.radius_at(arc.low_mm) == pytest.approx(10.0)


def test_a_ball_nosed_bore_ends_in_the_inside_of_a_ball():
    part = found(made.cut(made.cylinder(40, 0, 50), made.cylinder(20, 20, 51), ball(10, 20)))
    nose = only(part, "sphere")
    assert nose.inside
    assert size(nose, "radius_mm") == pytest.approx(10.0)
    assert size(only(part, "bore"), "depth_mm") == pytest.approx(30.0)
    assert part.profile is not None
    assert part.profile.inside[0].from_mm == pytest.approx(10.0)


@pytest.mark.parametrize("inside", [False, True])
def test_a_radiused_groove_is_a_groove_outside_and_in_a_bore(inside: bool):
    bored = made.cut(made.cylinder(60, 0, 40), made.cylinder(30, -1, 41), ring(15, 3, 20))
    part = found(bored if inside else made.cut(made.cylinder(40, 0, 60), ring(20, 4, 30)))
    groove = only(part, "groove")
    width, floor, radius = (6.0, 36.0, 3.0) if inside else (8.0, 32.0, 4.0)
    assert size(groove, "width_mm") == pytest.approx(width)
    assert size(groove, "diameter_mm") == pytest.approx(floor)
    assert size(groove, "radius_mm") == pytest.approx(radius)


def test_a_rim_with_a_full_radius_is_a_fillet_that_the_profile_follows():
    part = found(made.fused(made.cylinder(40, 0, 30), made.cylinder(60, 10, 18), ring(30, 6, 14)))
    assert size(only(part, "fillet"), "radius_mm") == pytest.approx(6.0)
    assert part.profile is not None
    assert part.profile.largest_mm == pytest.approx(72.0)


def test_a_rounded_corner_stays_beside_the_line():
    shape = made.filleted(made.fused(made.cylinder(30, 0, 40), made.cylinder(44, 40, 70)), 3, at_radius=15, at_z=40)
    part = found(shape)
    assert part.profile is not None
    assert [s.to_mm for s in part.profile.outside] == pytest.approx([40.0, 70.0])
    assert only(part, "fillet").inside


@pytest.mark.parametrize("splines", [False, True])
def test_the_profile_of_a_handle_follows_its_ball(splines: bool):
    shape = made.fused(made.cylinder(16, 0, 90), ball(15, 53))
    part = found(made.as_splines(shape) if splines else shape)
    assert part.profile is not None
    on_ball = [s for s in part.profile.outside if s.feature == only(part, "sphere").id]
    for stretch in on_ball:
        for at, diameter in ((stretch.from_mm, stretch.diameter_from_mm), (stretch.to_mm, stretch.diameter_to_mm)):
            assert np.hypot(at - 53, diameter / 2) == pytest.approx(15.0, abs=1e-6)
