"""Small holes measured square to their faces: half seen walls, holes missed, askew ones, slots' ends, worn pieces.

Truth: the sizes that the points are drawn with. The plate is its upper face with rims, and walls seen to some depth.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.drilled import drilled
from steadyrest.part.segment.prismatic_scan.mouths import mouths_of
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, STEP_MM, HALF_MM = 0.03, 0.7, 18.0
Z = np.array([0.0, 0.0, 1.0])


def plate(radius: float, deep_mm: float, *, lean: float = 0.0, seed: int = 1, half_round: bool = False) -> Skin:
    """A face z = 0 with a hole in it whose wall is seen so deep; lean: sideways for each mm of depth."""
    rng = np.random.default_rng(seed)
    around = max(int(np.ceil(2 * np.pi * radius / STEP_MM)), 44)
    rows = int(np.ceil(deep_mm / STEP_MM)) + 1
    rings = int(np.ceil((HALF_MM - radius) / STEP_MM)) + 1
    angle = np.arange(around) * 2 * np.pi / around
    out = np.linspace(radius, HALF_MM, rings)
    down = np.linspace(0, deep_mm, rows)
    circles = [(r, 0.0) for r in out[::-1]] + [(radius, -t) for t in down[1:]]
    points = np.array([
        (r * np.cos(a) - lean * z, r * np.sin(a), z) for r, z in circles for a in angle
    ])  # fmt: skip
    points += NOISE_MM * rng.standard_normal(points.shape)
    faces = []
    for i in range(len(circles) - 1):
        if half_round and i >= rings - 1:
            wide = around // 2
        else:
            wide = around
        for k in range(wide):
            a, b = i * around + k, i * around + (k + 1) % around
            c, d = a + around, b + around
            faces += [(a, c, b), (b, c, d)]
    skin = skin_of(cleaned(points, np.array(faces), where="plate"))
    # Cleaning cannot know which side of an open sheet is metal: here it is below the face.
    up = float(skin.normals[np.abs(skin.points[:, 2]) < 0.15, 2].mean())
    return skin if up > 0 else replace(skin, normals=-skin.normals, facet_normals=-skin.facet_normals)


def finds(skin: Skin) -> list[Found]:
    """The face alone: nothing of the wall was believed."""
    face = np.flatnonzero((np.abs(skin.points[:, 2]) < 0.15) & (skin.normals[:, 2] > 0.9))
    return [Found(Plane(np.zeros(3), Z), face)]


def measured(skin: Skin, found: list[Found]) -> list[Found]:
    seen = np.ones(len(skin.points), dtype=np.bool_)
    out = drilled(skin, seen, found, limits=limits_of(skin, NOISE_MM))
    return [f for f in out if f.inside]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("radius", [2.5, 3.6])
def test_a_hole_that_was_missed_is_found_by_its_rim_and_is_as_wide_as_drilled(radius: float, seed: int) -> None:
    skin = plate(radius, 4.0, seed=seed)
    (hole,) = measured(skin, finds(skin))
    assert isinstance(hole.surface, Turned)
    # Standard error of a radius from so few points, with margin; the truth is what the points were drawn with.
    assert hole.surface.radius_mm == pytest.approx(radius, abs=0.02)
    assert abs(float(hole.surface.axis @ Z)) == pytest.approx(1.0, abs=1e-6)


def test_two_askew_pieces_of_one_wall_become_one_hole() -> None:
    skin = plate(3.0, 6.0)
    wall = np.flatnonzero(skin.points[:, 2] < -0.6)
    askew = np.array([0.12, 0.0, 1.0]) / np.hypot(0.12, 1.0)
    low = wall[skin.points[wall, 2] < -3]
    high = wall[skin.points[wall, 2] >= -3]
    pieces = [
        Found(Turned(np.array([0.1, 0.0, z]), askew, 2.9), some, inside=True) for z, some in ((-4.5, low), (-2, high))
    ]
    (hole,) = measured(skin, [*finds(skin), *pieces])
    assert isinstance(hole.surface, Turned)
    assert hole.surface.radius_mm == pytest.approx(3.0, abs=0.02)


def test_a_hole_drilled_askew_is_not_made_square() -> None:
    """The near miss: a slant of 6 degrees over three diameters."""
    skin = plate(3.0, 18.0, lean=0.1)
    wall = np.flatnonzero(skin.points[:, 2] < -0.8)
    axis = np.array([-0.1, 0.0, 1.0]) / np.hypot(0.1, 1.0)
    own = Found(Turned(np.array([0.9, 0.0, -9.0]), axis, 3.0), wall, inside=True)
    (hole,) = measured(skin, [*finds(skin), own])
    assert hole is own


def test_half_a_wall_under_a_face_is_no_hole() -> None:
    """The near miss: a slot's end; its points reach half way round, whatever the rim says."""
    skin = plate(4.0, 5.0, half_round=True)
    assert not [f for f in measured(skin, finds(skin)) if len(f.members) > 0 and round_it(skin, f) > 9]


def round_it(skin: Skin, found: Found) -> int:
    angle = np.arctan2(skin.points[found.members, 1], skin.points[found.members, 0])
    return len(np.unique(((angle / (2 * np.pi) + 0.5) * 16).astype(np.int64) % 16))


def test_a_face_with_a_round_rim_has_one_mouth_there() -> None:
    skin = plate(3.0, 4.0)
    inner = [m for m in mouths_of(skin, finds(skin), limits=limits_of(skin, NOISE_MM)) if m.radius_mm < 6]
    assert len(inner) == 1
    assert float(np.hypot(*inner[0].at[:2])) < 0.3
