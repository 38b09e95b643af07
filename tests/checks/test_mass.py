"""Volume, centre and inertia against closed forms (box, cylinder, cone, hollow ball: any textbook of mechanics) and the
kernel's own integration of the same solid."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.read import read
from steadyrest.part.triangles.mass import mass_properties
from steadyrest.part.triangles.mesh import cleaned
from tests.part.solid import made


def of_mesh(one: trimesh.Trimesh):
    found = mass_properties(cleaned(np.array(one.vertices), np.array(one.faces), where="mesh"))
    assert found is not None
    return found


def of_solid(shape):
    part = read(made.step(shape), "a.step", unit=None, progress=lambda _w, _s: None, stop=lambda: False)
    assert part.mass is not None
    return part.mass


def matches(found, volume, centre, moments, rel=1e-9):
    assert found.volume_mm3 == pytest.approx(volume, rel=rel)
    assert found.centre_mm == pytest.approx(centre, abs=1e-9 + rel * 100)
    principal = np.sort(np.linalg.eigvalsh(np.array(found.inertia_mm5)))
    assert principal == pytest.approx(np.sort(moments), rel=10 * rel)


def box_moments(a, b, c):
    v = a * b * c
    return [v * (b * b + c * c) / 12, v * (a * a + c * c) / 12, v * (a * a + b * b) / 12]


SIDE = st.floats(0.5, 300)


@settings(deadline=None)
@given(SIDE, SIDE, SIDE, st.floats(-500, 500), st.integers(0, 10))
def test_a_box_anywhere_and_any_way_up(a, b, c, off, seed):
    turn = trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3))
    one = trimesh.creation.box((a, b, c), transform=turn)
    one.apply_translation((off, 2 * off, -off))
    found = of_mesh(one)
    assert found.volume_mm3 == pytest.approx(a * b * c, rel=1e-7)
    assert found.centre_mm == pytest.approx((off, 2 * off, -off), abs=1e-6)
    assert np.sort(np.linalg.eigvalsh(np.array(found.inertia_mm5))) == pytest.approx(
        np.sort(box_moments(a, b, c)), rel=1e-5
    )


def test_the_kernel_s_integration_agrees_with_the_closed_forms():
    r, h = 20.0, 90.0
    v = math.pi * r * r * h
    across = v * (3 * r * r + h * h) / 12
    matches(of_solid(made.cylinder(2 * r, 0, h)), v, (0, 0, h / 2), [v * r * r / 2, across, across], rel=1e-6)
    matches(of_solid(made.box((1, 2, 3), (11, 32, 53))), 10 * 30 * 50, (6, 17, 28), box_moments(10, 30, 50), rel=1e-7)
    r, h = 15.0, 40.0
    v = math.pi * r * r * h / 3
    across = v * 3 / 80 * (4 * r * r + h * h)
    cone = made.cone(2 * r, 0, 0, h)
    matches(of_solid(cone), v, (0, 0, h / 4), [v * 0.3 * r * r, across, across], rel=1e-6)


def test_a_hollow_counts_as_nothing():
    inner, outer = trimesh.creation.icosphere(5, 10.0), trimesh.creation.icosphere(5, 16.0)
    inner.invert()
    found = of_mesh(trimesh.util.concatenate([outer, inner]))
    v = 4 / 3 * math.pi * (16**3 - 10**3)
    moment = 8 / 15 * math.pi * (16**5 - 10**5)
    # The ball of facets is smaller than the ball by some 2e-3.
    matches(found, v, (0, 0, 0), [moment] * 3, rel=4e-3)


def test_mesh_and_solid_of_one_part_agree():
    solid = of_solid(made.fused(made.box((0, 0, 0), (40, 30, 10)), made.box((0, 0, 10), (10, 30, 50))))
    mesh = trimesh.boolean.union(
        [
            trimesh.creation.box(bounds=[(0, 0, 0), (40, 30, 10)]),
            trimesh.creation.box(bounds=[(0, 0, 10), (10, 30, 50)]),
        ]
    )
    found = of_mesh(mesh)
    assert found.volume_mm3 == pytest.approx(solid.volume_mm3, rel=1e-9)
    assert found.centre_mm == pytest.approx(solid.centre_mm, rel=1e-9)
    assert np.array(found.inertia_mm5) == pytest.approx(np.array(solid.inertia_mm5), rel=1e-7, abs=1e-3)


def test_an_open_surface_has_no_mass():
    one = trimesh.creation.box((1, 2, 3))
    assert mass_properties(cleaned(np.array(one.vertices), np.array(one.faces)[:-1], where="mesh")) is None
