"""The map of a worn seat, against the wear that was cut into it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.triangles.mesh import cleaned
from steadyrest.part.wear.wear_map import wear_maps
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Part, Profile, Size, Stretch, UnitSaid

RADIUS_MM, LENGTH_MM, DEPTH_MM = 18.0, 40.0, 0.4
BAND_MM = (12.0, 28.0)  # worn along
HALF_RAD = 1.0  # worn this far to both sides


def worn_by(along, angle):
    """A hollow of even depth with steep sides, at 2 rad round."""
    turn = np.abs(np.angle(np.exp(1j * (angle - 2.0))))
    return DEPTH_MM * ((turn < HALF_RAD) & (along > BAND_MM[0]) & (along < BAND_MM[1]))


def nowhere(along, angle):
    return np.zeros(along.shape, dtype=bool)


def seat(*, inside=False, seed=1, noise_mm=0.02, gap=nowhere):
    rng = np.random.default_rng(seed)
    rows, columns = 100, 280
    along, angle = np.meshgrid(
        np.linspace(0, LENGTH_MM, rows), np.arange(columns) / columns * 2 * np.pi - np.pi, indexing="ij"
    )
    sign = -1 if inside else 1
    radius = RADIUS_MM - sign * worn_by(along, angle) + rng.normal(0, noise_mm, along.shape)
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), along], axis=-1).reshape(-1, 3)
    index = np.arange(rows * columns).reshape(rows, columns)
    a, b = index[:-1], np.roll(index, -1, axis=1)[:-1]
    c, d = index[1:], np.roll(index, -1, axis=1)[1:]
    keep = ~gap(along, angle)[:-1].ravel()
    faces = np.concatenate([np.stack([a, b, d], axis=-1).reshape(-1, 3)[keep],
                            np.stack([a, d, c], axis=-1).reshape(-1, 3)[keep]])  # fmt: skip
    used, faces = np.unique(faces, return_inverse=True)
    return cleaned(points[used], faces.reshape(-1, 3), where="seat")


def part(*, inside=False, wear_mm=DEPTH_MM):
    size = Size("diameter_mm", 2 * RADIUS_MM, 2 * RADIUS_MM - 0.2, 0.01)
    kind = "bore" if inside else "shaft"
    one = Feature("F1", kind, (size,), (0, 0, 1), (0, 0, 20), (0.0, LENGTH_MM), wear_mm=wear_mm, inside=inside)
    profile = Profile((0, 0, 0), (0, 0, 1), (Stretch(0, LENGTH_MM, 2 * RADIUS_MM, 2 * RADIUS_MM, "F1"),))
    unit = UnitSaid("mm", "sure", because("read.unit_given", unit="mm"))
    return Part("seat", "scan", unit, (40, 36, 36), None, (one,), True, profile=profile)


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_the_map_shows_the_hollow_where_and_as_deep_as_it_was_cut(inside, seed):
    (found,) = wear_maps(part(inside=inside), seat(inside=inside, seed=seed))
    depth = np.array(found.depth_mm, dtype=float)
    rows, columns = depth.shape
    step = (found.along_mm[1] - found.along_mm[0]) / rows
    along = found.along_mm[0] + (np.arange(rows)[:, None] + 0.5) * step
    turn = ((np.arange(columns) + 0.5) / columns - 0.5) * 2 * np.pi
    hollow = (np.abs(turn) < HALF_RAD - 0.2) & (along > BAND_MM[0] + 1.5) & (along < BAND_MM[1] - 1.5)
    whole = (np.abs(turn) > HALF_RAD + 0.2) | (along < BAND_MM[0] - 1.5) | (along > BAND_MM[1] + 1.5)
    assert np.abs(depth[hollow] - DEPTH_MM).max() < 0.03
    assert np.abs(depth[whole]).max() < 0.03


def test_what_was_not_seen_stays_empty():
    mesh = seat(gap=lambda along, angle: (np.abs(angle + 1.0) < 0.5) & (along < 20))
    (found,) = wear_maps(part(), mesh)
    empty = sum(cell is None for row in found.depth_mm for cell in row)
    assert 0.04 < empty / sum(len(row) for row in found.depth_mm) < 0.12


def test_a_sound_seat_a_bare_part_and_a_seat_hardly_seen_have_no_map():
    assert wear_maps(part(wear_mm=0.0), seat()) == ()
    assert wear_maps(replace(part(), profile=None), seat()) == ()
    assert wear_maps(part(), seat(gap=lambda along, angle: (angle > -2.4) & (along >= 0))) == ()
