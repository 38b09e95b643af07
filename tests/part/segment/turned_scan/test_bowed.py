"""Balls, domes, fillets and radiused grooves on turned scans: by their radius, and no cylinder in their middle.

The scans are made by tests/part/revolved.py, which shares nothing with the reader; the sizes are those drawn.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from steadyrest.part.features.find import Found, find
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.read import with_points
from steadyrest.part.segment.graph import never, quietly, scan_graph
from tests.part.revolved import arc, line, mesh_of

FloatArray = npt.NDArray[np.float64]


def ball_ended(radius: float, neck: float) -> FloatArray:
    """A neck of 30 long with a ball on its end."""
    away = math.sqrt(radius**2 - neck**2)
    turn = math.degrees(math.asin(neck / radius))
    return line((0, 0), (0, neck), (30, neck), arc((30 + away, 0), radius, 180 - turn, 0))


def ball_handle(radius: float, neck: float) -> FloatArray:
    """A bar with a ball in its middle."""
    away = math.sqrt(radius**2 - neck**2)
    turn = math.degrees(math.asin(neck / radius))
    ball = arc((25 + away, 0), radius, 180 - turn, turn)
    return line((0, 0), (0, neck), (25, neck), ball, (50 + 2 * away, neck), (50 + 2 * away, 0))


def domed(radius: float, crown: float) -> FloatArray:
    """A pin with a cap of a ball on its end."""
    turn = math.degrees(math.asin(radius / crown))
    foot = crown * math.cos(math.radians(turn))
    return line((0, 0), (0, radius), (30, radius), arc((30 - foot, 0), crown, turn, 0))


def shouldered(fillet: float, small: float = 12.0, large: float = 17.0) -> FloatArray:
    corner = arc((30 - fillet, small + fillet), fillet, 270, 360) if fillet else [(30, small)]
    return line((0, 0), (0, small), corner, (30, large), (50, large), (50, 0))


def grooved(radius: float, outside: float = 12.0) -> FloatArray:
    """A bar with a half-round groove."""
    turn = arc((25, outside), radius, 180, 360)
    return line((0, 0), (0, outside), turn, (50, outside), (50, 0))


def worn_like_a_barrel(along: FloatArray, radius: FloatArray, angle: FloatArray) -> FloatArray:
    """0.25 lost towards both ends of the seat between 0 and 30."""
    del angle
    return np.where((along > 0.5) & (along < 29.5) & (radius > 6), -0.25 * ((along - 15) / 15) ** 2, 0.0)


CASES = {
    "ball 20 on 12": (ball_ended(10.0, 6.0), 0.9, 0.03, None),
    "ball 25 on 10": (ball_ended(12.5, 5.0), 0.9, 0.05, None),
    "handle 30 on 16": (ball_handle(15.0, 8.0), 0.9, 0.03, None),
    "dome 24": (domed(10.0, 24.0), 0.9, 0.03, None),
    "fillet 3": (shouldered(3.0), 0.9, 0.03, None),
    "fillet 5": (shouldered(5.0, 8.0, 15.0), 0.9, 0.04, None),
    "groove 4": (grooved(4.0), 0.9, 0.03, None),
    "groove 3": (grooved(3.0, 11.0), 0.9, 0.04, None),
    "sharp": (shouldered(0.0), 0.9, 0.03, None),
    "chamfered": (line((0, 0), (0, 11), (1, 12), (30, 12), (32, 14), (50, 14), (50, 0)), 0.9, 0.03, None),
    "barrel": (shouldered(0.0), 0.9, 0.03, worn_like_a_barrel),
}


@cache
def graph_of(case: str) -> PatchGraph:
    drawn, step_mm, noise_mm, shape = CASES[case]
    mesh = mesh_of(drawn, step_mm=step_mm, noise_mm=noise_mm, seed=17, softness_mm=0.3, shape=shape)
    return with_points(scan_graph(mesh, progress=quietly, stop=never), mesh)


@cache
def found_in(case: str) -> Found:
    return find(graph_of(case))


def only(case: str, kind: str) -> Patch:
    (patch,) = [p for p in graph_of(case).patches if p.kind == kind]
    return patch


@pytest.mark.parametrize(
    ("case", "radius"), [("ball 20 on 12", 10.0), ("ball 25 on 10", 12.5), ("handle 30 on 16", 15.0), ("dome 24", 24.0)]
)
def test_a_ball_is_found_with_its_radius_within_what_it_says(case: str, radius: float):
    ball = only(case, "sphere")
    assert abs(ball.radius_mm - radius) < 3 * ball.u_radius_mm + 0.01
    assert ball.u_radius_mm < 0.03 * radius


@pytest.mark.parametrize(
    ("case", "radius"), [("fillet 3", 3.0), ("fillet 5", 5.0), ("groove 4", 4.0), ("groove 3", 3.0)]
)
def test_a_rounding_is_found_with_its_radius_within_what_it_says(case: str, radius: float):
    ring = only(case, "torus")
    assert abs(ring.minor_mm - radius) < 3 * ring.u_radius_mm + 0.01
    assert ring.inside


@pytest.mark.parametrize(
    ("case", "cylinders"), [("ball 20 on 12", [12.0]), ("ball 25 on 10", [10.0]), ("handle 30 on 16", [16.0, 16.0])]
)
def test_no_cylinder_stands_in_a_balls_middle(case: str, cylinders: list[float]):
    found = sorted(2 * p.unworn_mm for p in graph_of(case).patches if p.kind == "cylinder")
    assert found == pytest.approx(cylinders, abs=0.05)
    assert not [p for p in graph_of(case).patches if p.kind == "cone"]


@pytest.mark.parametrize("case", ["sharp", "chamfered", "barrel"])
def test_a_sharp_corner_a_chamfer_and_a_seat_worn_like_a_barrel_are_no_arcs(case: str):
    assert not [p for p in graph_of(case).patches if p.kind in ("sphere", "torus")]


ENDS_MM = {
    "ball 20 on 12": 30 + math.sqrt(10**2 - 6**2) + 10,
    "ball 25 on 10": 30 + math.sqrt(12.5**2 - 5**2) + 12.5,
    "dome 24": 30 + 24 - math.sqrt(24**2 - 10**2),
}


@pytest.mark.parametrize(("case", "end_mm"), ENDS_MM.items())
def test_a_part_with_a_ball_end_is_turned_as_long_as_drawn_and_not_broken(case: str, end_mm: float):
    part = found_in(case)
    assert part.profile is not None
    assert part.profile.length_mm == pytest.approx(end_mm, abs=0.05)
    assert (
        part.profile.outside[-1].diameter_to_mm == pytest.approx(0.0, abs=0.5)
        or part.profile.outside[0].diameter_from_mm < 0.5
    )
    assert not graph_of(case).broken
    assert not part.doubts


def test_a_half_round_groove_is_a_groove_with_width_floor_depth_and_radius():
    (groove,) = [f for f in found_in("groove 4").features if f.kind == "groove"]
    sizes = {size.name: size.estimate for size in groove.sizes}
    assert sizes["width_mm"] == pytest.approx(8.0, abs=0.1)
    assert sizes["diameter_mm"] == pytest.approx(16.0, abs=0.1)
    assert sizes["depth_mm"] == pytest.approx(4.0, abs=0.05)


def test_a_shaft_with_a_fillet_still_reaches_the_shoulder():
    lengths = [f.size("length_mm") for f in found_in("fillet 3").features if f.kind == "shaft"]
    assert sorted(size.estimate for size in lengths if size is not None) == pytest.approx([20.0, 30.0], abs=0.06)
    (fillet,) = [f for f in found_in("fillet 3").features if f.kind == "fillet"]
    assert fillet.on is not None
