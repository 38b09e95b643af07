"""A low hub on a face, with a round at its foot and a broken edge: nothing of it has an edge, and it is one.

Truth: the radius that the points are drawn with. Near misses: a hub of six sides, and one that leans like a cone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.hubs import hubs_on
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, STEP_MM, FOOT_MM, EDGE_MM, HALF_MM = 0.03, 0.6, 3.0, 1.0, 34.0
Z = np.array([0.0, 0.0, 1.0])


def hub(radius: Callable[[np.ndarray, float], np.ndarray], high: float, seed: int = 1) -> Skin:
    """A face z = 0 on which a hub stands. radius: of its wall by angle and height."""
    rng = np.random.default_rng(seed)
    widest = float(radius(np.zeros(1), 0.0)[0])
    angle = np.arange(int(2 * np.pi * widest / STEP_MM)) * STEP_MM / widest
    angle = angle / angle[-1] * 2 * np.pi * (1 - 1 / len(angle))
    turn = np.arange(0.0, np.pi / 2, STEP_MM / FOOT_MM)
    line = [(out, 0.0) for out in np.arange(HALF_MM - widest, FOOT_MM, -STEP_MM)]
    line += [(FOOT_MM * (1 - np.sin(t)), FOOT_MM * (1 - np.cos(t))) for t in turn]
    line += [(0.0, z) for z in np.arange(FOOT_MM, high - EDGE_MM, STEP_MM)]
    turn = np.arange(0.0, np.pi / 2, STEP_MM / EDGE_MM)
    line += [(-EDGE_MM * (1 - np.cos(t)), high - EDGE_MM * (1 - np.sin(t))) for t in turn]
    line += [(-EDGE_MM - out, high) for out in np.arange(0.0, 0.5 * widest, STEP_MM)]
    rings = [(radius(angle, z) + out, z) for out, z in line]
    points = np.concatenate([
        np.stack((r * np.cos(angle), r * np.sin(angle), np.full(len(angle), z)), axis=1) for r, z in rings
    ])  # fmt: skip
    points += NOISE_MM * rng.standard_normal(points.shape)
    around, k = len(angle), np.arange(len(angle))
    faces = [
        np.stack(corner, axis=1)
        for a in (i * around + k for i in range(len(rings) - 1))
        for b in (a - k + (k + 1) % around,)
        for corner in ((a, b, a + around), (b, b + around, a + around))
    ]
    skin = skin_of(cleaned(points, np.concatenate(faces), where="hub"))
    up = float(skin.normals[np.abs(skin.points[:, 2]) < 0.1, 2].mean())
    return skin if up > 0 else replace(skin, normals=-skin.normals, facet_normals=-skin.facet_normals)


def found_on(skin: Skin) -> list[Found]:
    """What is found on the face, which alone is known."""
    face = np.flatnonzero((np.abs(skin.points[:, 2]) < 0.1) & (skin.normals[:, 2] > 0.9))
    free = np.ones(len(skin.points), dtype=np.bool_)
    free[face] = False
    return hubs_on(skin, free, [Found(Plane(np.zeros(3), Z), face)], limits=limits_of(skin, NOISE_MM))


@pytest.mark.parametrize("radius", [12.0, 20.0])
def test_a_low_hub_without_a_hard_edge_is_as_wide_as_turned(radius: float) -> None:
    (found,) = found_on(hub(lambda angle, _: np.full(len(angle), radius), 0.6 * radius))
    assert isinstance(found.surface, Turned)
    assert not found.inside
    # The standard error of so many points is a few thousandths.
    assert found.surface.radius_mm == pytest.approx(radius, abs=0.01)


def test_a_hub_that_leans_is_none() -> None:
    assert not found_on(hub(lambda angle, z: np.full(len(angle), 15.0 - 0.12 * z), 10.0))


def test_a_hub_with_six_rounded_sides_is_none() -> None:
    assert not found_on(hub(lambda angle, _: 15.0 + 0.4 * np.cos(6 * angle), 10.0))
