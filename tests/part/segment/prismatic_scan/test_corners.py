"""Rounds between two planes of a scan: tangent to both, told by their radius alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.flat import Plane
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.corners import corners_beside
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.skin import skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, STEP_MM, LONG_MM, WALL_MM = 0.03, 0.4, 18.0, 12.0


def looking(skin, sense: float):
    """The skin with its first wall's normals up (sense 1) or down: an open sheet's two sides are told by nothing."""
    if skin.normals[5, 2] * sense > 0:
        return skin
    return replace(skin, normals=-skin.normals, facet_normals=-skin.facet_normals)


def bent_sheet(radius_mm: float, turn_rad: float, *, inner: bool, seed: int):
    """The skin of two walls with a round between them, with noise; and the two walls as finds.

    Seen along y: first wall along x, round to the left by turn_rad, second wall. Its normal is up on the first wall;
    an inner corner has it on the side to which the sheet bends.
    """
    rng = np.random.default_rng(seed)
    arc = radius_mm * turn_rad
    s = np.arange(-WALL_MM, arc + WALL_MM, STEP_MM)
    phi = np.clip(s / max(radius_mm, 1e-9), 0, turn_rad) if radius_mm else np.where(s > 0, turn_rad, 0.0)
    flat = np.minimum(s, 0.0), np.maximum(s - arc, 0.0)
    x = flat[0] + radius_mm * np.sin(phi) + flat[1] * np.cos(turn_rad)
    z = radius_mm * (1 - np.cos(phi)) + flat[1] * np.sin(turn_rad)
    y = np.arange(0, LONG_MM, STEP_MM)
    points = np.array([(a, b, c) for a, c in zip(x, z, strict=True) for b in y])
    normal = np.array([(-np.sin(p), 0.0, np.cos(p)) for p in phi for _ in y])
    points = points + NOISE_MM * rng.standard_normal(len(points))[:, None] * normal
    many = len(y)
    faces = []
    for i in range(len(s) - 1):
        for k in range(many - 1):
            a, b, c, d = i * many + k, (i + 1) * many + k, (i + 1) * many + k + 1, i * many + k + 1
            faces += [(a, b, c), (a, c, d)] if inner else [(a, c, b), (a, d, c)]
    sense = 1.0 if inner else -1.0
    skin = looking(skin_of(cleaned(points, np.array(faces), where="sheet")), sense)
    one = Plane(np.array([0.0, 9.0, 0.0]), np.array([0.0, 0.0, sense]))
    end = np.array([radius_mm * np.sin(turn_rad), 9.0, radius_mm * (1 - np.cos(turn_rad))])
    other = Plane(end, sense * np.array([-np.sin(turn_rad), 0.0, np.cos(turn_rad)]))
    walls, free = [], np.ones(len(skin.points), dtype=np.bool_)
    for plane in (one, other):
        near = (np.abs(plane.distances(skin.points)) < 0.1) & (skin.normals @ plane.normal > 0.96)
        members = np.flatnonzero(near & free)
        free[members] = False
        walls.append(Found(plane, members))
    return skin, free, walls


@pytest.mark.parametrize("inner", [True, False])
@pytest.mark.parametrize(("radius_mm", "turn_deg"), [(3.0, 90.0), (5.0, 90.0), (4.0, 60.0), (4.0, 120.0)])
def test_a_round_between_two_walls_has_its_radius_and_its_side(radius_mm: float, turn_deg: float, inner: bool) -> None:
    skin, free, walls = bent_sheet(radius_mm, np.radians(turn_deg), inner=inner, seed=5)
    (found,) = corners_beside(skin, free, walls, limits=limits_of(skin, NOISE_MM))
    assert found.surface.radius_mm == pytest.approx(radius_mm, abs=0.03 * radius_mm)
    assert found.inside is inner
    assert abs(found.surface.axis[1]) == pytest.approx(1.0, abs=1e-9)
    assert not free[found.members].any()


@pytest.mark.parametrize("inner", [True, False])
def test_a_sharp_corner_is_no_round(inner: bool) -> None:
    skin, free, walls = bent_sheet(0.0, np.pi / 2, inner=inner, seed=6)
    assert corners_beside(skin, free, walls, limits=limits_of(skin, NOISE_MM)) == []


def test_an_edge_broken_by_hand_is_no_fillet() -> None:
    skin, free, walls = bent_sheet(0.4, np.pi / 2, inner=False, seed=7)
    assert corners_beside(skin, free, walls, limits=limits_of(skin, NOISE_MM)) == []


def test_a_chamfer_between_two_walls_is_no_round() -> None:
    skin, free, walls = bent_sheet(5.0, np.pi / 2, inner=False, seed=8)
    # The round's points pressed flat onto the chord between where it begins and where it ends.
    points = skin.points.copy()
    off = (points[:, 0] - points[:, 2]) / np.sqrt(2)
    points[free] -= off[free][:, None] * np.array([1.0, 0.0, -1.0]) / np.sqrt(2)
    flat = looking(skin_of(cleaned(points, skin.facets.astype(np.int64), where="chamfer")), -1.0)
    assert corners_beside(flat, free, walls, limits=limits_of(flat, NOISE_MM)) == []
