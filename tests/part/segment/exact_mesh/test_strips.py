"""Strips of exact meshes: the compiled loops against their plain twins."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Ring, Sphere, Turned
from steadyrest.part.segment.exact_mesh.flats import flats_of
from steadyrest.part.segment.exact_mesh.strips import gathered, lying_on, refined_turned
from steadyrest.part.segment.skin import skin_of
from steadyrest.part.triangles.mesh import cleaned
from tests.oracles.turned_fit import reached_slowly


def directions(rng):
    axis = rng.standard_normal(3)
    return axis / np.linalg.norm(axis)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), half=st.sampled_from([0.0, 0.2, -0.6, 1.1]))
def test_the_quick_fit_of_a_turned_surface_is_the_plain_one(seed: int, half: float) -> None:
    rng = np.random.default_rng(seed)
    true = Turned(rng.normal(0, 20, 3), directions(rng), 9.0, half)
    u, v = (c for c in rounds.across(true.axis))
    t, turn = rng.uniform(-3, 3, 60), rng.uniform(0, 2 * np.pi, 60)
    radius = true.radius_mm + t * np.tan(half) + rng.normal(0, 1e-3, 60)
    points = true.point + t[:, None] * true.axis
    points = points + radius[:, None] * (np.cos(turn)[:, None] * u + np.sin(turn)[:, None] * v)
    start = Turned(true.point + 0.05 * u, rounds.unit(true.axis + 0.01 * v), 9.1, half + (0.01 if half else 0.0))
    quick = refined_turned(points, start, 40)
    plain = (rounds.cone if half else rounds.cylinder)(points, start, rounds=40)
    assert quick.distances(points) == pytest.approx(plain.distances(points), abs=1e-7)
    assert quick.radius_mm == pytest.approx(plain.radius_mm, abs=1e-6)
    assert quick.half_angle_rad == pytest.approx(plain.half_angle_rad, abs=1e-7)


def bead():
    """A short tube with a round outside, its axis askew: cylinders, and a ring's strips."""
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    bow = np.linspace(-1.2, 1.2, 9)
    profile = [(4.0, -3.0), *((7.0 + 3 * np.cos(b), 3 * np.sin(b)) for b in bow), (4.0, 3.0)]
    rows = [np.stack((r * np.cos(turn), r * np.sin(turn), np.full(48, z)), axis=1) for r, z in profile]
    n, many = len(turn), len(profile)
    faces = []
    for k in range(many):
        a, b = k * n, (k + 1) % many * n
        for s in range(n):
            t = (s + 1) % n
            faces += [(a + s, a + t, b + t), (a + s, b + t, b + s)]
    return skin_of(cleaned(np.concatenate(rows), np.array(faces), where="bead"))


SURFACES = (
    Turned(np.zeros(3), np.array([0.0, 0.0, 1.0]), 4.0),
    Ring(np.zeros(3), np.array([0.0, 0.0, 1.0]), 7.0, 3.0),
    Sphere(np.zeros(3), 10.0),
    Turned(np.zeros(3), np.array([0.0, 0.0, 1.0]), 9.5, 0.3),
)


@pytest.mark.parametrize("surface", SURFACES)
def test_the_quick_walk_reaches_what_the_slow_one_reaches(surface) -> None:
    skin = bead()
    flats = flats_of(skin, 1e-6)
    whose = np.full(len(flats.area), -1, dtype=np.int64)
    whose[5] = 0
    for seed in range(0, len(flats.area), 37):
        if whose[seed] >= 0:
            continue
        for tolerance in (1e-6, 0.02, 0.5):
            quick, hollow = gathered(skin, flats, seed, surface, whose, tolerance)
            assert (set(quick), hollow) == reached_slowly(skin, flats, seed, surface, whose, tolerance)
            assert quick[0] == seed


def test_the_bore_of_a_bead_lies_on_its_cylinder_and_nothing_else_does() -> None:
    skin = bead()
    flats = flats_of(skin, 1e-6)
    on = lying_on(skin, flats, list(range(len(flats.area))), SURFACES[0], 1e-6)
    assert len(on) == 48
    assert sum(flats.area[k] for k in on) == pytest.approx(2 * 4 * 48 * np.sin(np.pi / 48) * 6.0, rel=1e-9)
