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
from typing import NamedTuple

import numpy as np

from steadyrest.compiled import loop
from steadyrest.promise.lessons.model import Draws, Flat, IntArray, Prior
from steadyrest.promise.lessons.winning import log_outcome
from steadyrest.shop.draws import FloatArray

TAILS = np.array([3.0, 5.0, 8.0, 16.0, 60.0])  # degrees of freedom tried; 60 is as good as normal
WALKS = 4
JOB, SHIFT, WINNING, LOST = range(WALKS)  # random walks with a tuned step: job sd, shift, winning, asked
TAILS_EVERY = 4  # sweeps: they move little and cost much
TUNE_EVERY = 25  # sweeps
AIM = 0.35  # accepted share that the tuning aims at
# What stands where in Belief.values.
JOB_SD, STATION_SD, PERSON_SD, UNLIKE, JOB_TAIL, OWN_TAIL, LEVEL, EDGE, ASKED = range(9)


class Belief(NamedTuple):
    """Where the sampling stands, changed in place, and its scratch.

    values: (9,) by the names above. effects: (1 + S + P,) shop, stations, persons. job: (J,) terms. own: (S + 1,) sds;
    the last is the middle, also of a station taken as never seen. job_weight, weight: how little an outlier each job
    and row is. of: (n,) a row's job. steps, tries, hits: (WALKS,) of the walks. left, squares, off, spread, a, b, low,
    sums, counts, logs: scratch.
    """

    values: FloatArray
    effects: FloatArray
    job: FloatArray
    own: FloatArray
    job_weight: FloatArray
    weight: FloatArray
    of: IntArray
    steps: FloatArray
    tries: FloatArray
    hits: FloatArray
    left: FloatArray
    squares: FloatArray
    off: FloatArray
    spread: FloatArray
    a: FloatArray
    b: FloatArray
    low: FloatArray
    sums: FloatArray
    counts: FloatArray
    logs: FloatArray


def sweeps(
    rng: np.random.Generator, history: Flat, prior: Prior, stations: int, persons: int, warm: int, kept: int, every: int
) -> Draws:
    """Draws of everything that is believed, given the history.

    Args:
        rng: a numpy Generator. history: laid out. prior: what was believed before. stations, persons: how many names.
        warm: sweeps before anything is kept. kept: draws wanted. every: sweeps from one kept draw to the next.
    Returns: the draws.
    """
    now = _begun(history, prior, stations, persons)
    found = Draws(*(np.empty(kept) for _ in range(11)), *(np.empty((kept, n)) for n in (stations, persons, stations)))
    _sweeps(rng, history, prior, now, found, warm, every)
    return found


def _begun(history: Flat, prior: Prior, stations: int, persons: int) -> Belief:
    rows, jobs, size = len(history.ratio), len(history.won), 1 + stations + persons
    sd = prior.job[0]
    values = np.array([sd, prior.station[0], prior.person[0], prior.unlike[0], 8.0, 8.0, 0.0, 1.0 / sd, 0.9])
    return Belief(
        values=values, effects=np.zeros(size), job=np.zeros(jobs), own=np.full(stations + 1, prior.own[0]),
        job_weight=np.ones(jobs), weight=np.ones(rows), of=np.repeat(np.arange(jobs), np.diff(history.first)),
        steps=np.array([0.3, 0.5 / math.sqrt(jobs + 1.0), 0.3, 0.5]), tries=np.zeros(WALKS), hits=np.zeros(WALKS),
        left=np.zeros(rows), squares=np.zeros(rows), off=np.zeros(jobs), spread=np.empty(size),
        a=np.zeros((size, size)), b=np.zeros(size), low=np.zeros((size, size)), sums=np.zeros(stations + 1),
        counts=np.zeros(stations + 1), logs=np.zeros(len(TAILS)),
    )  # fmt: skip


@loop()
def _sweeps(
    rng: np.random.Generator, history: Flat, prior: Prior, now: Belief, found: Draws, warm: int, every: int
) -> None:
    for sweep in range(warm + len(found.shop) * every):
        _block(rng, history, prior, now)
        _leave(history, now)
        _job_terms(rng, history, now)
        _shift(rng, prior, now)
        _outliers(rng, history, now, sweep % TAILS_EVERY == 0)
        _sds(rng, history, prior, now)
        _winning(rng, history, prior, now)
        if sweep < warm and sweep % TUNE_EVERY == TUNE_EVERY - 1:
            _tune(now)
        if sweep >= warm and (sweep - warm) % every == every - 1:
            _keep(now, found, (sweep - warm) // every)


@loop(inner=True)
def _log_sd_prior(sd: float, middle: float, spread: float) -> float:
    off = math.log(sd / middle) / spread
    return -0.5 * off * off


@loop(inner=True)
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


@loop(inner=True)
def _tail(rng: np.random.Generator, squares: FloatArray, logs: FloatArray) -> float:
    """Degrees of freedom of residuals, from the grid, each as likely beforehand. squares: (n,). logs: scratch."""
    highest = -np.inf
    for i in range(len(TAILS)):
        nu = TAILS[i]
        each = math.lgamma(0.5 * (nu + 1)) - math.lgamma(0.5 * nu) - 0.5 * math.log(nu)
        logs[i] = len(squares) * each
        for k in range(len(squares)):
            logs[i] -= 0.5 * (nu + 1) * math.log1p(squares[k] / nu)
        highest = max(highest, logs[i])
    total = 0.0
    for i in range(len(TAILS)):
        total += math.exp(logs[i] - highest)
        logs[i] = total
    at = rng.random() * total
    for i in range(len(TAILS) - 1):
        if logs[i] >= at:
            return TAILS[i]
    return TAILS[-1]


@loop(inner=True)
def _factor(a: FloatArray, low: FloatArray) -> None:
    """Cholesky's lower factor of a (its upper half is read). Not LAPACK's: its threads fight over a busy machine."""
    for i in range(len(a)):
        for k in range(i + 1):
            total = a[k, i]
            for m in range(k):
                total -= low[i, m] * low[k, m]
            low[i, k] = math.sqrt(total) if i == k else total / low[k, k]


@loop(inner=True)
def _normal_equations(history: Flat, prior: Prior, now: Belief) -> None:
    """What the rows say of shop, stations and persons together, and what was believed of them: a x = b."""
    a, b, stations = now.a, now.b, len(now.own) - 1
    for i in range(len(b)):
        sd = prior.shop_sd if i == 0 else now.values[STATION_SD] if i <= stations else now.values[PERSON_SD]
        b[i] = 0.0
        for k in range(len(b)):
            a[i, k] = 0.0
        a[i, i] = 1.0 / (sd * sd)
    for r in range(len(history.ratio)):
        s, p = history.station[r], history.person[r]
        w = now.weight[r] / (now.own[s] * now.own[s])
        y = w * (history.ratio[r] - now.job[now.of[r]])
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


@loop(inner=True)
def _block(rng: np.random.Generator, history: Flat, prior: Prior, now: Belief) -> None:
    """Shop, stations and persons together."""
    _normal_equations(history, prior, now)
    b, low, size = now.b, now.low, len(now.b)
    _factor(now.a, low)
    # The mean solves a x = b; normals divided by the factor have just its spread.
    for i in range(size):
        for k in range(i):
            b[i] -= low[i, k] * b[k]
        b[i] /= low[i, i]
    for i in range(size - 1, -1, -1):
        total = b[i] + rng.standard_normal()
        for k in range(i + 1, size):
            total -= low[k, i] * now.effects[k]
        now.effects[i] = total / low[i, i]


@loop(inner=True)
def _leave(history: Flat, now: Belief) -> None:
    """What shop, station and person leave of each row."""
    stations = len(now.own) - 1
    for r in range(len(now.left)):
        now.left[r] = history.ratio[r] - now.effects[0]
        if history.station[r] >= 0:
            now.left[r] -= now.effects[1 + history.station[r]]
        if history.person[r] >= 0:
            now.left[r] -= now.effects[1 + stations + history.person[r]]


@loop(inner=True)
def _job_terms(rng: np.random.Generator, history: Flat, now: Belief) -> None:
    """Each job's term: what its steps say, then accepted by what happened to its quote."""
    job_sd, level, edge, asked = now.values[JOB_SD], now.values[LEVEL], now.values[EDGE], now.values[ASKED]
    for j in range(len(now.job)):
        pull, mean = now.job_weight[j] / (job_sd * job_sd), 0.0
        for r in range(history.first[j], history.first[j + 1]):
            sd = now.own[history.station[r]]
            w = now.weight[r] / (sd * sd)
            pull += w
            mean += w * now.left[r]
        mean, sd = mean / pull, 1.0 / math.sqrt(pull)
        k = history.rivals[j]
        if k == 0:
            now.job[j] = mean + sd * rng.standard_normal()
            continue
        was = log_outcome(history.won[j], now.job[j], k, level, edge, asked)
        for _ in range(2):
            new = mean + sd * rng.standard_normal()
            then = log_outcome(history.won[j], new, k, level, edge, asked)
            if math.log(rng.random()) < then - was:
                now.job[j], was = new, then


@loop(inner=True)
def _shift(rng: np.random.Generator, prior: Prior, now: Belief) -> None:
    """All jobs' terms one way, the shop's the other, the rivals' level with them: what was seen stays the same."""
    job_sd = now.values[JOB_SD]
    for _ in range(2):
        shift = now.steps[SHIFT] * job_sd * rng.standard_normal()
        change = 0.0
        for j in range(len(now.job)):
            change -= now.job_weight[j] * (2.0 * now.job[j] * shift + shift * shift)
        change /= 2.0 * job_sd * job_sd
        change -= (2.0 * now.effects[0] * -shift + shift * shift) / (2.0 * prior.shop_sd**2)
        level = now.values[LEVEL]
        new_level = level - now.values[EDGE] * shift
        change -= (new_level * new_level - level * level) / (2.0 * prior.level_sd**2)
        now.tries[SHIFT] += 1
        if math.log(rng.random()) < change:
            now.hits[SHIFT] += 1
            for j in range(len(now.job)):
                now.job[j] += shift
            now.effects[0] -= shift
            for r in range(len(now.left)):
                now.left[r] += shift
            now.values[LEVEL] = new_level


@loop(inner=True)
def _outliers(rng: np.random.Generator, history: Flat, now: Belief, tails: bool) -> None:
    """How far each row and job is an outlier; and, where `tails`, how often there are any."""
    for r in range(len(now.left)):
        off = (now.left[r] - now.job[now.of[r]]) / now.own[history.station[r]]
        now.squares[r] = off * off
    if tails:
        now.values[OWN_TAIL] = _tail(rng, now.squares, now.logs)
    tail = now.values[OWN_TAIL]
    for r in range(len(now.left)):
        now.weight[r] = rng.standard_gamma(0.5 * (tail + 1)) / (0.5 * (tail + now.squares[r]))
    for j in range(len(now.job)):
        off = now.job[j] / now.values[JOB_SD]
        now.off[j] = off * off
    if tails:
        now.values[JOB_TAIL] = _tail(rng, now.off, now.logs)
    tail = now.values[JOB_TAIL]
    for j in range(len(now.job)):
        now.job_weight[j] = rng.standard_gamma(0.5 * (tail + 1)) / (0.5 * (tail + now.off[j]))


@loop(inner=True)
def _sds(rng: np.random.Generator, history: Flat, prior: Prior, now: Belief) -> None:
    """Standard deviations."""
    values, stations, persons = now.values, len(now.own) - 1, len(now.effects) - len(now.own)
    _job_sd(rng, prior, now)
    at, by = 0.0, 0.0
    for i in range(1, len(now.effects)):
        square = now.effects[i] * now.effects[i]
        if i <= stations:
            at += square
        else:
            by += square
    values[STATION_SD] = _walk_sd(
        rng, values[STATION_SD], at, float(stations), prior.station[0], prior.station[1], 5e-3, 3.0
    )
    values[PERSON_SD] = _walk_sd(
        rng, values[PERSON_SD], by, float(persons), prior.person[0], prior.person[1], 5e-3, 3.0
    )
    _own_sds(rng, history, prior, now)
    total = 0.0
    for s in range(stations):
        off = math.log(now.own[s] / now.own[stations])
        total += off * off
    values[UNLIKE] = _walk_sd(rng, values[UNLIKE], total, float(stations), prior.unlike[0], prior.unlike[1], 1e-2, 2.0)


@loop(inner=True)
def _job_sd(rng: np.random.Generator, prior: Prior, now: Belief) -> None:
    """The jobs' own; it goes with the edge, whose prior is in its units."""
    total, jobs, edge = 0.0, len(now.job), now.values[EDGE]
    for j in range(jobs):
        total += now.job_weight[j] * now.job[j] * now.job[j]
    for _ in range(3):
        sd = now.values[JOB_SD]
        new = sd * math.exp(now.steps[JOB] * rng.standard_normal())
        change = -jobs * math.log(new / sd) - 0.5 * total * (1 / (new * new) - 1 / (sd * sd))
        change += _log_sd_prior(new, prior.job[0], prior.job[1]) - _log_sd_prior(sd, prior.job[0], prior.job[1])
        change += _log_sd_prior(edge * new, 1.0, prior.edge_sd) - _log_sd_prior(edge * sd, 1.0, prior.edge_sd)
        now.tries[JOB] += 1
        if 1e-3 < new < 5.0 and math.log(rng.random()) < change:
            now.hits[JOB] += 1
            now.values[JOB_SD] = new


@loop(inner=True)
def _own_sds(rng: np.random.Generator, history: Flat, prior: Prior, now: Belief) -> None:
    """Own sd of each station around their middle (the last of `own`), then the middle."""
    own, sums, counts, unlike, stations = now.own, now.sums, now.counts, now.values[UNLIKE], len(now.own) - 1
    for s in range(stations + 1):
        sums[s], counts[s] = 0.0, 0.0
    for r in range(len(now.left)):
        off = now.left[r] - now.job[now.of[r]]
        sums[history.station[r]] += now.weight[r] * off * off
        counts[history.station[r]] += 1.0
    logs = 0.0
    for s in range(stations):
        own[s] = _walk_sd(rng, own[s], sums[s], counts[s], own[stations], unlike, 1e-3, 5.0)
        logs += math.log(own[s])
    # The middle's logarithm is normal given the stations'; rows of no named station are too few to count.
    pull = 1.0 / (prior.own[1] * prior.own[1]) + stations / (unlike * unlike)
    mean = (math.log(prior.own[0]) / (prior.own[1] * prior.own[1]) + logs / (unlike * unlike)) / pull
    own[stations] = math.exp(mean + rng.standard_normal() / math.sqrt(pull))


@loop(inner=True)
def _winning(rng: np.random.Generator, history: Flat, prior: Prior, now: Belief) -> None:
    """How winning works."""
    values, job_sd = now.values, now.values[JOB_SD]
    was = _happened(history, now.job, values[LEVEL], values[EDGE], values[ASKED])
    for _ in range(2):
        level, edge, step = values[LEVEL], values[EDGE], now.steps[WINNING]
        new_level = level + step * rng.standard_normal() * prior.level_sd
        new_edge = edge * math.exp(step * rng.standard_normal() * prior.edge_sd)
        change = (level * level - new_level * new_level) / (2.0 * prior.level_sd**2)
        change += _log_sd_prior(new_edge * job_sd, 1.0, prior.edge_sd)
        change -= _log_sd_prior(edge * job_sd, 1.0, prior.edge_sd)
        then = _happened(history, now.job, new_level, new_edge, values[ASKED])
        now.tries[WINNING] += 1
        if math.log(rng.random()) < change + then - was:
            now.hits[WINNING] += 1
            values[LEVEL], values[EDGE], was = new_level, new_edge, then
    asked = values[ASKED]
    new = 1.0 / (1.0 + (1.0 / asked - 1.0) * math.exp(now.steps[LOST] * rng.standard_normal()))
    now.tries[LOST] += 1
    if 1e-6 < new < 1.0 - 1e-6:
        change = prior.asked[0] * math.log(new / asked) + prior.asked[1] * math.log((1 - new) / (1 - asked))
        change += _happened(history, now.job, values[LEVEL], values[EDGE], new) - was
        if math.log(rng.random()) < change:
            now.hits[LOST] += 1
            values[ASKED] = new


@loop(inner=True)
def _happened(history: Flat, job: FloatArray, level: float, edge: float, asked: float) -> float:
    """log P(what happened to all quotes)."""
    total = 0.0
    for j in range(len(job)):
        total += log_outcome(history.won[j], job[j], history.rivals[j], level, edge, asked)
    return total


@loop(inner=True)
def _tune(now: Belief) -> None:
    """Steps of the walks, longer where too much is accepted."""
    for i in range(WALKS):
        share = now.hits[i] / max(1.0, now.tries[i])
        now.steps[i] = min(2.0, max(1e-4, now.steps[i] * math.exp(share - AIM)))
        now.tries[i], now.hits[i] = 0.0, 0.0


@loop(inner=True)
def _keep(now: Belief, found: Draws, i: int) -> None:
    values, stations = now.values, len(now.own) - 1
    found.shop[i], found.job_sd[i], found.job_tail[i] = now.effects[0], values[JOB_SD], values[JOB_TAIL]
    found.station_sd[i], found.person_sd[i] = values[STATION_SD], values[PERSON_SD]
    found.own_sd[i], found.unlike[i], found.own_tail[i] = now.own[stations], values[UNLIKE], values[OWN_TAIL]
    found.level[i], found.edge[i], found.asked[i] = values[LEVEL], values[EDGE], values[ASKED]
    for s in range(stations):
        found.station[i, s], found.station_own_sd[i, s] = now.effects[1 + s], now.own[s]
    for p in range(len(now.effects) - 1 - stations):
        found.person[i, p] = now.effects[1 + stations + p]
