"""Won work is the work you under-estimated: by how much, if the customer takes the lowest of several equal offers."""

from __future__ import annotations

import math

import numpy as np


def won_ratio(sigma: float, rivals: int) -> float:
    """How many times the estimate won work takes (geometric mean): exp(sigma x m).

    Everyone's estimate is off by an independent normal of the logarithm; the lowest wins; m is the mean of the largest
    of rivals + 1 standard normals. Against one rival m = 1 / sqrt(pi).

    Args:
        sigma: sd of the logarithm of the estimate's error; >= 0.
        rivals: how many others of equal skill offer; 0: nobody, and nothing is selected.
    Returns: the ratio, at least 1.
    Raises: ValueError: an argument out of range.
    Source: order statistics of the normal distribution (m for 2 to 10: Harter 1961). Checked in
        tests/checks/test_money_won.py.
    """
    if sigma < 0 or rivals < 0:
        raise ValueError(f"won_ratio: sigma {sigma!r} and rivals {rivals!r} must not be negative")
    return math.exp(sigma * mean_of_largest(rivals + 1))


def mean_of_largest(n: int) -> float:
    """Mean of the largest of n independent standard normals: the integral of n z f(z) F(z)^(n - 1).

    Args:
        n: at least 1.
    Returns: 0 for one, 0.5642 for two.
    """
    from scipy.special import ndtr  # late: the command's help must not wait for SciPy

    z = np.linspace(-9.0, 9.0, 7201)
    density = np.exp(-0.5 * z * z) / math.sqrt(2 * math.pi)
    return float(np.trapezoid(n * z * density * ndtr(z) ** (n - 1), z))
