"""How far a scan's noise hangs together, against fields whose correlation is known in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.segment.noise import correlation


def field(step_mm: float, length_mm: float, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """A flat grid with noise whose correlation is exp(-d^2 / 2 L^2): white noise through a Gaussian of L / sqrt 2."""
    rng = np.random.default_rng(seed)
    count = round(24.0 / step_mm)
    x, y = np.meshgrid(np.arange(count) * step_mm, np.arange(count) * step_mm, indexing="ij")
    f = np.fft.fftfreq(count, step_mm)
    kernel = np.exp(-((np.pi * length_mm) ** 2) * (f[:, None] ** 2 + f[None, :] ** 2))
    noise = np.fft.ifft2(np.fft.fft2(rng.standard_normal((count, count))) * kernel).real
    return np.stack((x.ravel(), y.ravel(), np.zeros(x.size)), axis=1), noise.ravel() / noise.std()


@pytest.mark.parametrize("length_mm", [0.6, 1.2])
@pytest.mark.parametrize("step_mm", [0.12, 0.3, 0.6])
def test_the_length_is_that_of_the_field_however_fine_the_mesh(step_mm: float, length_mm: float):
    found = [correlation(*field(step_mm, length_mm, seed), step_mm) for seed in range(3)]
    assert float(np.median(found)) == pytest.approx(length_mm, rel=0.35)


def test_independent_points_share_no_more_than_a_triangle():
    assert correlation(*field(0.4, 0.0, 1), 0.4) < 0.3


@pytest.mark.parametrize("length_mm", [0.6, 1.2])
def test_slow_drift_adds_nothing_to_how_far_the_noise_hangs_together(length_mm: float):
    plain, drifting = list[float](), list[float]()
    for seed in range(3):
        points, noise = field(0.4, length_mm, seed)
        drift = 0.85 * (points[:, 0] / 12.0 - 1.0)  # from one end of the sheet to the other
        plain.append(correlation(points, noise + drift, 0.4))
        drifting.append(correlation(points, noise + drift, 0.4, drifts=True))
    assert float(np.median(drifting)) == pytest.approx(length_mm, rel=0.25)
    assert abs(np.median(drifting) - length_mm) < 0.5 * abs(np.median(plain) - length_mm)
