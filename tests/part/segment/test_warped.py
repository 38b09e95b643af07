"""A large face that a scan's drift bends is a face; a strip of a round of that rise is none. Truth: closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.fit.flat import Plane
from steadyrest.part.segment.prismatic_scan.bulge import bend_radius_of
from steadyrest.part.segment.prismatic_scan.regions import limits_of, surfaces
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM = 0.03


@given(st.floats(20.0, 5000.0), st.floats(0.1, 0.9))
def test_a_bend_s_radius_is_half_the_square_of_the_reach_over_the_rise(radius: float, share: float) -> None:
    x, y = (c.ravel() for c in np.meshgrid(np.linspace(-share * 10, share * 10, 21), np.linspace(-10, 10, 21)))
    points = np.stack((x, y, x * x / (2 * radius)), axis=1)  # a parabola has this radius at its top
    assert bend_radius_of(points) == pytest.approx(radius, rel=1e-6)


def slab(rise_mm: float, half_mm: float) -> Skin:
    """A slab 60 long and 2 x half wide, 12 thick, its top bent so much along its width; noise on all of it."""
    rng = np.random.default_rng(3)
    step = half_mm / 15
    nx, ny, nz = int(60 / step), 31, max(int(12 / step), 3)
    number: dict[tuple[int, int, int], int] = {}
    points: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []

    def corner(i: int, j: int, k: int) -> int:
        if (i, j, k) not in number:
            number[i, j, k] = len(points)
            y = -half_mm + 2 * half_mm * j / (ny - 1)
            z = 12 * k / nz - (rise_mm * (y / half_mm) ** 2 if k == nz else 0.0)
            points.append((60 * i / nx, y, z))
        return number[i, j, k]

    def quad(
        a: tuple[int, int, int], b: tuple[int, int, int], c: tuple[int, int, int], d: tuple[int, int, int]
    ) -> None:
        p, q, r, s = corner(*a), corner(*b), corner(*c), corner(*d)
        faces.extend(((p, q, r), (p, r, s)))

    for i in range(nx):
        for j in range(ny - 1):
            quad((i, j, nz), (i + 1, j, nz), (i + 1, j + 1, nz), (i, j + 1, nz))
            quad((i, j, 0), (i, j + 1, 0), (i + 1, j + 1, 0), (i + 1, j, 0))
        for k in range(nz):
            quad((i, 0, k), (i + 1, 0, k), (i + 1, 0, k + 1), (i, 0, k + 1))
            quad((i, ny - 1, k), (i, ny - 1, k + 1), (i + 1, ny - 1, k + 1), (i + 1, ny - 1, k))
    for j in range(ny - 1):
        for k in range(nz):
            quad((0, j, k), (0, j, k + 1), (0, j + 1, k + 1), (0, j + 1, k))
            quad((nx, j, k), (nx, j + 1, k), (nx, j + 1, k + 1), (nx, j, k + 1))
    at = np.array(points)
    return skin_of(cleaned(at + NOISE_MM * rng.standard_normal(at.shape), np.array(faces), where="slab"))


def tops(skin: Skin) -> list[Plane]:
    found = surfaces(skin, np.ones(len(skin.points), dtype=np.bool_), ("plane",), limits=limits_of(skin, NOISE_MM))
    return [f.surface for f in found if isinstance(f.surface, Plane) and f.surface.normal[2] > 0.9]


def test_a_wide_face_bent_by_drift_is_still_a_face() -> None:
    """0.1 over 44: a radius of 2420 on a part 76 long."""
    assert len(tops(slab(0.1, 22.0))) == 1


def test_a_strip_of_a_round_with_the_same_rise_is_no_face() -> None:
    """The near miss: 0.12 over 8 is a strip of a round of 67."""
    assert not [top for top in tops(slab(0.12, 4.0)) if top is not None]
