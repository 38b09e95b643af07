"""Slots measured as one shape: truth is what the walls were drawn with; a pocket with smaller corners is none."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.milled import Slot, milled, stretch_of
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, STEP_MM = 0.03, 0.7
Z = np.array([0.0, 0.0, 1.0])


def outline(half: float, wide: float, corner: float) -> np.ndarray:
    """(n, 4) of a rounded rectangle: points half a step apart and the way out, once round."""
    out = list[tuple[float, float, float, float]]()
    a, b = half - corner, wide - corner
    for k, (x, y) in enumerate(((a, b), (-a, b), (-a, -b), (a, -b))):
        turns = np.arange(0, pi / 2, STEP_MM / max(corner, 0.1))
        out += [(x + corner * cos(k * pi / 2 + t), y + corner * sin(k * pi / 2 + t), cos(k * pi / 2 + t),
                 sin(k * pi / 2 + t)) for t in turns]  # fmt: skip
        nx, ny = cos((k + 1) * pi / 2), sin((k + 1) * pi / 2)
        long = 2 * (a if k % 2 == 0 else b)
        along = np.arange(0, long, STEP_MM)
        ex, ey = x + corner * nx, y + corner * ny
        out += [(ex - t * ny, ey + t * nx, nx, ny) for t in along]
    return np.array(out)


def plate(half: float, wide: float, corner: float, *, deep_mm: float = 5.0, seed: int = 1) -> Skin:
    """A face z = 0 with such a hollow in it, its walls down to a depth."""
    rng = np.random.default_rng(seed)
    rim = outline(half, wide, corner)
    many, rows, rings = len(rim), int(deep_mm / STEP_MM) + 1, 9
    layers = [(STEP_MM * k, 0.0) for k in range(rings, 0, -1)] + [(0.0, -deep_mm * k / rows) for k in range(rows + 1)]
    points = np.array([(x + far * nx, y + far * ny, z) for far, z in layers for x, y, nx, ny in rim])
    points += NOISE_MM * rng.standard_normal(points.shape)
    faces = []
    for i in range(len(layers) - 1):
        for k in range(many):
            a, b = i * many + k, i * many + (k + 1) % many
            faces += [(a, a + many, b), (b, a + many, b + many)]
    skin = skin_of(cleaned(points, np.array(faces), where="plate"))
    # Cleaning cannot know which side of an open sheet is metal: here it is below the face.
    up = float(skin.normals[np.abs(skin.points[:, 2]) < 0.15, 2].mean())
    return skin if up > 0 else replace(skin, normals=-skin.normals, facet_normals=-skin.facet_normals)


def parts(skin: Skin) -> list[Found]:
    face = np.flatnonzero((np.abs(skin.points[:, 2]) < 0.15) & (skin.normals[:, 2] > 0.9))
    seen = np.ones(len(skin.points), dtype=np.bool_)
    found = [Found(Plane(np.zeros(3), Z), face)]
    return milled(skin, seen, found, limits=limits_of(skin, NOISE_MM))[1:]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("wide", "half"), [(3.0, 9.0), (5.0, 12.0)])
def test_a_slot_is_two_walls_and_two_ends_as_wide_as_it_was_milled(wide: float, half: float, seed: int) -> None:
    found = parts(plate(half, wide, wide, seed=seed))
    ends = [f.surface for f in found if isinstance(f.surface, Turned)]
    walls = [f.surface for f in found if isinstance(f.surface, Plane)]
    assert (len(ends), len(walls)) == (2, 2)
    assert [end.radius_mm for end in ends] == pytest.approx([wide, wide], abs=0.015)
    apart = float((walls[0].point - walls[1].point) @ walls[1].normal)
    assert abs(apart) == pytest.approx(2 * wide, abs=0.03)
    assert float(np.linalg.norm(ends[0].point - ends[1].point)) == pytest.approx(2 * (half - wide), abs=0.06)


def test_a_pocket_with_smaller_corners_is_no_slot() -> None:
    """The near miss: 26 x 14 with corners of 4, where a slot's would be 7."""
    assert not parts(plate(13.0, 7.0, 4.0))


def test_a_round_hole_is_no_slot() -> None:
    assert not parts(plate(5.0, 5.0, 5.0))


@settings(max_examples=40, deadline=None)
@given(st.floats(-pi, pi), st.floats(1.0, 20.0), st.floats(1.0, 9.0), st.floats(-2.0, 2.0))
def test_distances_from_a_slot_are_those_from_its_middle_line_less_half_its_width(
    turn: float, half: float, radius: float, side: float
) -> None:
    slot = Slot(1.0, -2.0, turn, half, radius)
    along = np.linspace(-2 * half, 2 * half, 41)
    x = 1.0 + along * cos(turn) - side * sin(turn)
    y = -2.0 + along * sin(turn) + side * cos(turn)
    line = np.linspace(-half, half, 4001)
    # By brute force: to the nearest of many points of the middle line.
    want = [np.hypot(a - line, side).min() - radius for a in along]
    assert slot.off(x, y)[0] == pytest.approx(np.array(want), abs=half / 1000)


def test_equal_steps_round_a_slot_fall_into_all_of_its_stretches() -> None:
    slot = Slot(0.0, 0.0, 0.0, 9.0, 3.0)
    rim = outline(12.0, 3.0, 3.0)
    assert set(stretch_of(slot, rim[:, 0], rim[:, 1]).tolist()) == set(range(24))
