"""The distance to a true body, which everything in a made scan rests on."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from steadyrest.demo.scan import ScanSettings, scan
from steadyrest.demo.scanning.true_body import body_distance
from tests.forward.parts import PARTS

VOXEL_MM = 1.0
STEEPEST = 1.15


@pytest.mark.parametrize("name", PARTS)
def test_the_distance_never_promises_more_room_than_there_is(name: str) -> None:
    part = PARTS[name]()
    settings = ScanSettings(
        voxel_mm=VOXEL_MM, noise_mm=0.0, drift_mm=0.0, scale_error=0.0, blind="all seen", posed=False
    )
    surface = cKDTree(scan(part, settings, 1)[0])
    rng = np.random.default_rng(6)
    reach = np.array([part.largest_mm / 2 + 5, part.largest_mm / 2 + 5, part.length_mm / 2 + 5])
    points = rng.uniform(-1, 1, (4000, 3)) * reach + np.array([0.0, 0.0, part.length_mm / 2])
    claimed = np.abs(body_distance(part)(points, 1e3))
    nearest = surface.query(points)[0]
    assert np.all(claimed <= STEEPEST * nearest)
