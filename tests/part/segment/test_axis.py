"""The axis that several round stretches share, from points whose axis is known."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.segment.axis import Axis, shared_axis

NOISE_MM = 0.05


def stretch(rng, radius: float, low: float, high: float, many: int, *, worn_mm: float = 0.0, arc_rad: float = 3.9):
    """(n, 3) points of a round about z, worn on one side over most of its length, the noise on the radius."""
    angle = rng.uniform(-np.pi, np.pi, many)
    along = rng.uniform(low, high, many)
    inside = (np.abs(angle - 0.2) < arc_rad / 2) & (along < low + 0.78 * (high - low))
    lost = worn_mm * inside * np.sqrt(np.maximum(np.cos((angle - 0.2) / arc_rad * np.pi), 0.0))
    level = radius - lost + NOISE_MM * rng.standard_normal(many)
    return np.stack((level * np.cos(angle), level * np.sin(angle), along), axis=1)


def test_a_stretch_worn_on_one_side_does_not_place_the_axis_with_two_thin_ones_against_the_thickest() -> None:
    rng = np.random.default_rng(3)
    groups = [
        stretch(rng, 20.0, 38.0, 66.0, 5000, worn_mm=0.38),
        stretch(rng, 24.0, -8.0, 37.0, 5000),
        stretch(rng, 12.5, -24.0, -10.0, 2200),
        stretch(rng, 10.0, -70.0, -26.0, 5000),
    ]
    # As normals place it at first: with the worn stretch.
    lean = np.array([0.0021, 0.0006, 1.0])
    first = Axis(np.array([0.09, 0.03, 0.0]), lean / np.linalg.norm(lean), 1.0)
    axis, radii = shared_axis(groups, np.array([19.83, 24.02, 12.5, 10.0]), first, noise_mm=NOISE_MM)
    for along in (-70.0, 66.0):
        at = axis.point + (along - axis.point[2]) / axis.direction[2] * axis.direction
        assert float(np.hypot(at[0], at[1])) < 0.02
    assert radii[1] == pytest.approx(24.0, abs=0.01)
