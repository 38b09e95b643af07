"""Hollow cylinders settled on their walls: skin hung across a hole lies inside of it and must not make it smaller."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.demo.scan import ScanSettings, scan
from steadyrest.demo.scanning.true_part import AxialHole, Stretch, TruePart
from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.segment.prismatic_scan.settled import CLOSE, close_fit, starts
from steadyrest.part.triangles.mesh import cleaned

AXIS = np.array([0.0, 0.0, 1.0])
RADIUS_MM, NOISE_MM = 4.5, 0.05


def wall_with_skin(seed: int, share: float, askew_mm: float) -> tuple[np.ndarray, Turned]:
    """Points on a wall, a share of them on skin that bends off it inward; and a first fit that believed the skin."""
    rng = np.random.default_rng(seed)
    angle, z = rng.uniform(-pi, pi, 500), rng.uniform(0, 12, 500)
    radius = RADIUS_MM + NOISE_MM * rng.standard_normal(500)
    skin = (angle > pi * (1 - 2 * share)) & (z > 3)
    radius[skin] -= rng.uniform(0, 0.6, int(skin.sum()))
    points = np.stack((radius * np.cos(angle), radius * np.sin(angle), z), axis=1)
    lean = np.array([0.01, 0.0, 1.0])
    return points, Turned(np.array([askew_mm, 0.0, 6.0]), lean / np.linalg.norm(lean), RADIUS_MM - 2 * askew_mm)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6), st.floats(0.0, 0.25), st.floats(0.0, 0.06))
def test_a_wall_is_found_beside_its_skin(seed: int, share: float, askew_mm: float):
    points, first = wall_with_skin(seed, share, askew_mm)
    fits = [close_fit(points, start, CLOSE * NOISE_MM) for start in starts(points, first, NOISE_MM)]
    # The truth is the radius the points were drawn with; 0.03 is six standard errors of it.
    assert min(abs(f.radius_mm - RADIUS_MM) for f in fits if f is not None) < 0.03


def test_holes_of_a_circle_closed_with_skin_are_as_wide_as_drilled():
    circle = tuple(AxialHole(9.0, 71.0, k * pi / 3) for k in range(6))
    part = TruePart("flange", (Stretch(30.0, 28.0), Stretch(14.0, 100.0)), cuts=circle)
    taken = ScanSettings(voxel_mm=0.95, noise_mm=0.05, blind="bridged", looks=40)
    vertices, faces = scan(part, taken, 8)
    graph = scan_graph(cleaned(vertices, faces, where="flange"), progress=quietly, stop=never)
    holes = [p for p in graph.patches if p.kind == "cylinder" and p.inside]
    assert len(holes) == 6
    for hole in holes:
        assert 2 * hole.radius_mm == pytest.approx(9.0, abs=0.05)
