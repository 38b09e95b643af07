"""Lessons the slow way: beliefs drawn from the prior, each weighed by how likely it makes the whole history.

The job's term is integrated on a grid, not sampled. The same statement as promise/lessons/model.py, written separately;
good for a handful of jobs only, since few draws of the prior fit many.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr
from scipy.stats import t as student

TAILS = (3.0, 5.0, 8.0, 16.0, 60.0)


@dataclass(frozen=True)
class Seen:
    """One quote. steps: (station, person, log ratio), empty where nothing was done."""

    rivals: int
    won: bool
    steps: tuple[tuple[int, int, float], ...]


@dataclass(frozen=True)
class Believed:
    """Draws of the prior and their weights, adding up to 1."""

    weight: np.ndarray
    shop: np.ndarray
    job_sd: np.ndarray
    own_sd: np.ndarray
    level: np.ndarray
    slope: np.ndarray
    station: np.ndarray
    asked: np.ndarray

    def mean(self, what: np.ndarray) -> float:
        return float(self.weight @ what)

    def sd(self, what: np.ndarray) -> float:
        return float(np.sqrt(self.weight @ (what - self.mean(what)) ** 2))

    @property
    def worth(self) -> float:
        """How many equal draws the weighted ones are worth."""
        return float(1 / np.sum(self.weight**2))


def believed(history: list[Seen], prior, stations: int, persons: int, count: int, seed: int) -> Believed:
    rng = np.random.default_rng(seed)

    def sd(middle_spread):
        middle, spread = middle_spread
        return middle * np.exp(spread * rng.standard_normal(count))

    shop = prior.shop_sd * rng.standard_normal(count)
    job_sd, station_sd, person_sd, own_sd, unlike = (
        sd(one) for one in (prior.job, prior.station, prior.person, prior.own, prior.unlike)
    )
    job_tail, own_tail = rng.choice(TAILS, count), rng.choice(TAILS, count)
    level, slope = prior.level_sd * rng.standard_normal(count), np.exp(prior.edge_sd * rng.standard_normal(count))
    asked = rng.beta(*prior.asked, count)
    station = station_sd[:, None] * rng.standard_normal((count, stations))
    person = person_sd[:, None] * rng.standard_normal((count, persons))
    own = own_sd[:, None] * np.exp(unlike[:, None] * rng.standard_normal((count, stations)))

    z = 8 * np.sinh(np.linspace(-2.5, 2.5, 161)) / np.sinh(2.5)
    density = student.pdf(z[None, :], job_tail[:, None])
    logs = np.zeros(count)
    for quote in history:
        win = np.log(asked)[:, None] + quote.rivals * log_ndtr(level[:, None] + slope[:, None] * z)
        inside = np.exp(win) if quote.won else -np.expm1(win)
        inside = inside * density
        for s, p, ratio in quote.steps:
            off = (ratio - shop - station[:, s] - person[:, p])[:, None] - job_sd[:, None] * z
            inside = inside * student.pdf(off / own[:, s : s + 1], own_tail[:, None]) / own[:, s : s + 1]
        logs += np.log(np.trapezoid(inside, z, axis=1))
    weight = np.exp(logs - logs.max())
    return Believed(weight / weight.sum(), shop, job_sd, own_sd, level, slope, station, asked)
