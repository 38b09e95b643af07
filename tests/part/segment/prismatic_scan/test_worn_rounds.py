"""Bores that wear has left without one radius: found whole, and what they were before."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.prismatic_scan.worn_rounds import levels_before_wear, wall_ends, worn_rounds
from steadyrest.part.segment.skin import skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, STEP_MM, LONG_MM = 0.025, 0.7, 24.0


def hole(radius_of, seed: int = 1):
    """The wall of a hole of radius_of(turn, along), seen from within, with noise."""
    rng = np.random.default_rng(seed)
    many = int(2 * np.pi * 21 / STEP_MM)
    turn, along = np.meshgrid(np.arange(many) * 2 * np.pi / many, np.arange(0, LONG_MM, STEP_MM), indexing="ij")
    r = radius_of(turn, along) + NOISE_MM * rng.standard_normal(turn.shape)
    points = np.stack((r * np.cos(turn), r * np.sin(turn), along), axis=-1).reshape(-1, 3)
    rows = turn.shape[1]
    faces = []
    for i in range(many):
        for k in range(rows - 1):
            a, b = i * rows + k, (i + 1) % many * rows + k
            faces += [(a, b + 1, b), (a, a + 1, b + 1)]
    skin = skin_of(cleaned(points, np.array(faces), where="hole"))
    inward = -np.einsum("ij,ij->i", skin.normals[:, :2], skin.points[:, :2]).mean()
    return skin if inward > 0 else replace(skin, normals=-skin.normals, facet_normals=-skin.facet_normals)


def worn_band(turn, along):
    """21 mm, worn by 0.14 all round over its middle, the edges of the wear soft."""
    del turn
    return 21.0 + 0.14 * np.clip(np.minimum(along - 6.0, 16.0 - along) / 1.0, 0.0, 1.0)


def found_in(skin):
    free = np.ones(len(skin.points), dtype=np.bool_)
    return worn_rounds(skin, free, limits=limits_of(skin, NOISE_MM)), free


def test_a_worn_bore_is_one_bore_and_its_level_before_wear_is_told() -> None:
    skin = hole(worn_band)
    (bore,), free = found_in(skin)
    assert bore.inside
    assert not free[bore.members].any()
    (level,) = levels_before_wear(skin, [bore], noise_mm=NOISE_MM, correlation_mm=STEP_MM)
    assert level is not None
    assert level.radius_mm == pytest.approx(21.0, abs=0.03)
    assert level.depth_mm == pytest.approx(0.14, abs=0.05)


def test_an_even_bore_is_not_said_to_be_worn() -> None:
    skin = hole(lambda turn, _along: np.full(turn.shape, 21.0))
    (bore,), _ = found_in(skin)
    (level,) = levels_before_wear(skin, [bore], noise_mm=NOISE_MM, correlation_mm=STEP_MM)
    assert level is not None
    assert not level.depth_mm


@pytest.mark.parametrize(
    "shape",
    [
        lambda turn, _: 21.0 / np.maximum(np.abs(np.cos(turn)), np.abs(np.sin(turn))),
        lambda turn, _: 21.0 + 2.0 * np.cos(2 * turn),
        lambda _, along: 18.0 + 0.3 * along,
    ],
    ids=["a square hole", "an oval", "a taper"],
)
def test_what_is_not_round_or_not_straight_is_no_worn_bore(shape) -> None:
    assert found_in(hole(shape))[0] == []


def test_a_fit_that_holds_only_the_worn_middle_is_judged_by_the_ends_too() -> None:
    skin = hole(lambda _, along: 21.0 + 0.3 * ((along > 5.0) & (along < 19.0)))
    middle = np.flatnonzero((skin.points[:, 2] > 5.5) & (skin.points[:, 2] < 18.5))
    only = Found(Turned(np.array([0.0, 0.0, 12.0]), np.array([0.0, 0.0, 1.0]), 21.3), middle, True)
    (level,) = levels_before_wear(skin, [only], noise_mm=NOISE_MM, correlation_mm=STEP_MM)
    assert level is not None
    assert level.radius_mm == pytest.approx(21.0, abs=0.03)
    assert level.depth_mm == pytest.approx(0.3, abs=0.05)


def test_a_wall_ends_where_points_thin_out() -> None:
    along = np.concatenate([np.linspace(0.0, 30.0, 3000), np.linspace(30.0, 60.0, 100)])
    low, high = wall_ends(along, np.linspace(8.0, 20.0, 1200), 0.5)
    assert low == pytest.approx(0.0, abs=1.5)
    assert high == pytest.approx(30.0, abs=1.5)
