"""Turned scans that are coarse against what is on them: grooves, hollows that ran in, half-seen bores, short tapers."""

from __future__ import annotations

from functools import cache
from math import pi

import numpy as np
import pytest

from steadyrest.demo.scan import ScanSettings, scan
from steadyrest.demo.scanning.true_part import AxialHole, Stretch, TrueGroove, TruePart, Wear
from steadyrest.part.fit.round import Turned
from steadyrest.part.patch import PatchGraph
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.segment.prismatic_scan.nested import without_nested
from steadyrest.part.triangles.mesh import cleaned

COARSE = ScanSettings(voxel_mm=0.95, noise_mm=0.03, correlation_mm=0.9, looks=40)


def grooved() -> TruePart:
    return TruePart(
        "grooved pin",
        (Stretch(30.0, 24.0), Stretch(26.0, 34.0, chamfer_mm=(2.0, 0.0))),
        cuts=(TrueGroove(21.0, 20.0, 3.0),),
    )


def run_in() -> TruePart:
    """Worn all round in a band whose sides the mesh is too coarse to show."""
    return TruePart(
        "run-in pin",
        (Stretch(40.0, 30.0), Stretch(12.0, 40.0)),
        wear=(Wear(0.25, 10.0, 30.0, arc_rad=2 * pi, shoulder_mm=(1.2, 1.2)),),
    )


@cache
def graph_of(name: str) -> PatchGraph:
    part = {"grooved": grooved, "run in": run_in}[name]()
    vertices, faces = scan(part, COARSE, 3)
    return scan_graph(cleaned(vertices, faces, where=name), progress=quietly, stop=never)


def test_a_groove_three_triangles_wide_is_placed_to_a_tenth_of_a_triangle():
    graph = graph_of("grooved")
    assert graph.axis is not None
    axis = np.array(graph.axis[1])
    at = sorted(float(np.array(step.point) @ axis) for step in graph.steps if max(step.radii_mm) < 13)
    assert len(at) == 2
    assert at[1] - at[0] == pytest.approx(3.0, abs=0.1)


def test_every_step_stands_between_the_radii_of_two_stretches():
    graph = graph_of("grooved")
    radii = [p.unworn_mm for p in graph.patches if p.kind == "cylinder"]
    assert graph.steps
    for step in graph.steps:
        assert all(min(abs(r - found) for found in radii) < 0.1 for r in step.radii_mm)
        assert step.u_mm > 0


def test_a_hollow_worn_all_round_is_wear_and_no_step():
    graph = graph_of("run in")
    levels = sorted(2 * p.unworn_mm for p in graph.patches if p.kind == "cylinder")
    assert levels == [pytest.approx(30.0, abs=0.05), pytest.approx(40.0, abs=0.05)]
    worn = [p.wear_mm for p in graph.patches if p.kind == "cylinder" and p.wear_mm]
    assert worn == [pytest.approx(0.25, abs=0.06)]


def test_a_taper_turns_about_the_axis_of_the_part():
    graph = graph_of("grooved")
    assert graph.axis is not None
    point, axis = (np.array(v) for v in graph.axis)
    cones = [p for p in graph.patches if p.kind == "cone" and p.arc_rad > 5]
    assert cones
    for cone in cones:
        assert np.linalg.norm(np.cross(np.array(cone.axis), axis)) < 1e-6
        assert np.linalg.norm(np.cross(np.array(cone.point) - point, axis)) < 1e-6


def test_what_lies_inside_a_bore_is_no_bore():
    angle = np.linspace(0, 2 * pi, 60, endpoint=False)
    rings = [np.stack((r * np.cos(angle), r * np.sin(angle), np.full(60, z)), axis=1) for r, z in
             ((5.0, 0.0), (5.0, 4.0), (5.0, 8.0), (3.8, 6.0), (3.8, 7.5), (5.2, 20.0), (5.2, 24.0))]  # fmt: skip
    points = np.concatenate(rings)
    axis, beside = np.array([0.0, 0.0, 1.0]), np.array([30.0, 0.0, 0.0])

    def bore(first: int, last: int, radius: float) -> Found:
        return Found(Turned(np.zeros(3), axis, radius), np.arange(60 * first, 60 * last), inside=True)

    wall, skin, further = bore(0, 3, 5.0), bore(3, 5, 3.8), bore(5, 7, 5.2)
    assert without_nested([wall, skin, further], (), points) == [wall, further]
    elsewhere = Found(Turned(beside, axis, 3.8), skin.members, inside=True)
    assert without_nested([wall, elsewhere], (), points) == [wall, elsewhere]


def test_half_seen_holes_give_no_smaller_ones():
    circle = tuple(AxialHole(6.6, 57.0, k * pi / 2) for k in range(4))
    part = TruePart("flange", (Stretch(30.0, 28.0), Stretch(14.0, 76.0)), cuts=circle)
    settings = ScanSettings(voxel_mm=0.9, noise_mm=0.03, blind="bridged", looks=40)
    vertices, faces = scan(part, settings, 5)
    graph = scan_graph(cleaned(vertices, faces, where="flange"), progress=quietly, stop=never)
    holes = [2 * p.radius_mm for p in graph.patches if p.kind == "cylinder" and p.inside]
    assert holes
    assert min(holes) > 5.9
