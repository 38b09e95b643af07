"""Two surfaces that run into each other are told from two that stand apart and from a hollow."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from steadyrest.part.triangles.crossing import crossing_pairs, winding
from steadyrest.part.triangles.mesh import FloatArray


def box(side: float, at: tuple[float, float, float]) -> trimesh.Trimesh:
    made = trimesh.creation.box((side, side, side))
    made.apply_translation(at)
    return made


@pytest.mark.parametrize(
    ("other", "pairs"),
    [(box(10, (5, 3, 2)), 1), (box(10, (30, 0, 0)), 0), (box(4, (0, 0, 0)), 0), (box(10, (10.5, 0, 0)), 0)],
    ids=["run into each other", "far apart", "a hollow within", "a gap of half a millimetre"],
)
def test_surfaces_that_cross_are_told_from_those_that_do_not(other: trimesh.Trimesh, pairs: int) -> None:
    first, second = box(10, (0, 0, 0)), other
    points = np.vstack([first.vertices, second.vertices])
    corners = np.vstack([first.faces, second.faces + len(first.vertices)]).astype(np.int32)
    shell = np.repeat(np.array([0, 1], np.int32), [len(first.faces), len(second.faces)])
    assert crossing_pairs(points, corners, shell, 2) == pairs


@pytest.mark.parametrize(("place", "wraps"), [((0, 0, 0), 1), ((4.9, 4.9, -4.9), 1), ((5.1, 0, 0), 0), ((50, 2, 1), 0)])
def test_a_closed_surface_wraps_once_round_what_is_inside(place: tuple[float, float, float], wraps: int) -> None:
    """Against a closed form: the solid angle of a closed surface is 4 pi inside and 0 outside."""
    triangles: FloatArray = np.asarray(box(10, (0, 0, 0)).triangles, dtype=np.float64)
    assert winding(np.array(place, dtype=np.float64), triangles) == pytest.approx(wraps, abs=1e-9)
