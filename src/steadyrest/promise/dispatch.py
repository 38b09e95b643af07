"""The policy, simulated: what people do at each moment, over many draws at once.

At every moment when something ends, a job is released or a stretch begins, ready phases with nobody begin; then the
people in file order who are in and free take each the first ready phase, by the order of the jobs, that names them. A
phase is ready when the one before is done, all that its job comes after is done, what it needs of bought stock is here,
what machines share is left for its machine and, for the first of a step with a machine, the machine is free. One that
may not be interrupted is begun only if its stated duration fits into what is left of the stretch, and is then worked to
its end; one that may pauses at the end of the stretch, and is then ready again for the same person (with hand-over: for
anyone it names) with the seconds that are left. A run with nobody that stops on its way stands until anyone is in.
Nothing begins on a machine that stands; what runs by itself when it begins to stand goes on afterwards, and hands that
work on it are free until then.
People re-decide at each moment: no frozen sequence is replayed. tests/oracles/slow_dispatch.py says the same plainly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit

from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.week import Flat, IntArray
from steadyrest.shop.draws import FloatArray

WAITING, RUNNING, PAUSED, DONE = 0, 1, 2, 3
SMALL_S = 1e-6


@dataclass(frozen=True, slots=True)
class Outcome:
    """What happened in each draw; inf where it did not happen within the calendar.

    finish_s: (n, J). begin_s, end_s: (n, P). by: (n, P) index of the person who began it, or -1. broken: (n, J) how
    often a phase began later after the one before than it may wait. trace: (k, 4) phase, person or -1, from, to in the
    traced draw.
    """

    finish_s: FloatArray
    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    broken: IntArray
    trace: FloatArray


class Record(NamedTuple):
    """What is written down as it happens: the arrays of an Outcome."""

    finish_s: FloatArray
    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    broken: IntArray
    trace: FloatArray


class Floor(NamedTuple):
    """The state of the floor in one draw.

    Per job: `at` its phase, `state`, `until` when it next ends or pauses, `left` what then remains, `since` when this
    stretch began, `owner` who works on it or paused it. Per person: `doing` which job or -1, `slot` which stretch of
    the calendar. Per machine: `held` by which job or -1.
    """

    at: IntArray
    state: IntArray
    until: FloatArray
    left: FloatArray
    since: FloatArray
    owner: IntArray
    doing: IntArray
    slot: IntArray
    held: IntArray


def dispatch(flat: Flat, draws: WeekDraws, order: IntArray, *, traced: int = -1) -> Outcome:
    """Simulates every draw under one order of the jobs.

    Args:
        flat: the week's arrays.
        draws: n draws of its durations and releases.
        order: (J,) job indices, the first choice first.
        traced: index of the draw whose stretches of work are written down; -1: none.
    Returns: the outcome.
    """
    n, phases = draws.base_s.shape
    jobs = flat.first.size - 1
    record = Record(
        finish_s=np.full((n, jobs), np.inf),
        begin_s=np.full((n, phases), np.inf),
        end_s=np.full((n, phases), np.inf),
        by=np.full((n, phases), -1, np.int64),
        broken=np.zeros((n, jobs), np.int64),
        trace=np.zeros((phases + int(flat.here_count.sum()) + flat.down_of.size + 1 if traced >= 0 else 1, 4)),
    )
    used = _all_draws(flat, draws, order, traced, record)
    return Outcome(*record[:5], record.trace[:used])


@njit(cache=True)
def _all_draws(flat: Flat, draws: WeekDraws, order: IntArray, traced: int, record: Record) -> int:
    """Every draw from now until all is done or nothing more will happen; returns the rows of the trace."""
    jobs, people, used = order.size, flat.here_count.size, 0
    for d in range(draws.base_s.shape[0]):
        floor = Floor(
            flat.first[:jobs].copy(), np.zeros(jobs, np.int64), np.full(jobs, np.inf), np.zeros(jobs), np.zeros(jobs),
            np.full(jobs, -1, np.int64), np.full(people, -1, np.int64), np.zeros(people, np.int64),
            np.full(flat.machines, -1, np.int64),
        )  # fmt: skip
        t, still_open = 0.0, jobs
        while t < np.inf:
            for j in range(jobs):
                if floor.state[j] == RUNNING and floor.until[j] <= t:
                    if d == traced:
                        record.trace[used, 0], record.trace[used, 1] = floor.at[j], floor.owner[j]
                        record.trace[used, 2], record.trace[used, 3] = floor.since[j], t
                        used += 1
                    still_open -= _ends(flat, floor, record, d, j, t)
            if still_open == 0:
                break
            _begins(flat, draws, order, floor, record, d, -1, t, np.inf)
            for p in range(people):
                if floor.doing[p] >= 0:
                    continue
                while floor.slot[p] < flat.here_count[p] and flat.here_to[p, floor.slot[p]] <= t:
                    floor.slot[p] += 1
                s = floor.slot[p]
                if s < flat.here_count[p] and flat.here_from[p, s] <= t:
                    _begins(flat, draws, order, floor, record, d, p, t, flat.here_to[p, s] - t)
            t = _next_moment(flat, draws, floor, d, t)
    return used


@njit(cache=True)
def _ends(flat: Flat, floor: Floor, record: Record, d: int, j: int, t: float) -> int:
    """The running phase of job j ends or pauses at t; returns 1 if the job is done."""
    ph = floor.at[j]
    if floor.owner[j] >= 0:
        floor.doing[floor.owner[j]] = -1
    if floor.left[j] > SMALL_S:
        floor.state[j] = PAUSED
        return 0
    record.end_s[d, ph] = t
    if flat.closes[ph] and flat.machine[ph] >= 0:
        floor.held[flat.machine[ph]] = -1
    floor.at[j] += 1
    floor.state[j] = WAITING
    if floor.at[j] < flat.first[j + 1]:
        return 0
    floor.state[j] = DONE
    record.finish_s[d, j] = t
    return 1


@njit(cache=True)
def _begins(
    flat: Flat, draws: WeekDraws, order: IntArray, floor: Floor, record: Record, d: int, p: int, t: float, room: float
) -> None:
    """What person p, in for `room` more seconds, takes at t; with p = -1 every ready phase that needs nobody."""
    for j in order:
        ph = floor.at[j]
        if floor.state[j] == RUNNING or floor.state[j] == DONE or draws.release_s[d, j] > t:
            continue
        if ph >= flat.from_stock[j] and draws.stock_s[d, j] > t:
            continue
        if (ph == flat.first[j] and _waits_for(flat, floor, j)) or _over_limit(flat, floor, int(flat.machine[ph])):
            continue
        runs_s = _until_it_stands(flat, int(flat.machine[ph]), t)
        if runs_s <= SMALL_S:
            continue
        first = floor.state[j] == WAITING
        m = flat.machine[ph] if flat.opens[ph] and first else -1
        if m >= 0 and floor.held[m] >= 0:
            continue
        if p < 0:
            if not flat.alone[ph]:
                continue
        elif (
            not flat.who[ph, p]
            or (not first and floor.owner[j] != p and not flat.hand_over[ph])
            or (not flat.interruptible[ph] and flat.stated_s[ph] > room)
        ):
            continue
        if first:
            floor.left[j] = draws.base_s[d, ph] * (draws.person[d, p] if p >= 0 else 1.0)
            record.begin_s[d, ph], record.by[d, ph] = t, p
            if ph > flat.first[j] and t - record.end_s[d, ph - 1] > flat.max_wait_s[ph - 1] + SMALL_S:
                record.broken[d, j] += 1
            if m >= 0:
                floor.held[m] = j
        floor.state[j], floor.owner[j], floor.since[j] = RUNNING, p, t
        if p >= 0:
            now = min(floor.left[j], room) if flat.interruptible[ph] else floor.left[j]
            now = min(now, runs_s)
            floor.until[j], floor.doing[p] = t + now, j
            floor.left[j] -= now
            return
        alone = _runs_alone(flat, t, float(floor.left[j]), float(draws.stop_at[d, ph]))
        floor.until[j] = _with_standing(flat, int(flat.machine[ph]), t, alone)
        floor.left[j] = 0.0


@njit(cache=True)
def _waits_for(flat: Flat, floor: Floor, j: int) -> bool:
    """Whether something is not done yet that job j comes after."""
    for k in range(floor.state.size):  # noqa: SIM110  the compiler takes no generator
        if flat.after[j, k] and floor.state[k] != DONE:
            return True
    return False


@njit(cache=True)
def _over_limit(flat: Flat, floor: Floor, machine: int) -> bool:
    """Whether this machine would ask more of what machines share than those that run leave."""
    if machine < 0:
        return False
    for limit in range(flat.allows.size):
        asks = flat.asks[machine, limit]
        if asks <= 0:
            continue
        for k in range(floor.state.size):
            other = flat.machine[floor.at[k]] if floor.state[k] == RUNNING else -1
            if other >= 0:
                asks += flat.asks[other, limit]
        if asks > flat.allows[limit] + SMALL_S:
            return True
    return False


@njit(cache=True)
def _until_it_stands(flat: Flat, machine: int, t: float) -> float:
    """How long this machine runs from t on; 0: it stands; inf: nothing is known against it."""
    runs = np.inf
    for k in range(flat.down_of.size):
        if flat.down_of[k] == machine and flat.down_to[k] > t:
            runs = min(runs, max(flat.down_from[k] - t, 0.0))
    return runs


@njit(cache=True)
def _with_standing(flat: Flat, machine: int, t: float, ends: float) -> float:
    """When what began at t on this machine ends if it stands on the way."""
    for k in range(flat.down_of.size):
        if flat.down_of[k] == machine and t < flat.down_from[k] < ends:
            ends += flat.down_to[k] - flat.down_from[k]
    return ends


@njit(cache=True)
def _runs_alone(flat: Flat, t: float, takes: float, stop_at: float) -> float:
    """When a run begun at t ends; if it stops on its way it stands until anyone is in."""
    if stop_at < 0:
        return t + takes
    stops, a = t + stop_at * takes, 0
    while a < flat.anyone_to.size and flat.anyone_to[a] <= stops:
        a += 1
    resumes = max(stops, flat.anyone_from[a]) if a < flat.anyone_to.size else np.inf
    return resumes + (1.0 - stop_at) * takes


@njit(cache=True)
def _next_moment(flat: Flat, draws: WeekDraws, floor: Floor, d: int, t: float) -> float:
    """When something next ends, is released, or a stretch begins of someone who is free; inf: never."""
    after = np.inf
    for j in range(floor.at.size):
        if floor.state[j] == RUNNING:
            after = min(after, floor.until[j])
        elif floor.state[j] == WAITING and draws.release_s[d, j] > t:
            after = min(after, draws.release_s[d, j])
        elif floor.state[j] == WAITING and draws.stock_s[d, j] > t:
            after = min(after, draws.stock_s[d, j])
    for k in range(flat.down_to.size):
        if flat.down_to[k] > t:
            after = min(after, flat.down_to[k])
    for p in range(floor.doing.size):
        if floor.doing[p] < 0:
            s = floor.slot[p]
            while s < flat.here_count[p] and flat.here_from[p, s] <= t:
                s += 1
            if s < flat.here_count[p]:
                after = min(after, flat.here_from[p, s])
    return after
