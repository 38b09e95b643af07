"""The one iteration behind every fit here: damped Gauss-Newton over a surface that is re-based at each step.

A fit hands over `look(surface) -> (residuals, slopes)` and `step(surface, change) -> surface`. Because the surface's
frame moves along, its slopes are always taken at nought change and stay simple.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

LEAST_SLOPE = 0.3  # of a fit's pull, so near its end that points no longer agree on one place
Surface = TypeVar("Surface")


def solved(
    start: Surface,
    look: Callable[[Surface], tuple[FloatArray, FloatArray]],
    step: Callable[[Surface, FloatArray], Surface],
    weights: FloatArray | None = None,
    rounds: int = 60,
) -> Surface:
    """The surface of least (weighted) sum of squared distances near a start.

    Args:
        start: where to begin.
        look: (n,) signed distances and their (n, k) slopes with respect to k changes.
        step: the surface after (k,) changes.
        weights: (n,) >= 0, or None for all alike.
        rounds: most steps taken.
    Returns: the surface where no change improves it (to rounding), or the best after `rounds`.
    Source: damped Gauss-Newton, Levenberg 1944, Marquardt 1963.
    """
    here = start
    residuals, slopes = look(here)
    total = _total(residuals, weights)
    damping = 1e-9
    # Few points are fitted to the last digit; of many, the last digits mean nothing and cost time.
    tight = 1e-15 if len(residuals) < 1000 else 1e-9
    for _ in range(rounds):
        weighted = slopes if weights is None else slopes * weights[:, None]
        normal, pull = weighted.T @ slopes, weighted.T @ residuals
        scale = np.sqrt(np.maximum(np.diag(normal), 1e-300))
        change = _change(normal, pull, scale, damping)
        there = step(here, change)
        found, rises = look(there)
        reached = _total(found, weights)
        # A hair of rise is let through: near the end the sum is flat to rounding while the slopes still know the way.
        if reached <= total * (1 + 1e-12) and np.isfinite(reached):
            here, residuals, slopes = there, found, rises
            still = np.max(np.abs(change) * scale) <= tight * np.sqrt(total + len(found) * 1e-30) * np.sqrt(len(found))
            total = reached
            damping = max(damping / 10, 1e-12)
            if still:
                break
        else:
            damping = max(damping * 30, 1e-6)
            if damping > 1e8:
                break
    return here


def covariance(slopes: FloatArray, sigma_mm: float, inflation: float) -> FloatArray:
    """Covariance of the k changes of a fit, for noise of one size that is shared by neighbours.

    Args:
        slopes: (n, k) from `look` at the solution.
        sigma_mm: noise of one point, 1 sigma.
        inflation: how many points share one noise value (1: independent).
    Returns: (k, k); infinite where the points do not settle a direction.
    """
    normal = slopes.T @ slopes
    scale = np.sqrt(np.maximum(np.diag(normal), 1e-300))
    values, vectors = np.linalg.eigh(normal / np.outer(scale, scale))
    values = np.where(values > 1e-12, values, 1e-12)
    inverse = (vectors / values) @ vectors.T / np.outer(scale, scale)
    return inverse * sigma_mm**2 * inflation


def tukey(residuals: FloatArray, scale: float) -> FloatArray:
    """Weights that fall to nought at `scale` (bisquare), for points that may not belong.

    Args:
        residuals: (n,) distances. scale: where the weight is nought, > 0.
    Returns: (n,) weights between 0 and 1.
    Source: Beaton and Tukey 1974.
    """
    return np.square(np.maximum(0.0, 1.0 - np.square(residuals / scale)))


def heard(residuals: FloatArray, scale: float) -> float:
    """The sigma with which points speak in a fit by `tukey`: those far off are hardly heard, and say hardly anything.

    Args:
        residuals: (n,) distances from the fit. scale: where the weight is nought, > 0.
    Returns: 1 sigma of a plain point that would settle the fit as well; the plain one where most are far off.
    Source: the variance of an M-estimate, mean(psi^2) / mean(psi')^2 (Huber 1964).
    """
    far = np.square(residuals / scale)
    near = far < 1
    slope = float(np.mean(np.where(near, (1 - far) * (1 - 5 * far), 0.0))) if len(far) else 0.0
    plain = float(np.sqrt(np.mean(np.square(residuals)))) if len(far) else 0.0
    if slope < LEAST_SLOPE:
        return plain
    pull = np.where(near, residuals * np.square(1 - far), 0.0)
    return min(plain, float(np.sqrt(np.mean(np.square(pull)))) / slope)


def spread(residuals: FloatArray) -> float:
    """Robust standard deviation: 1.4826 times the median distance from the median."""
    if not len(residuals):
        return 0.0
    return float(1.4826 * np.median(np.abs(residuals - np.median(residuals))))


def unit(vector: FloatArray) -> FloatArray:
    """The vector at length one."""
    return vector / np.linalg.norm(vector)


def across(axis: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Two unit vectors that make a right-handed frame (u, v, axis)."""
    # Written out: a general cross product takes longer than the rest of a small fit.
    x, y, z = axis.tolist()
    if abs(x) <= abs(y) and abs(x) <= abs(z):
        p, q, r = 0.0, z, -y
    elif abs(y) <= abs(z):
        p, q, r = -z, 0.0, x
    else:
        p, q, r = y, -x, 0.0
    length = (p * p + q * q + r * r) ** 0.5
    p, q, r = p / length, q / length, r / length
    return np.array([p, q, r]), np.array([y * r - z * q, z * p - x * r, x * q - y * p])


def _total(residuals: FloatArray, weights: FloatArray | None) -> float:
    return float(residuals @ residuals if weights is None else (weights * residuals) @ residuals)


def _change(normal: FloatArray, pull: FloatArray, scale: FloatArray, damping: float) -> FloatArray:
    scaled = normal / np.outer(scale, scale) + damping * np.eye(len(scale))
    try:
        return -np.linalg.solve(scaled, pull / scale) / scale
    except np.linalg.LinAlgError:
        return -np.linalg.lstsq(scaled, pull / scale, rcond=None)[0] / scale
