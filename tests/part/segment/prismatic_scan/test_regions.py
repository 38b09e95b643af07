"""A find is the surface of its own points: fitted to them all, wherever growing began."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import come_to_rest, limits_of
from steadyrest.part.segment.skin import skin_of
from steadyrest.part.triangles.mesh import cleaned

RADIUS_MM, NOISE_MM = 21.5, 0.055


@pytest.mark.parametrize("seed", [1, 2])
def test_a_short_boss_with_a_gap_for_its_web_is_as_wide_as_its_points_lie(seed: int) -> None:
    rng = np.random.default_rng(seed)
    turn, along = np.meshgrid(np.radians(np.arange(0.0, 300.0, 2.0)), np.arange(0.0, 10.8, 0.75), indexing="ij")
    slow = 0.05 * np.cos(0.4 * along + 2 * turn + rng.uniform(0, 6))
    radius = RADIUS_MM + slow + NOISE_MM * rng.standard_normal(turn.shape)
    points = np.stack((radius * np.cos(turn), radius * np.sin(turn), along), axis=-1).reshape(-1, 3)
    rows = turn.shape[1]
    i, k = (x.ravel() for x in np.meshgrid(np.arange(turn.shape[0] - 1), np.arange(rows - 1), indexing="ij"))
    a, b = i * rows + k, (i + 1) * rows + k
    faces = np.concatenate((np.stack((a, b, b + 1), axis=1), np.stack((a, b + 1, a + 1), axis=1)))
    skin = skin_of(cleaned(points, faces, where="boss"))
    skin = replace(
        skin, normals=skin.normals * np.sign(skin.normals[0] @ [1.0, 0.0, 0.0])
    )  # a lone wall has no outside
    grown = Turned(np.array([-0.02, -0.035, 5.4]), np.array([0.0, 0.0, 1.0]), RADIUS_MM + 0.04)
    limits = limits_of(skin, NOISE_MM)
    on = np.flatnonzero(np.abs(grown.distances(skin.points)) < limits.reach_mm)
    found = come_to_rest(skin, np.ones(len(skin.points), dtype=np.bool_), Found(grown, on), limits=limits)
    assert isinstance(found.surface, Turned)
    assert abs(float(found.surface.distances(skin.points[found.members]).mean())) < 0.05 * NOISE_MM
    assert found.surface.radius_mm == pytest.approx(RADIUS_MM, abs=0.02)
