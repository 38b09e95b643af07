"""The same finder on a scan: every feature of a worn shaft, and none that is not there.

The scan comes from the demo's forward model, which shares no code with part/.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from steadyrest.demo.scan import ScanSettings, scan, stage_lift_shaft, truth, write_ply
from steadyrest.part.read import read
from steadyrest.shop.part import Part


@cache
def scanned(seed: int) -> Part:
    settings = ScanSettings(voxel_mm=1.2, noise_mm=(0.025, 0.06)[seed % 2])
    vertices, faces = scan(stage_lift_shaft(), settings, seed=seed)
    with TemporaryDirectory() as folder:
        file = Path(folder) / "shaft.ply"
        write_ply(file, vertices, faces)
        return read(file.read_bytes(), file.name, unit="mm", progress=lambda _w, _s: None, stop=lambda: False)


@pytest.mark.parametrize("seed", [3, 4])
def test_every_feature_is_found_and_none_invented(seed: int) -> None:
    kinds = Counter(f.kind for f in scanned(seed).features if f.kind != "face")
    assert kinds == {"shaft": 6, "keyway": 1, "groove": 1}


@pytest.mark.parametrize("seed", [3, 4])
def test_diameters_lengths_and_the_keyway_are_the_true_ones(seed: int) -> None:
    part = scanned(seed)
    wanted = truth(stage_lift_shaft())
    shafts = sorted((s.size_mm, round(s.along_mm[1] - s.along_mm[0])) for s in wanted if s.kind == "shaft")
    got = [f for f in part.features if f.kind == "shaft"]
    # The groove parts the end seat into two shafts.
    assert {round(size, 2) for size, _ in shafts} == {
        min((round(s, 2) for s, _ in shafts), key=lambda w: abs(w - f.sizes[0].estimate)) for f in got
    }
    for feature in got:
        true = min((s for s, _ in shafts), key=lambda w: abs(w - feature.sizes[0].estimate))
        assert feature.sizes[0].estimate == pytest.approx(true, abs=0.05)
    (keyway,) = (f for f in part.features if f.kind == "keyway")
    (true_key,) = (s for s in wanted if s.kind == "keyway")
    assert keyway.sizes[0].estimate == pytest.approx(true_key.size_mm, abs=max(0.05, 3 * keyway.sizes[0].uncertainty))
    assert keyway.sizes[1].estimate == pytest.approx(true_key.depth_mm, abs=0.05)
    # Where a round end was too coarsely scanned to be known, the length is, and says that it is, less sure.
    length = keyway.sizes[2]
    true_length = true_key.along_mm[1] - true_key.along_mm[0]
    assert length.estimate == pytest.approx(true_length, abs=max(0.3, 3 * length.uncertainty))
    assert keyway.on is not None


@pytest.mark.parametrize("seed", [3, 4])
def test_the_profile_reaches_from_end_to_end(seed: int) -> None:
    profile = scanned(seed).profile
    assert profile is not None
    assert all(a.to_mm == b.from_mm for a, b in zip(profile.outside[:-1], profile.outside[1:], strict=True))
    assert profile.length_mm == pytest.approx(max(s.along_mm[1] for s in truth(stage_lift_shaft())), abs=0.1)
    assert all(stretch.feature for stretch in profile.outside)
