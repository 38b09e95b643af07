"""How likely a job is won, given how far it was under-estimated; and how far the won ones are."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.compiled import loop
from steadyrest.shop.draws import FloatArray

ROOT_HALF = math.sqrt(0.5)
LOG_ROOT_2PI = 0.5 * math.log(2 * math.pi)
NEVER = -700.0  # logarithm of what is taken as impossible
FARTHEST = 40.0  # of a grid over the job's term, in its sd


@loop()
def log_phi(x: float) -> float:
    """Logarithm of the standard normal distribution function."""
    if x > -8.0:
        return math.log(0.5 * math.erfc(-x * ROOT_HALF))
    return max(NEVER, -0.5 * x * x - math.log(-x) - LOG_ROOT_2PI + math.log1p(-1.0 / (x * x)))


@loop()
def log_won(job: float, rivals: int, level: float, edge: float, asked: float) -> float:
    """log P(won): somebody gets it, and each rival asked more for the same work.

    Args:
        job: how far the job was under-estimated, log. rivals: how many. level, edge, asked: see model.py.
    Returns: the logarithm, at most 0.
    """
    if rivals == 0:
        return math.log(asked)
    return max(NEVER, math.log(asked) + rivals * log_phi(level + edge * job))


@loop()
def log_outcome(won: bool, job: float, rivals: int, level: float, edge: float, asked: float) -> float:
    """log P(what happened): won or lost.

    Args:
        won: which. job: how far the job was under-estimated, log. rivals: how many. level, edge, asked: see model.py.
    Returns: the logarithm, at most 0.
    """
    win = log_won(job, rivals, level, edge, asked)
    if won:
        return win
    return math.log(-math.expm1(win)) if win < -1e-14 else -32.0


def job_term_grid(points: int) -> FloatArray:
    """A grid over the job's term in its sd, dense in the middle.

    Args:
        points: how many.
    Returns: (points,) rising from -FARTHEST to FARTHEST.
    """
    steep = 5.0
    u = np.linspace(-1.0, 1.0, points)
    return FARTHEST * np.sinh(steep * u) / math.sinh(steep)


def won_shares(grid: FloatArray, tail: float, rivals: int, level: float, slope: float) -> FloatArray:
    """Distribution function of a won job's term over the grid.

    Args:
        grid: (m,) the term in its sd. tail: degrees of freedom of its Student's t. rivals: how many.
        level: see model.py. slope: edge * sd of the job's term.
    Returns: (m,) rising from 0 to 1.
    """
    share = np.empty(len(grid))
    fill_won_shares(grid, tail, rivals, level, slope, share)
    return share


@loop()
def fill_won_shares(grid: FloatArray, tail: float, rivals: int, level: float, slope: float, share: FloatArray) -> None:
    """The same, into an array that is given."""
    highest = -np.inf
    for i in range(len(grid)):
        share[i] = -0.5 * (tail + 1.0) * math.log1p(grid[i] * grid[i] / tail)
        if rivals > 0:
            share[i] += rivals * log_phi(level + slope * grid[i])
        highest = max(highest, share[i])
    total, before = 0.0, 0.0
    for i in range(len(grid)):
        height = math.exp(share[i] - highest)
        if i > 0:
            total += 0.5 * (height + before) * (grid[i] - grid[i - 1])
        share[i], before = total, height
    for i in range(len(grid)):
        share[i] /= total
