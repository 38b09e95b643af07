"""A worn bore found in arcs is one round; a slot's two ends and a stepped wall stay two. Truth: as drawn here."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.pieced import pieced
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, LONG_MM, ROWS, ROUND = 0.03, 12.0, 16, 160
Z = np.array([0.0, 0.0, 1.0])


def wall(radius: np.ndarray, apart_mm: float = 0.0) -> Skin:
    """A bore's wall along z, its radius by (ROUND,) angle; apart_mm moves its right half away from its left."""
    rng = np.random.default_rng(1)
    angle, along = np.meshgrid(np.arange(ROUND) * 2 * np.pi / ROUND, np.linspace(0, LONG_MM, ROWS), indexing="ij")
    r = radius[:, None] + NOISE_MM * rng.standard_normal(angle.shape)
    x = r * np.cos(angle) + np.where(np.cos(angle) > 0, apart_mm / 2, -apart_mm / 2)
    points = np.stack((x, r * np.sin(angle), along), axis=-1).reshape(-1, 3)
    faces = []
    for i in range(ROUND):
        for k in range(ROWS - 1):
            a, b = i * ROWS + k, (i + 1) % ROUND * ROWS + k
            faces += [(a, b + 1, b), (a, a + 1, b + 1)]
    skin = skin_of(cleaned(points, np.array(faces), where="wall"))
    return replace(skin, normals=-skin.normals, facet_normals=-skin.facet_normals)


def arc(skin: Skin, low: float, high: float, radius: float, x: float = 0.0) -> Found:
    """What was found between two angles, about a line a little beside the true one."""
    turn = np.arctan2(skin.points[:, 1], skin.points[:, 0])
    some = np.flatnonzero((turn >= low) & (turn < high))
    return Found(Turned(np.array([x, 0.02, LONG_MM / 2]), Z, radius), some, inside=True)


def test_arcs_of_a_worn_bore_are_one_round() -> None:
    angle = np.arange(ROUND) * 2 * np.pi / ROUND
    worn = np.where((angle > 1.0) & (angle < 3.0), 0.3, 0.0)
    skin = wall(26.0 + worn)
    (whole,) = pieced(skin, [arc(skin, -np.pi, 1.0, 26.0, 0.1), arc(skin, 1.0, 3.0, 26.4), arc(skin, 3.0, np.pi, 25.9)])
    assert isinstance(whole.surface, Turned)
    assert len(whole.members) > 0.98 * len(skin.points)
    assert 26.0 < whole.surface.radius_mm < 26.3


@pytest.mark.parametrize(("right", "apart"), [(26.0, 8.0), (29.0, 0.0)])
def test_ends_of_a_slot_and_a_wall_of_two_radii_stay_apart(right: float, apart: float) -> None:
    angle = np.arange(ROUND) * 2 * np.pi / ROUND
    skin = wall(np.where(np.cos(angle) > 0, right, 26.0), apart)
    turned = [arc(skin, -np.pi / 2, np.pi / 2, right, apart / 2), arc(skin, np.pi / 2, np.pi, 26.0, -apart / 2)]
    assert len(pieced(skin, turned)) == 2
