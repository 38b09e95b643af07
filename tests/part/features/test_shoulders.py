"""A shoulder is a face, also where the scan is too coarse to give it a plane of its own."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from steadyrest.demo import scan
from steadyrest.part.read import read

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
