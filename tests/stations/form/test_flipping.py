"""Laws of the film's triangles: laid over a rim, split, exchanged."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import Delaunay

from steadyrest.stations.form import film
from steadyrest.stations.form.flipping import flipped
from steadyrest.stations.form.laying import laid_flat, split_in_four


def edges(faces):
    sides = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    return np.unique(sides, axis=0, return_counts=True)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6))
def test_exchanging_sides_keeps_area_border_and_corners(seed):
    luck = np.random.default_rng(seed)
    points = np.column_stack((luck.random((60, 2)) * (10, 1), np.zeros(60)))
    faces = Delaunay(points[:, :2] * (1, 30)).simplices.astype(np.int64)
    turn = np.cross(points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]])[:, 2]
    faces[turn < 0] = faces[turn < 0][:, [0, 2, 1]]
    after = flipped(points, faces)
    assert film.areas(points, after).sum() == pytest.approx(film.areas(points, faces).sum())
    before, now = edges(faces), edges(after)
    assert now[1].max() <= 2
    assert {tuple(e) for e in before[0][before[1] == 1]} == {tuple(e) for e in now[0][now[1] == 1]}
    assert set(after.ravel()) == set(faces.ravel())


@pytest.mark.parametrize(
    "rim",
    [
        shapely.box(0, 0, 80, 50),
        shapely.Point(0, 0).buffer(30, 64),
        shapely.Polygon([(0, 0), (90, 0), (90, 30), (30, 30), (30, 90), (0, 90)]),
        shapely.Point(0, 0).buffer(40).difference(shapely.Point(5, 0).buffer(12)),
    ],
    ids=["box", "round", "angle", "ring"],
)
def test_a_sheet_laid_over_a_rim_fills_it_with_even_triangles(rim):
    points, faces, held = laid_flat(rim, 900, "mould.stl")
    assert film.areas(points, faces).sum() == pytest.approx(rim.area, rel=0.01)
    sides, counts = edges(faces)
    assert held[sides[counts == 1]].all()
    assert len(faces) == pytest.approx(900, rel=0.25)


def test_splitting_keeps_the_area_and_knows_the_border():
    points, faces, _ = laid_flat(shapely.box(0, 0, 10, 10), 200, "mould.stl")
    finer, four, ends, border = split_in_four(points, faces)
    assert film.areas(finer, four).sum() == pytest.approx(100)
    assert len(four) == 4 * len(faces)
    assert (finer[len(points) :] == points[ends].mean(axis=1)).all()
    assert border.sum() == (edges(faces)[1] == 1).sum()


def test_the_film_s_pull_is_the_gradient_of_its_area():
    luck = np.random.default_rng(3)
    points, faces, _ = laid_flat(shapely.box(0, 0, 10, 10), 60, "mould.stl")
    points = points + luck.normal(0, 0.2, points.shape)
    pulled = np.empty_like(points)
    film.pull(points, faces, film.weights(points, faces), pulled)
    pushed = film.volume_gradient(points, faces)
    for at in (0, 7, len(points) - 1):
        for axis in range(3):
            step = np.zeros_like(points)
            step[at, axis] = 1e-5
            rise = film.areas(points + step, faces).sum() - film.areas(points - step, faces).sum()
            assert pulled[at, axis] == pytest.approx(rise / 2e-5, abs=1e-5)
    inside = len(points) - 1
    step = np.zeros_like(points)
    step[inside, 2] = 1e-4
    rise = film.volume(points + step, faces) - film.volume(points - step, faces)
    assert pushed[inside, 2] == pytest.approx(rise / 2e-4, rel=1e-6)
