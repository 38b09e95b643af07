"""A round found askew from its own points is made tangent to the planes beside it, unless its points deny it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.patches import tangent_u_mm
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.prismatic_scan.tangent import made_tangent
from steadyrest.part.segment.skin import Skin
from tests.part.segment.prismatic_scan.test_corners import NOISE_MM, bent_sheet

Y = np.array([0.0, 1.0, 0.0])


def askew(radius: float, turn: float, *, inner: bool, off: float, seed: int = 2) -> tuple[Skin, list[Found]]:
    """A sheet with a round that was found too small by a share, its axis as far off; the skin and all finds."""
    skin, free, walls = bent_sheet(radius, turn, inner=inner, seed=seed)
    true = np.array([0.0, 9.0, radius])
    to_rim = np.array([np.sin(turn / 2), 0.0, -np.cos(turn / 2)])
    wrong = Turned(true + off * radius * to_rim, Y, (1 - off) * radius)
    return skin, [*walls, Found(wrong, np.flatnonzero(free), inside=inner)]


@pytest.mark.parametrize("inner", [True, False])
@pytest.mark.parametrize("radius", [4.0, 6.0])
def test_its_radius_is_that_of_the_round_and_known_as_well_as_it_says(radius: float, inner: bool) -> None:
    errors, told = list[float](), list[float]()
    for seed in range(4):
        skin, found = askew(radius, np.pi / 2, inner=inner, off=0.06, seed=seed)
        round_ = made_tangent(skin, found, limits=limits_of(skin, NOISE_MM))[-1]
        assert isinstance(round_.surface, Turned)
        assert round_.tangent is not None
        points = skin.points[round_.members]
        errors.append(round_.surface.radius_mm - radius)
        told.append(tangent_u_mm(round_.surface, round_.tangent, points, NOISE_MM, 1.0))
    assert np.max(np.abs(errors)) < 3 * np.mean(told) < 0.1


def test_planes_that_stand_elsewhere_do_not_pull_at_a_round() -> None:
    skin, found = askew(5.0, np.pi / 2, inner=False, off=0.0)
    one, *rest = found
    assert isinstance(one.surface, Plane)
    moved = replace(one, surface=Plane(one.surface.point + 0.5 * one.surface.normal, one.surface.normal))
    assert made_tangent(skin, [moved, *rest], limits=limits_of(skin, NOISE_MM))[-1].tangent is None
