"""The policy, simulated: what people do at each moment, over many draws at once.

At every moment when something ends, a job is released or a stretch begins, ready phases with nobody begin; then the
people in file order who are in and free take each the first ready phase, by the order of the jobs, that names them. A
phase is ready when the one before is done and, for the first of a step with a machine, the machine is free. One that
may not be interrupted is begun only if its stated duration fits into what is left of the stretch, and is then worked to
its end; one that may pauses at the end of the stretch, and is then ready again for the same person (with hand-over: for
anyone it names) with the seconds that are left. A run with nobody that stops on its way stands until anyone is in.
People re-decide at each moment: no frozen sequence is replayed. tests/oracles/slow_dispatch.py is the same in plain words.
"""

from __future__ import annotations

from dataclasses import dataclass

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
    finish, broken = np.full((n, jobs), np.inf), np.zeros((n, jobs), np.int64)
    begin, end, by = np.full((n, phases), np.inf), np.full((n, phases), np.inf), np.full((n, phases), -1, np.int64)
    trace = np.zeros((phases + int(flat.here_count.sum()) + 1 if traced >= 0 else 1, 4))
    used = _dispatch(
        order, flat.first, flat.machine, flat.opens, flat.closes, flat.who, flat.stated_s, flat.interruptible,
        flat.hand_over, flat.max_wait_s, flat.here_from, flat.here_to, flat.here_count, flat.anyone_from,
        flat.anyone_to, flat.machines, draws.base_s, draws.person, draws.stop_at, draws.release_s, traced,
        finish, begin, end, by, broken, trace,
    )  # fmt: skip
    return Outcome(finish, begin, end, by, broken, trace[:used])


@njit(cache=True)
def _dispatch(
    order, first, machine, opens, closes, who, stated, interruptible, hand_over, max_wait, here_from, here_to,
    here_count, anyone_from, anyone_to, machines, base, person, stop_at, release, traced, finish, begin, end, by,
    broken, trace,
):  # fmt: skip
    """All draws in one call; one function, because each compiled function costs a second on a fresh machine."""
    draws, jobs, people, used = base.shape[0], order.size, here_count.size, 0
    for d in range(draws):
        at, state = first[:jobs].copy(), np.zeros(jobs, np.int64)
        until, left, since = np.full(jobs, np.inf), np.zeros(jobs), np.zeros(jobs)
        owner, doing = np.full(jobs, -1, np.int64), np.full(people, -1, np.int64)
        held, slot = np.full(machines, -1, np.int64), np.zeros(people, np.int64)
        t, open_jobs = 0.0, jobs
        while True:
            for j in range(jobs):  # what ends now
                if state[j] != RUNNING or until[j] > t:
                    continue
                ph, p = at[j], owner[j]
                if p >= 0:
                    doing[p] = -1
                if d == traced:
                    trace[used, 0], trace[used, 1], trace[used, 2], trace[used, 3] = ph, p, since[j], t
                    used += 1
                if left[j] > SMALL_S:
                    state[j] = PAUSED
                    continue
                end[d, ph] = t
                if closes[ph] and machine[ph] >= 0:
                    held[machine[ph]] = -1
                at[j] += 1
                state[j] = WAITING
                if at[j] == first[j + 1]:
                    state[j] = DONE
                    finish[d, j] = t
                    open_jobs -= 1
            if open_jobs == 0:
                break
            for turn in range(people + 1):  # first nobody, then the people in file order
                p = turn - 1
                room = np.inf
                if p >= 0:
                    if doing[p] >= 0:
                        continue
                    while slot[p] < here_count[p] and here_to[p, slot[p]] <= t:
                        slot[p] += 1
                    if slot[p] >= here_count[p] or here_from[p, slot[p]] > t:
                        continue
                    room = here_to[p, slot[p]] - t
                for k in range(jobs):
                    j = order[k]
                    if state[j] == RUNNING or state[j] == DONE or release[d, j] > t:
                        continue
                    ph = at[j]
                    m = machine[ph] if opens[ph] and state[j] == WAITING else -1
                    if m >= 0 and held[m] >= 0:
                        continue
                    if p < 0:
                        attended = False
                        for q in range(people):
                            attended = attended or who[ph, q]
                        if attended:
                            continue
                    elif not who[ph, p] or (state[j] == PAUSED and owner[j] != p and not hand_over[ph]):
                        continue
                    elif not interruptible[ph] and stated[ph] > room:
                        continue
                    if state[j] == WAITING:
                        left[j] = base[d, ph] * (person[d, p] if p >= 0 else 1.0)
                        begin[d, ph], by[d, ph] = t, p
                        if ph > first[j] and t - end[d, ph - 1] > max_wait[ph - 1] + SMALL_S:
                            broken[d, j] += 1
                        if m >= 0:
                            held[m] = j
                    state[j], owner[j], since[j] = RUNNING, p, t
                    if p >= 0:
                        doing[p] = j
                        now = min(left[j], room) if interruptible[ph] else left[j]
                        until[j] = t + now
                        left[j] -= now
                        break
                    until[j] = t + left[j]
                    if stop_at[d, ph] >= 0:
                        stops, a = t + stop_at[d, ph] * left[j], 0
                        while a < anyone_to.size and anyone_to[a] <= stops:
                            a += 1
                        resumes = max(stops, anyone_from[a]) if a < anyone_to.size else np.inf
                        until[j] = resumes + (1.0 - stop_at[d, ph]) * left[j]
                    left[j] = 0.0
            after = np.inf
            for j in range(jobs):
                if state[j] == RUNNING:
                    after = min(after, until[j])
                elif state[j] == WAITING and release[d, j] > t:
                    after = min(after, release[d, j])
            for p in range(people):
                if doing[p] < 0:
                    s = slot[p]
                    while s < here_count[p] and here_from[p, s] <= t:
                        s += 1
                    if s < here_count[p]:
                        after = min(after, here_from[p, s])
            if after == np.inf:
                break
            t = after
    return used
