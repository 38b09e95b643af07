"""Grooves no wider than two triangles, and shallow ones on a coarse mesh, told from seats that ran in."""

from __future__ import annotations

from functools import cache
from math import pi

import numpy as np
import pytest

from steadyrest.demo.scan import ScanSettings, scan
from steadyrest.demo.scanning.true_part import Stretch, TrueGroove, TruePart, Wear
from steadyrest.part.patch import PatchGraph
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.segment.turned_scan.narrow import narrow_grooves, narrow_lands
from steadyrest.part.segment.turned_scan.profile import Band, Rim
from steadyrest.part.triangles.mesh import cleaned
from steadyrest.tables import rings

COARSE = ScanSettings(voxel_mm=0.95, noise_mm=0.04, correlation_mm=0.9, looks=40)


def ring_pin() -> TruePart:
    """A pin with the groove of the retaining ring for 30 mm (tables/data/rings): 1.6 wide, 0.7 deep."""
    ring = rings.ring_groove("shaft", 30.0)
    assert ring is not None
    return TruePart("ring pin", (Stretch(50.0, 30.0), Stretch(20.0, 40.0)),
                    cuts=(TrueGroove(ring.groove_mm, 30.0, ring.width_mm),))  # fmt: skip


def shallow_pin() -> TruePart:
    return TruePart("shallow pin", (Stretch(50.0, 41.0), Stretch(20.0, 60.0)), cuts=(TrueGroove(39.8, 25.0, 5.0),))


def run_in_pin() -> TruePart:
    return TruePart("run-in pin", (Stretch(50.0, 41.0), Stretch(20.0, 60.0)),
                    wear=(Wear(0.4, 20.0, 30.0, arc_rad=2 * pi, shoulder_mm=(1.5, 1.5)),))  # fmt: skip


@cache
def graph_of(name: str) -> PatchGraph:
    part = {"ring": ring_pin, "shallow": shallow_pin, "run in": run_in_pin}[name]()
    vertices, faces = scan(part, COARSE, 4)
    return scan_graph(cleaned(vertices, faces, where=name), progress=quietly, stop=never)


def diameters(graph: PatchGraph) -> list[float]:
    return sorted(2 * p.unworn_mm for p in graph.patches if p.kind == "cylinder" and not p.inside)


def width_at(graph: PatchGraph, floor_mm: float) -> float:
    assert graph.axis is not None
    axis = np.array(graph.axis[1])
    at = sorted(float(np.array(s.point) @ axis) for s in graph.steps if abs(2 * min(s.radii_mm) - floor_mm) < 0.3)
    assert len(at) == 2
    return at[1] - at[0]


def test_the_groove_of_a_small_ring_is_found_on_a_coarse_mesh():
    graph = graph_of("ring")
    assert diameters(graph)[0] == pytest.approx(28.6, abs=0.08)
    assert width_at(graph, 28.6) == pytest.approx(1.6, abs=0.15)


def test_a_shallow_groove_is_no_wear():
    graph = graph_of("shallow")
    assert diameters(graph)[0] == pytest.approx(39.8, abs=0.05)
    assert width_at(graph, 39.8) == pytest.approx(5.0, abs=0.1)


def test_a_seat_that_ran_in_has_no_groove():
    graph = graph_of("run in")
    assert diameters(graph) == [pytest.approx(41.0, abs=0.08), pytest.approx(60.0, abs=0.05)]


def test_a_place_that_only_its_neighbours_fill_is_no_groove():
    # Half the way round is deep in one slice and the other half two slices on: the slice between holds no point.
    spacing, step = 1.0, 0.35
    angle = np.linspace(-pi, pi, 200, endpoint=False)
    along = np.where(angle < 0, 10 * step + 0.1, 12 * step + 0.1)
    ones = np.ones_like(angle)
    rim = Rim(along, 9.0 * ones, ones, 0 * ones, 0 * ones, angle)
    band = Band(1, 0.0, 20.0, 10.0, 0.0)
    assert narrow_grooves([band], rim, ones > 0, noise_mm=0.02, spacing_mm=spacing) == [band]


def end_of_shaft(land_mm: float) -> tuple[Rim, Band]:
    """A seat of 35 whose stretch ends in a groove of 1.6 by 0.85; beyond it a land, then a chamfer."""
    rng = np.random.default_rng(3)
    along, angle = rng.uniform(0.0, 24.0, 14000), rng.uniform(-pi, pi, 14000)
    deep = (along > 18.0) & (along < 19.6)
    past = np.maximum(along - 19.6 - land_mm, 0.0)
    radius = 17.5 - 0.85 * deep - past + 0.04 * rng.standard_normal(14000)
    ones = np.ones_like(along)
    return Rim(along, radius, ones, 0 * ones, 0 * ones, angle), Band(1, 0.0, 18.9, 17.5, 0.0)


def test_a_groove_in_which_the_seat_ends_is_one_where_a_land_stands_beyond_it():
    rim, seat = end_of_shaft(1.4)
    how = {"noise_mm": 0.04, "spacing_mm": 0.95}
    bands = narrow_grooves([seat], rim, np.ones(14000, dtype=np.bool_), **how)
    floor = min(bands, key=lambda b: b.radius_mm)
    assert floor.radius_mm == pytest.approx(16.65, abs=0.03)
    assert (floor.from_mm, floor.to_mm) == (pytest.approx(18.0, abs=0.1), pytest.approx(19.6, abs=0.1))
    land = narrow_lands(bands, rim, np.ones(14000, dtype=np.bool_), **how)[-1]
    assert land.from_mm > 19.5
    assert land.radius_mm == 17.5


def test_a_step_down_at_a_seats_end_is_no_groove():
    rim, seat = end_of_shaft(0.0)
    assert narrow_grooves([seat], rim, np.ones(14000, dtype=np.bool_), noise_mm=0.04, spacing_mm=0.95) == [seat]
