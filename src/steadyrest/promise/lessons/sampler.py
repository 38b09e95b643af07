"""Learning, compiled: what model.py says, turned round by Gibbs sampling in counted sweeps.

A sweep draws, each given all the rest: the shop's, stations' and persons' terms together (one normal block: apart they
would hardly move, since only their sums are seen); each job's term from the normal that its steps leave, accepted by
how likely what happened to its quote is; a shift between the shop's term and all the jobs' at once; how far each row
and job is an outlier (the gamma weights of Student's t); the standard deviations; how winning works. Steps of the
random walks are tuned while warming up and then kept.

Source: Gibbs sampling with data augmentation as in Gelman and others, Bayesian Data Analysis (from memory); recovered
parameters and a slow twin are in tests/promise/lessons.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from steadyrest.promise.lessons.model import Draws, Flat, IntArray, Prior
from steadyrest.promise.lessons.winning import log_outcome
from steadyrest.shop.draws import FloatArray

TAILS = np.array([3.0, 5.0, 8.0, 16.0, 60.0])  # degrees of freedom tried; 60 is as good as normal
WALKS = 4  # job sd, shift, winning, asked: random walks with a tuned step
TAILS_EVERY = 4  # sweeps: they move little and cost much
AIM = 0.35  # accepted share that the tuning aims at


@njit(cache=True, nogil=True)
def _log_sd_prior(sd: float, middle: float, spread: float) -> float:
    off = math.log(sd / middle) / spread
    return -0.5 * off * off


@njit(cache=True, nogil=True)
def _walk_sd(
    rng: np.random.Generator, sd: float, squares: float, count: float, middle: float, spread: float, lower: float,
    upper: float,
) -> float:  # fmt: skip
    """A standard deviation given the sum of squares of what it spreads: three steps of a walk in its logarithm."""
    step = 2.0 / math.sqrt(2.0 * count + 1.0 / (spread * spread))
    for _ in range(3):
        new = sd * math.exp(step * rng.standard_normal())
        if not lower < new < upper:
            continue
        change = -count * math.log(new / sd) - 0.5 * squares * (1.0 / (new * new) - 1.0 / (sd * sd))
        change += _log_sd_prior(new, middle, spread) - _log_sd_prior(sd, middle, spread)
        if math.log(rng.random()) < change:
            sd = new
    return sd


@njit(cache=True, nogil=True)
def _tail(rng: np.random.Generator, squares: FloatArray) -> float:
    """Degrees of freedom of scaled residuals, from the grid, each as likely beforehand. squares: (n,)."""
    logs = np.empty(len(TAILS))
    for i in range(len(TAILS)):
        nu = TAILS[i]
        each = math.lgamma(0.5 * (nu + 1)) - math.lgamma(0.5 * nu) - 0.5 * math.log(nu)
        total = len(squares) * each
        for one in squares:
            total -= 0.5 * (nu + 1) * math.log1p(one / nu)
        logs[i] = total
    shares = np.cumsum(np.exp(logs - logs.max()))
    at = np.searchsorted(shares, rng.random() * shares[-1])
    return TAILS[min(at, len(TAILS) - 1)]


@njit(cache=True, nogil=True)
def _factor(a: FloatArray) -> FloatArray:
    """Cholesky's lower factor of a (its upper half is read). Not LAPACK's: its threads fight over a busy machine."""
    size = len(a)
    low = np.zeros((size, size))
    for i in range(size):
        for k in range(i + 1):
            total = a[k, i]
            for m in range(k):
                total -= low[i, m] * low[k, m]
            low[i, k] = math.sqrt(total) if i == k else total / low[k, k]
    return low


@njit(cache=True, nogil=True)
def _block(
    rng: np.random.Generator, history: Flat, job: FloatArray, of: IntArray, weight: FloatArray, own: FloatArray,
    effects: FloatArray, spread: FloatArray,
) -> None:  # fmt: skip
    """Shop, stations and persons together. spread: (1 + S + P,) prior sds. Writes effects in place."""
    size, stations = len(effects), len(own) - 1
    a, b = np.zeros((size, size)), np.zeros(size)
    for i in range(size):
        a[i, i] = 1.0 / (spread[i] * spread[i])
    for r in range(len(history.ratio)):
        s, p = history.station[r], history.person[r]
        w = weight[r] / (own[s] * own[s])
        y = w * (history.ratio[r] - job[of[r]])
        a[0, 0] += w
        b[0] += y
        if s >= 0:
            a[0, 1 + s] += w
            a[1 + s, 1 + s] += w
            b[1 + s] += y
        if p >= 0:
            k = 1 + stations + p
            a[0, k] += w
            a[k, k] += w
            b[k] += y
            if s >= 0:
                a[1 + s, k] += w
    low = _factor(a)
    # The mean solves a x = b; normals divided by the factor have just its spread.
    for i in range(size):
        for k in range(i):
            b[i] -= low[i, k] * b[k]
        b[i] /= low[i, i]
    for i in range(size - 1, -1, -1):
        total = b[i] + rng.standard_normal()
        for k in range(i + 1, size):
            total -= low[k, i] * effects[k]
        effects[i] = total / low[i, i]


@njit(cache=True, nogil=True)
def sweeps(
    rng: np.random.Generator, history: Flat, prior: Prior, stations: int, persons: int, warm: int, kept: int, every: int
) -> Draws:
    """Draws of everything that is believed, given the history.

    Args:
        rng: a numpy Generator. history: laid out. prior: what was believed before. stations, persons: how many names.
        warm: sweeps before anything is kept. kept: draws wanted. every: sweeps from one kept draw to the next.
    Returns: the draws.
    """
    rows, jobs = len(history.ratio), len(history.won)
    of = np.empty(rows, np.int64)
    for j in range(jobs):
        of[history.first[j] : history.first[j + 1]] = j
    effects, spread = np.zeros(1 + stations + persons), np.empty(1 + stations + persons)
    job, job_weight, weight = np.zeros(jobs), np.ones(jobs), np.ones(rows)
    left, squares = np.zeros(rows), np.zeros(rows)
    own = np.full(stations + 1, prior.own[0])  # the last is the middle, also of a station taken as never seen
    job_sd, station_sd, person_sd, unlike = prior.job[0], prior.station[0], prior.person[0], prior.unlike[0]
    job_tail, own_tail = 8.0, 8.0
    level, edge, asked = 0.0, 1.0 / job_sd, 0.9
    steps, tries, hits = np.array([0.3, 0.5 / math.sqrt(jobs + 1.0), 0.3, 0.5]), np.zeros(WALKS), np.zeros(WALKS)
    found = Draws(
        np.empty(kept), np.empty(kept), np.empty(kept), np.empty(kept), np.empty(kept), np.empty(kept), np.empty(kept),
        np.empty(kept), np.empty(kept), np.empty(kept), np.empty(kept), np.empty((kept, stations)),
        np.empty((kept, persons)), np.empty((kept, stations)),
    )  # fmt: skip

    for sweep in range(warm + kept * every):
        spread[0] = prior.shop_sd
        spread[1 : 1 + stations] = station_sd
        spread[1 + stations :] = person_sd
        _block(rng, history, job, of, weight, own, effects, spread)
        for r in range(rows):
            left[r] = history.ratio[r] - effects[0]
            if history.station[r] >= 0:
                left[r] -= effects[1 + history.station[r]]
            if history.person[r] >= 0:
                left[r] -= effects[1 + stations + history.person[r]]

        # Each job's term: what its steps say, then accepted by what happened to its quote.
        for j in range(jobs):
            pull, mean = job_weight[j] / (job_sd * job_sd), 0.0
            for r in range(history.first[j], history.first[j + 1]):
                sd = own[history.station[r]]
                w = weight[r] / (sd * sd)
                pull += w
                mean += w * left[r]
            mean, sd = mean / pull, 1.0 / math.sqrt(pull)
            k = history.rivals[j]
            if k == 0:
                job[j] = mean + sd * rng.standard_normal()
                continue
            now = log_outcome(history.won[j], job[j], k, level, edge, asked)
            for _ in range(2):
                new = mean + sd * rng.standard_normal()
                then = log_outcome(history.won[j], new, k, level, edge, asked)
                if math.log(rng.random()) < then - now:
                    job[j], now = new, then

        # All jobs' terms one way, the shop's the other, the rivals' level with them: what was seen stays the same.
        for _ in range(2):
            shift = steps[1] * job_sd * rng.standard_normal()
            change = 0.0
            for j in range(jobs):
                change -= job_weight[j] * (2.0 * job[j] * shift + shift * shift)
            change /= 2.0 * job_sd * job_sd
            change -= (2.0 * effects[0] * -shift + shift * shift) / (2.0 * prior.shop_sd**2)
            new_level = level - edge * shift
            change -= (new_level * new_level - level * level) / (2.0 * prior.level_sd**2)
            tries[1] += 1
            if math.log(rng.random()) < change:
                hits[1] += 1
                job += shift
                effects[0] -= shift
                left += shift
                level = new_level

        # Outliers.
        for r in range(rows):
            off = (left[r] - job[of[r]]) / own[history.station[r]]
            squares[r] = off * off
        if sweep % TAILS_EVERY == 0:
            own_tail = _tail(rng, squares)
        for r in range(rows):
            weight[r] = rng.standard_gamma(0.5 * (own_tail + 1)) / (0.5 * (own_tail + squares[r]))
        if sweep % TAILS_EVERY == 0:
            job_tail = _tail(rng, (job / job_sd) ** 2)
        for j in range(jobs):
            off = job[j] / job_sd
            job_weight[j] = rng.standard_gamma(0.5 * (job_tail + 1)) / (0.5 * (job_tail + off * off))

        # Standard deviations. The job's goes with the edge, whose prior is in its units.
        total = 0.0
        for j in range(jobs):
            total += job_weight[j] * job[j] * job[j]
        for _ in range(3):
            new = job_sd * math.exp(steps[0] * rng.standard_normal())
            change = -jobs * math.log(new / job_sd) - 0.5 * total * (1 / (new * new) - 1 / (job_sd * job_sd))
            change += _log_sd_prior(new, prior.job[0], prior.job[1]) - _log_sd_prior(job_sd, prior.job[0], prior.job[1])
            change += _log_sd_prior(edge * new, 1.0, prior.edge_sd) - _log_sd_prior(edge * job_sd, 1.0, prior.edge_sd)
            tries[0] += 1
            if 1e-3 < new < 5.0 and math.log(rng.random()) < change:
                hits[0] += 1
                job_sd = new
        total = np.sum(effects[1 : 1 + stations] ** 2)
        station_sd = _walk_sd(rng, station_sd, total, stations, prior.station[0], prior.station[1], 5e-3, 3.0)
        total = np.sum(effects[1 + stations :] ** 2)
        person_sd = _walk_sd(rng, person_sd, total, persons, prior.person[0], prior.person[1], 5e-3, 3.0)
        _own_sds(rng, history, left, job, of, weight, own, unlike, prior)
        total = 0.0
        for s in range(stations):
            off = math.log(own[s] / own[stations])
            total += off * off
        unlike = _walk_sd(rng, unlike, total, stations, prior.unlike[0], prior.unlike[1], 1e-2, 2.0)

        # How winning works.
        now = _happened(history, job, level, edge, asked)
        for _ in range(2):
            new_level = level + steps[2] * rng.standard_normal() * prior.level_sd
            new_edge = edge * math.exp(steps[2] * rng.standard_normal() * prior.edge_sd)
            change = (level * level - new_level * new_level) / (2.0 * prior.level_sd**2)
            change += _log_sd_prior(new_edge * job_sd, 1.0, prior.edge_sd)
            change -= _log_sd_prior(edge * job_sd, 1.0, prior.edge_sd)
            then = _happened(history, job, new_level, new_edge, asked)
            tries[2] += 1
            if math.log(rng.random()) < change + then - now:
                hits[2] += 1
                level, edge, now = new_level, new_edge, then
        new = 1.0 / (1.0 + (1.0 / asked - 1.0) * math.exp(steps[3] * rng.standard_normal()))
        tries[3] += 1
        if 1e-6 < new < 1.0 - 1e-6:
            change = prior.asked[0] * math.log(new / asked) + prior.asked[1] * math.log((1 - new) / (1 - asked))
            change += _happened(history, job, level, edge, new) - now
            if math.log(rng.random()) < change:
                hits[3] += 1
                asked = new

        if sweep < warm and sweep % 25 == 24:
            for i in range(WALKS):
                steps[i] = min(2.0, max(1e-4, steps[i] * math.exp(hits[i] / max(1.0, tries[i]) - AIM)))
            tries[:], hits[:] = 0.0, 0.0
        if sweep >= warm and (sweep - warm) % every == every - 1:
            i = (sweep - warm) // every
            found.shop[i], found.job_sd[i], found.job_tail[i] = effects[0], job_sd, job_tail
            found.station_sd[i], found.person_sd[i] = station_sd, person_sd
            found.own_sd[i], found.unlike[i], found.own_tail[i] = own[stations], unlike, own_tail
            found.level[i], found.edge[i], found.asked[i] = level, edge, asked
            found.station[i], found.person[i] = effects[1 : 1 + stations], effects[1 + stations :]
            found.station_own_sd[i] = own[:stations]
    return found


@njit(cache=True, nogil=True)
def _happened(history: Flat, job: FloatArray, level: float, edge: float, asked: float) -> float:
    """log P(what happened to all quotes)."""
    total = 0.0
    for j in range(len(job)):
        total += log_outcome(history.won[j], job[j], history.rivals[j], level, edge, asked)
    return total


@njit(cache=True, nogil=True)
def _own_sds(
    rng: np.random.Generator, history: Flat, left: FloatArray, job: FloatArray, of: IntArray, weight: FloatArray,
    own: FloatArray, unlike: float, prior: Prior,
) -> None:  # fmt: skip
    """Own sd of each station around their middle (the last of `own`), then the middle. Writes own in place."""
    stations = len(own) - 1
    total, count = np.zeros(stations + 1), np.zeros(stations + 1)
    for r in range(len(left)):
        off = left[r] - job[of[r]]
        total[history.station[r]] += weight[r] * off * off
        count[history.station[r]] += 1
    logs = 0.0
    for s in range(stations):
        own[s] = _walk_sd(rng, own[s], total[s], count[s], own[stations], unlike, 1e-3, 5.0)
        logs += math.log(own[s])
    # The middle's logarithm is normal given the stations'; rows of no named station are too few to count.
    pull = 1.0 / (prior.own[1] * prior.own[1]) + stations / (unlike * unlike)
    mean = (math.log(prior.own[0]) / (prior.own[1] * prior.own[1]) + logs / (unlike * unlike)) / pull
    own[stations] = math.exp(mean + rng.standard_normal() / math.sqrt(pull))
