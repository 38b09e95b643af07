"""A shoulder is a face, also where the scan is too coarse to give it a plane of its own."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from steadyrest.demo import scan
from steadyrest.part.features.frame import Frame
from steadyrest.part.features.profile import pieces_between
from steadyrest.part.features.turned import Ring, Slack
from steadyrest.part.patch import PatchGraph, Step
from steadyrest.part.read import read

FRAME = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0))
SHAFT = scan.stage_lift_shaft()


def test_every_step_of_a_scanned_shaft_is_a_face_that_looks_away_from_the_material(tmp_path: Path) -> None:
    file = tmp_path / "shaft.ply"
    scan.write_ply(file, *scan.scan(SHAFT, scan.ScanSettings(), seed=4))
    part = read(file.read_bytes(), file.name, unit="mm", progress=lambda _w, _s: None, stop=lambda: False)
    assert part.profile is not None
    faces = [f for f in part.features if f.kind == "face" and f.along_mm is not None]
    for before, after in pairwise(part.profile.outside):
        if abs(before.diameter_to_mm - after.diameter_from_mm) < 0.6:
            continue
        face = min(faces, key=lambda f: abs(f.along_mm[0] - before.to_mm))  # type: ignore[index]
        assert face.along_mm is not None
        assert face.along_mm[0] == pytest.approx(before.to_mm, abs=0.3)
        looks = float(np.dot(face.axis, part.profile.axis))
        assert (looks > 0) == (before.diameter_to_mm > after.diameter_from_mm)


def test_a_shoulder_is_found_where_the_smaller_stretch_ends_though_the_larger_reaches_over_it() -> None:
    graph = PatchGraph(
        (), (), scan=True, box_mm=((0.0, -30.0, -30.0), (20.0, 30.0, 30.0)), area_mm2=1000.0, volume_mm3=None,
        solids=None, noise_mm=0.02, axis=((0.0, 0.0, 0.0), (1.0, 0.0, 0.0)),
        steps=(Step((8.48, 0.0, 0.0), (27.5, 28.5), inside=False, u_mm=0.015),),
    )  # fmt: skip
    slack = Slack(angle_rad=0.026, distance_mm=0.2, rounding_mm=0.5, ragged_mm=0.5, least_mm2=5.0, tail=0.005)
    floor, top = Ring((), 4.4, 8.5, 27.5, 27.5), Ring((), 7.3, 13.0, 28.5, 28.5)
    stretches = ((floor, 4.4, 7.3), (top, 7.3, 13.0))
    below, above = pieces_between(graph, FRAME, slack, stretches, (), outside=True)
    assert below.high.at_mm == above.low.at_mm == pytest.approx(8.48)
    assert below.high.u_mm == pytest.approx(0.015)
