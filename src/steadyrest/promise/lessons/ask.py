"""Ask the lessons: the hours of whole jobs, as draws."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from steadyrest.compiled import loop
from steadyrest.promise.lessons.model import Draws, IntArray, Learned
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.winning import fill_won_shares, job_term_grid
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
    kinds, kind = np.unique(np.array([quote.rivals for quote in quotes], np.int64), return_inverse=True)
    strange = max(0, -station.min(), -person.min())
    hours = np.zeros((len(quotes), len(learned.draws.shop) * AGAIN))
    grid = job_term_grid(POINTS)
    _hours(
        rng,
        learned.draws,
        Rows(
            np.array([step.estimate_s for _, step in rows], np.float64),
            station,
            person,
            np.cumsum([0, *(len(quote.steps) for quote in quotes)], dtype=np.int64),
            kind.astype(np.int64),
            kinds,
        ),
        Luck(np.empty((3, strange)), grid, np.empty((len(kinds), len(grid)))),
        hours,
    )
    return hours


class Rows(NamedTuple):
    """The jobs asked about, laid out. station, person: (n,) index of a known name, or -1 - n of an unknown one.

    first: (J + 1,) where each job's rows begin. kind: (J,) which of the kinds, each a number of rivals, it is.
    """

    estimate_s: FloatArray
    station: IntArray
    person: IntArray
    first: IntArray
    kind: IntArray
    kinds: IntArray


class Luck(NamedTuple):
    """One draw's luck. strange: (3, n) terms at and by names never seen, and their own sds.

    grid: (m,) of the job's term. shares: (kinds, m) its distribution function.
    """

    strange: FloatArray
    grid: FloatArray
    shares: FloatArray


def _places(names: Sequence[str], known: Sequence[str]) -> IntArray:
    """The place of each name; a name never seen is -1 - n: one unknown term for each such name, not for each step."""
    place = {name: i for i, name in enumerate(known)}
    strange = {name: -1 - n for n, name in enumerate(dict.fromkeys(name for name in names if name not in place))}
    every = place | strange
    return np.array([every[name] for name in names], np.int64)


@loop()
def _hours(rng: np.random.Generator, draws: Draws, rows: Rows, luck: Luck, hours: FloatArray) -> None:
    """The draws of job_hours."""
    for d in range(len(draws.shop)):
        _drawn(rng, draws, rows, luck, d)
        for j in range(len(hours)):
            for a in range(AGAIN):
                job = draws.job_sd[d] * _job_term(luck, rows.kind[j], rng.random())
                hours[j, d * AGAIN + a] = _one_job(rng, draws, rows, luck, d, j, draws.shop[d] + job)


@loop(inner=True)
def _drawn(rng: np.random.Generator, draws: Draws, rows: Rows, luck: Luck, d: int) -> None:
    """The luck of a draw: names that history does not know, and what winning does to the job's term."""
    strange = luck.strange
    for i in range(strange.shape[1]):
        strange[0, i] = draws.station_sd[d] * rng.standard_normal()
    for i in range(strange.shape[1]):
        strange[1, i] = draws.person_sd[d] * rng.standard_normal()
    for i in range(strange.shape[1]):
        strange[2, i] = draws.own_sd[d] * math.exp(draws.unlike[d] * rng.standard_normal())
    for k in range(len(rows.kinds)):
        slope = draws.edge[d] * draws.job_sd[d]
        fill_won_shares(luck.grid, draws.job_tail[d], rows.kinds[k], draws.level[d], slope, luck.shares[k])


@loop(inner=True)
def _job_term(luck: Luck, kind: int, u: float) -> float:
    """The job's term, in its sd, where its distribution function is u."""
    grid, last = luck.grid, len(luck.grid) - 1
    low, high = 0, last  # share[low] < u <= share[high], but at the ends
    while high - low > 1:
        middle = (low + high) // 2
        if luck.shares[kind, middle] < u:
            low = middle
        else:
            high = middle
    between = (u - luck.shares[kind, low]) / max(luck.shares[kind, high] - luck.shares[kind, low], 1e-300)
    return grid[low] + between * (grid[high] - grid[low])


@loop(inner=True)
def _one_job(rng: np.random.Generator, draws: Draws, rows: Rows, luck: Luck, d: int, j: int, common: float) -> float:
    """Seconds of a whole job; common: what all its steps share, log."""
    total, tail = 0.0, draws.own_tail[d]
    for r in range(rows.first[j], rows.first[j + 1]):
        s, p = rows.station[r], rows.person[r]
        log = common + (draws.station[d, s] if s >= 0 else luck.strange[0, -1 - s])
        log += draws.person[d, p] if p >= 0 else luck.strange[1, -1 - p]
        sd = draws.station_own_sd[d, s] if s >= 0 else luck.strange[2, -1 - s]
        thick = math.sqrt(0.5 * tail / rng.standard_gamma(0.5 * tail))
        total += rows.estimate_s[r] * math.exp(min(50.0, log + sd * thick * rng.standard_normal()))
    return total
