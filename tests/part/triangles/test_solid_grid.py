"""A closed surface as cells: volumes against closed forms, holes in a scan outvoted, the frame right-handed."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.triangles.solid_grid import pitch_of, solid_grid
from steadyrest.shop.solid_grid import coarser, grid_of

FRAME = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
TURNED = ((0.6, 0.8, 0.0), (-0.8, 0.6, 0.0), (0.0, 0.0, 1.0))


def volume(mesh: trimesh.Trimesh, *, closed: bool = True) -> float:
    grid = solid_grid(np.asarray(mesh.vertices), np.asarray(mesh.faces), frame=FRAME, closed=closed)
    return float(np.count_nonzero(grid.filled())) * grid.pitch_mm**3


def test_a_box_is_its_volume_and_fills_its_grid() -> None:
    mesh = trimesh.creation.box(extents=(80.0, 50.0, 20.0))
    grid = solid_grid(np.asarray(mesh.vertices), np.asarray(mesh.faces), frame=FRAME)
    assert grid.filled().all()
    assert grid.shape[2] * grid.pitch_mm == pytest.approx(20)
    assert volume(mesh) == pytest.approx(80 * 50 * 20, rel=0.01)


def test_a_tube_and_a_ball_are_their_volumes() -> None:
    """Source: closed forms."""
    tube = trimesh.creation.annulus(r_min=10, r_max=20, height=30, sections=256)
    assert volume(tube) == pytest.approx(math.pi * (400 - 100) * 30, rel=0.005)
    assert volume(trimesh.creation.icosphere(subdivisions=5, radius=10)) == pytest.approx(4189, rel=0.005)


def test_open_places_are_outvoted() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=10)
    keep = ~((ball.triangles_center[:, 2] > 9.5) & (ball.triangles_center[:, 0] > 0))
    torn = trimesh.Trimesh(ball.vertices, ball.faces[keep], process=False)
    assert volume(torn, closed=False) == pytest.approx(4189, rel=0.02)


@pytest.mark.parametrize("outward", [True, False])
def test_open_places_leave_no_slit_and_no_spike(outward: bool) -> None:
    """A block with small open places and one side missing: still the block, but for one cell in ten thousand."""
    block = trimesh.creation.box(extents=(40.0, 30.0, 20.0)).subdivide_to_size(1.5)
    luck = np.random.default_rng(4)
    middles = block.triangles_center
    keep = (luck.random(len(middles)) > 0.02) & (middles[:, 2] > -9.9)
    faces = np.asarray(block.faces)[keep]
    grid = solid_grid(np.asarray(block.vertices), faces if outward else faces[:, ::-1], frame=FRAME, closed=False)
    assert np.count_nonzero(~grid.filled()) < 1e-4 * grid.filled().size


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_cells_are_full_where_a_convex_body_is(seed: int) -> None:
    """The twin: a point lies in a convex body where it is behind all its faces."""
    luck = np.random.default_rng(seed)
    body = trimesh.convex.convex_hull(luck.normal(size=(12, 3)) * (8, 5, 3))
    grid = solid_grid(np.asarray(body.vertices), np.asarray(body.faces), frame=TURNED)
    cells = luck.integers(0, grid.shape, size=(200, 3))
    middles = np.array(grid.origin_mm) + (cells + 0.5) * grid.pitch_mm @ np.array(TURNED)
    ahead = np.einsum("fk,pfk->pf", body.face_normals, middles[:, None] - body.triangles_center[None]).max(axis=1)
    sure = np.abs(ahead) > 0.01 * grid.pitch_mm
    assert np.array_equal(grid.filled()[tuple(cells.T)][sure], (ahead < 0)[sure])


@given(st.tuples(*[st.floats(0.5, 1500)] * 3))
def test_cells_are_few_enough_and_the_thin_side_is_whole(size: tuple[float, float, float]) -> None:
    pitch = pitch_of(size)
    assert pitch > 0
    whole = min(size) / pitch
    assert whole == pytest.approx(round(whole), abs=1e-6) or whole < 1.0


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_a_grid_keeps_its_cells_and_finds_a_point_again(seed: int) -> None:
    luck = np.random.default_rng(seed)
    shape = tuple(int(n) for n in luck.integers(1, 20, size=3))
    filled = luck.random(shape) < 0.5
    grid = grid_of(filled, pitch_mm=0.7, origin_mm=(1.0, -2.0, 3.0), frame=TURNED)
    assert np.array_equal(grid.filled(), filled)
    cell = luck.uniform(0, 20, size=3)
    point = np.array(grid.origin_mm) + cell * 0.7 @ np.array(TURNED)
    assert grid.at((float(point[0]), float(point[1]), float(point[2]))) == pytest.approx(tuple(cell))


def test_a_grid_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="SolidGrid"):
        grid_of(np.ones((2, 2, 2), dtype=np.bool_), pitch_mm=0.0, origin_mm=(0.0, 0.0, 0.0), frame=FRAME)


def test_a_coarser_grid_keeps_the_body() -> None:
    ball = trimesh.creation.icosphere(subdivisions=5, radius=10)
    grid = coarser(solid_grid(np.asarray(ball.vertices), np.asarray(ball.faces), frame=FRAME))
    assert np.count_nonzero(grid.filled()) * grid.pitch_mm**3 == pytest.approx(4189, rel=0.01)
