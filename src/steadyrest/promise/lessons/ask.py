"""Ask the lessons: the hours of whole jobs, as draws."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numba import njit

from steadyrest.promise.lessons.model import Draws, IntArray, Learned
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.winning import job_term_grid, won_shares
from steadyrest.shop.draws import FloatArray

AGAIN = 4  # jobs drawn for each draw of what is believed
POINTS = 400


def job_hours(learned: Learned, quotes: Sequence[Quote], *, seed: int) -> FloatArray:
    """How long jobs take that were won against their rivals.

    Every draw takes one belief about the shop, one luck for the job, selected by its having been won, and one for each
    step; what is uncertain about a station or a person is the same in all steps of the draw.

    Args:
        learned: what history taught. quotes: the jobs. seed: of the draws.
    Returns: (jobs, n) seconds.
    """
    rows = [(quote, step) for quote in quotes for step in quote.steps]
    station = _places([step.station for _, step in rows], learned.names.stations)
    person = _places([step.person for _, step in rows], learned.names.persons)
    rng = np.random.Generator(np.random.PCG64([seed, 1]))
    return _hours(
        rng,
        learned.draws,
        np.array([step.estimate_s for _, step in rows], np.float64),
        station,
        person,
        np.cumsum([0, *(len(quote.steps) for quote in quotes)], dtype=np.int64),
        np.array([quote.rivals for quote in quotes], np.int64),
        AGAIN,
    )


def _places(names: Sequence[str], known: Sequence[str]) -> IntArray:
    """The place of each name; a name never seen is -1 - n: one unknown term for each such name, not for each step."""
    place = {name: i for i, name in enumerate(known)}
    strange = {name: -1 - n for n, name in enumerate(dict.fromkeys(name for name in names if name not in place))}
    every = place | strange
    return np.array([every[name] for name in names], np.int64)


@njit(cache=True, nogil=True)
def _hours(
    rng: np.random.Generator, draws: Draws, estimate_s: FloatArray, station: IntArray, person: IntArray,
    first: IntArray, rivals: IntArray, again: int,
) -> FloatArray:  # fmt: skip
    """The draws of job_hours. station, person: index of a known name, or -1 - n of an unknown one."""
    jobs, count = len(rivals), len(draws.shop)
    hours = np.zeros((jobs, count * again))
    grid = job_term_grid(POINTS)
    kinds = np.unique(rivals)
    strange = max(0, -station.min(), -person.min())
    for d in range(count):
        tail = draws.own_tail[d]
        # The terms of names that history does not know.
        other_station = draws.station_sd[d] * rng.standard_normal(strange)
        other_person = draws.person_sd[d] * rng.standard_normal(strange)
        other_own = draws.own_sd[d] * np.exp(draws.unlike[d] * rng.standard_normal(strange))
        shares = np.empty((len(kinds), len(grid)))
        for k in range(len(kinds)):
            slope = draws.edge[d] * draws.job_sd[d]
            shares[k] = won_shares(grid, draws.job_tail[d], kinds[k], draws.level[d], slope)
        for j in range(jobs):
            share = shares[np.searchsorted(kinds, rivals[j])]
            for a in range(again):
                u = rng.random()
                i = min(max(1, np.searchsorted(share, u)), len(grid) - 1)
                between = (u - share[i - 1]) / max(share[i] - share[i - 1], 1e-300)
                common = draws.shop[d] + draws.job_sd[d] * (grid[i - 1] + between * (grid[i] - grid[i - 1]))
                total = 0.0
                for r in range(first[j], first[j + 1]):
                    s, p = station[r], person[r]
                    log = common + (draws.station[d, s] if s >= 0 else other_station[-1 - s])
                    log += draws.person[d, p] if p >= 0 else other_person[-1 - p]
                    sd = draws.station_own_sd[d, s] if s >= 0 else other_own[-1 - s]
                    thick = math.sqrt(0.5 * tail / rng.standard_gamma(0.5 * tail))
                    total += estimate_s[r] * math.exp(min(50.0, log + sd * thick * rng.standard_normal()))
                hours[j, d * again + a] = total
    return hours
