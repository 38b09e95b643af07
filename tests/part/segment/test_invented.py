"""Membranes hung across holes are found point by point, and measured surface is not taken for one."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.segment.invented import invented_points
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.triangles.mesh import cleaned

MANY, STEP_MM = 60, 0.8


def surface(
    noise_mm: float, *, blind: tuple[float, ...] = (), swell_mm: float = 1.5, seed: int = 1
) -> tuple[Skin, np.ndarray]:
    """A swelling sheet, measured with noise; round places of these radii (in steps) closed by a membrane at rest.

    Returns: the sheet; (n,) which points are membrane.
    """
    rng = np.random.default_rng(seed)
    i, j = np.meshgrid(np.arange(MANY), np.arange(MANY), indexing="ij")
    height = swell_mm * np.sin(i / 9.0) * np.cos(j / 11.0) + noise_mm * rng.standard_normal(i.shape)
    made = np.zeros(i.shape, dtype=np.bool_)
    for k, radius in enumerate(blind):
        made |= np.hypot(i - 15 - 30 * (k % 2), j - 15 - 30 * (k // 2)) < radius
    number = i * MANY + j
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[:-1, 1:], number[1:, 1:]
    faces = np.concatenate((np.stack((a, b, d), -1).reshape(-1, 3), np.stack((a, d, c), -1).reshape(-1, 3)))
    for _ in range(1500):  # each point the mean of its neighbours over the mesh's own edges
        mean = np.zeros_like(height)
        for di, dj in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1)):
            mean += np.roll(height, (di, dj), axis=(0, 1))
        height = np.where(made, mean / 6, height)
    points = np.stack((i * STEP_MM, j * STEP_MM, height), axis=-1).reshape(-1, 3)
    return skin_of(cleaned(points.astype(np.float64), faces, where="sheet")), made.reshape(-1)


@pytest.mark.parametrize("radius", [3.0, 6.0])
def test_a_membrane_is_found_up_to_its_rim(radius: float) -> None:
    skin, made = surface(0.04, blind=(radius, radius))
    found = invented_points(skin)
    assert found[made].mean() > 0.95
    # A measured point at its rim may go with it: a membrane of radius 6 has nearly 40 neighbours.
    assert found[~made].mean() < 0.004


@pytest.mark.parametrize("seed", range(3))
def test_measured_surface_is_not_called_invented(seed: int) -> None:
    skin, _ = surface(0.04, seed=seed)
    assert invented_points(skin).mean() < 0.002


def test_a_sheet_without_noise_tells_nothing() -> None:
    skin, _ = surface(0.0)
    assert not invented_points(skin).any()
