"""The policy of dispatch.py, compiled: one draw after the other, from moment to moment.

Arrays are taken out of their tuples once, at the top: one taken out anew in an inner loop costs more than what is done
with it. What is told of a phase or a job stands in one table, a column each. At each moment every job that is not done
is looked at once; people then choose among the few that could go on.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from steadyrest.compiled import loop, maker, put
from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.week import BoolArray, Flat, IntArray
from steadyrest.shop.draws import FloatArray

WAITING, RUNNING, PAUSED, DONE = 0, 1, 2, 3
SMALL_S = 1e-6
MACHINE, OPENS, CLOSES, ALONE, PAUSES, HAND_OVER, WINDOW = 0, 1, 2, 3, 4, 5, 6  # columns of Laid.phase
STATED_S, MAX_WAIT_S = 0, 1  # of Laid.phase_s
FIRST, AFTER_LAST, FROM_STOCK, WAITS = 0, 1, 2, 3  # of Laid.job; WAITS: whether it comes after any other
AT, STATE, OWNER = 0, 1, 2  # of `now`: a job's phase, its state, who works on it or paused it
UNTIL, LEFT, SINCE = 0, 1, 2  # of `clock`: when it next ends or pauses, what then remains, when this stretch began


class Laid(NamedTuple):
    """A Flat as tables. phase: (P, 7), phase_s: (P, 2), job: (J, 4); down_s: (D, 2) from, to; the rest as in Flat."""

    phase: IntArray
    phase_s: FloatArray
    job: IntArray
    who: BoolArray
    after: BoolArray
    asks: FloatArray
    allows: FloatArray
    here_from: FloatArray
    here_to: FloatArray
    here_count: IntArray
    anyone_from: FloatArray
    anyone_to: FloatArray
    down_of: IntArray
    down_s: FloatArray


class Record(NamedTuple):
    """What is written down as it happens: the arrays of an Outcome."""

    finish_s: FloatArray
    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    broken: IntArray
    trace: FloatArray


def laid(flat: Flat) -> Laid:
    """The week's arrays as tables."""
    does = (flat.machine, flat.opens, flat.closes, flat.alone, flat.interruptible, flat.hand_over, flat.window)
    return Laid(
        np.column_stack(does).astype(np.int64),
        np.column_stack((flat.stated_s, flat.max_wait_s)),
        np.column_stack((flat.first[:-1], flat.first[1:], flat.from_stock, flat.after.any(axis=1).astype(np.int64))),
        flat.who, flat.after, flat.asks, flat.allows, flat.here_from, flat.here_to, flat.here_count,
        flat.anyone_from, flat.anyone_to, flat.down_of, np.column_stack((flat.down_from, flat.down_to)),
    )  # fmt: skip


@maker()
def all_draws(week: Laid, machines: int, draws: WeekDraws, order: IntArray, traced: int, record: Record) -> int:
    """Every draw from now until all is done or nothing more will happen; returns the rows of the trace."""
    (
        phase,
        phase_s,
        job,
        who,
        after,
        asks,
        allows,
        here_from,
        here_to,
        here_count,
        some_from,
        some_to,
        down_of,
        down_s,
    ) = week
    base_s, person, stop_at, release_s, stock_s = draws
    finish_s, begin_s, end_s, by, broken, trace = record
    jobs, people, used = order.size, here_count.size, 0
    now, clock = np.empty((jobs, 3), np.int64), np.empty((jobs, 3))
    open_jobs, could, runs = np.empty(jobs, np.int64), np.empty(jobs, np.int64), np.empty(jobs, np.int64)
    doing, slot, held = np.empty(people, np.int64), np.empty(people, np.int64), np.empty(machines, np.int64)
    for d in range(base_s.shape[0]):
        base, pace, stops, comes, here = base_s[d], person[d], stop_at[d], release_s[d], stock_s[d]
        finish, begin, end, did, late = finish_s[d], begin_s[d], end_s[d], by[d], broken[d]
        _at_rest(job, now, clock, doing, slot, held)
        put(open_jobs, order)
        t, still_open, running = 0.0, jobs, 0
        while t < np.inf:
            go_on = 0
            for k in range(running):
                j = runs[k]
                if clock[j, UNTIL] <= t:
                    if d == traced:
                        trace[used, 0], trace[used, 1] = now[j, AT], now[j, OWNER]
                        trace[used, 2], trace[used, 3] = clock[j, SINCE], t
                        used += 1
                    _ends(phase, job, now, clock, doing, held, finish, end, j, t)
                if now[j, STATE] == RUNNING:
                    runs[go_on] = j
                    go_on += 1
            running = go_on
            still_open = _without_done(now, open_jobs, still_open)
            if still_open == 0:
                break
            many, soonest = _look(
                phase, job, after, down_of, down_s, comes, here, now, held, open_jobs, still_open, t, could
            )
            for p in range(-1, people):
                room = np.inf
                if p >= 0:
                    if doing[p] >= 0:
                        continue
                    while slot[p] < here_count[p] and here_to[p, slot[p]] <= t:
                        slot[p] += 1
                    s = slot[p]
                    if s == here_count[p] or here_from[p, s] > t:
                        continue
                    room = here_to[p, s] - t
                for k in range(many):
                    j = could[k]
                    if now[j, STATE] == RUNNING:
                        continue
                    goes_on = _until_it_stands(down_of, down_s, phase[now[j, AT], WINDOW], t)
                    if not _may_begin(phase, phase_s, who, asks, allows, now, held, j, p, min(room, goes_on)):
                        continue
                    _begin(phase, phase_s, job, now, clock, held, base, pace, begin, end, did, late, j, p, t)
                    _runs_too(runs, running, j)
                    running += 1
                    if p >= 0:
                        runs_s = _until_it_stands(down_of, down_s, phase[now[j, AT], MACHINE], t)
                        _works(phase, now, clock, doing, j, p, t, room, min(runs_s, goes_on))
                        break
                    m, left = phase[now[j, AT], MACHINE], clock[j, LEFT]
                    ends = _runs_alone(some_from, some_to, t, left, stops[now[j, AT]])
                    clock[j, UNTIL], clock[j, LEFT] = _with_standing(down_of, down_s, m, t, ends), 0.0
            for k in range(running):
                soonest = min(soonest, clock[runs[k], UNTIL])
            t = _next_moment(
                phase, who, here_from, here_count, down_s, here, now, doing, slot, held, could, many, t, soonest
            )
    return used


@loop(inner=True)
def _at_rest(job: IntArray, now: IntArray, clock: FloatArray, doing: IntArray, slot: IntArray, held: IntArray) -> None:
    """The floor as it is at the beginning of each draw: nobody works, nothing is held."""
    for j in range(now.shape[0]):
        now[j, AT], now[j, STATE], now[j, OWNER] = job[j, FIRST], WAITING, -1
        clock[j, UNTIL], clock[j, LEFT], clock[j, SINCE] = np.inf, 0.0, 0.0
    doing[:], slot[:], held[:] = -1, 0, -1


@loop(inner=True)
def _ends(
    phase: IntArray, job: IntArray, now: IntArray, clock: FloatArray, doing: IntArray, held: IntArray,
    finish: FloatArray, end: FloatArray, j: int, t: float,
) -> None:  # fmt: skip
    """The running phase of job j ends or pauses at t."""
    ph = now[j, AT]
    if now[j, OWNER] >= 0:
        doing[now[j, OWNER]] = -1
    if clock[j, LEFT] > SMALL_S:
        now[j, STATE] = PAUSED
        return
    end[ph] = t
    if phase[ph, CLOSES] and phase[ph, MACHINE] >= 0:
        held[phase[ph, MACHINE]] = -1
    now[j, AT] += 1
    now[j, STATE] = WAITING
    if now[j, AT] == job[j, AFTER_LAST]:
        now[j, STATE] = DONE
        finish[j] = t


@loop(inner=True)
def _without_done(now: IntArray, open_jobs: IntArray, many: int) -> int:
    """What is done leaves the open jobs; returns how many are left."""
    left = 0
    for k in range(many):
        if now[open_jobs[k], STATE] != DONE:
            open_jobs[left] = open_jobs[k]
            left += 1
    return left


@loop(inner=True)
def _runs_too(runs: IntArray, many: int, j: int) -> None:
    """Job j joins those that run, which stand by number."""
    k = many
    while k > 0 and runs[k - 1] > j:
        runs[k] = runs[k - 1]
        k -= 1
    runs[k] = j


@loop(inner=True)
def _look(
    phase: IntArray, job: IntArray, after: BoolArray, down_of: IntArray, down_s: FloatArray, comes: FloatArray,
    here: FloatArray, now: IntArray, held: IntArray, open_jobs: IntArray, many: int, t: float, could: IntArray,
) -> tuple[int, float]:  # fmt: skip
    """Which open jobs could go on at t, into `could`, as far as they themselves, their stock and machines allow.

    Returns how many, and when one of the others next comes, or its stock.
    """
    found, soonest = 0, np.inf
    for k in range(many):
        j = open_jobs[k]
        if now[j, STATE] == RUNNING:
            continue
        if comes[j] > t:
            soonest = min(soonest, float(comes[j]))
            continue
        ph = now[j, AT]
        may = (ph < job[j, FROM_STOCK] or here[j] <= t) and not _held(phase, now, held, j)
        if may and job[j, WAITS] and ph == job[j, FIRST]:
            may = not _waits_for(after, now, j)
        if may and down_of.size:
            runs_s = _until_it_stands(down_of, down_s, phase[ph, MACHINE], t)
            may = min(runs_s, _until_it_stands(down_of, down_s, phase[ph, WINDOW], t)) > SMALL_S
        if may:
            could[found] = j
            found += 1
        elif now[j, STATE] == WAITING and here[j] > t:
            soonest = min(soonest, float(here[j]))
    return found, soonest


@loop(inner=True)
def _may_begin(
    phase: IntArray, phase_s: FloatArray, who: BoolArray, asks: FloatArray, allows: FloatArray, now: IntArray,
    held: IntArray, j: int, p: int, room: float,
) -> bool:  # fmt: skip
    """Whether person p, in for `room` more seconds, takes ready job j; with p = -1: whether it begins by itself."""
    ph = now[j, AT]
    if p < 0:
        if not phase[ph, ALONE]:
            return False
    elif not _names(phase, who, now, j, p) or (not phase[ph, PAUSES] and phase_s[ph, STATED_S] > room):
        return False
    return not _held(phase, now, held, j) and not _over_limit(phase, asks, allows, now, phase[ph, MACHINE])


@loop(inner=True)
def _names(phase: IntArray, who: BoolArray, now: IntArray, j: int, p: int) -> bool:
    """Whether job j's phase names person p, and nobody else has paused it."""
    ph = now[j, AT]
    return bool(who[ph, p]) and (now[j, STATE] == WAITING or now[j, OWNER] == p or phase[ph, HAND_OVER] > 0)


@loop(inner=True)
def _held(phase: IntArray, now: IntArray, held: IntArray, j: int) -> bool:
    """Whether job j's phase would open a step on a machine that another job holds."""
    m = phase[now[j, AT], MACHINE]
    return bool(m >= 0 and phase[now[j, AT], OPENS] > 0 and now[j, STATE] == WAITING and held[m] >= 0)


@loop(inner=True)
def _begin(
    phase: IntArray, phase_s: FloatArray, job: IntArray, now: IntArray, clock: FloatArray, held: IntArray,
    base: FloatArray, pace: FloatArray, begin: FloatArray, end: FloatArray, did: IntArray, late: IntArray,
    j: int, p: int, t: float,
) -> None:  # fmt: skip
    """Job j's phase begins at t, or goes on after a pause."""
    ph = now[j, AT]
    if now[j, STATE] == WAITING:
        clock[j, LEFT] = base[ph] * (pace[p] if p >= 0 else 1.0)
        begin[ph], did[ph] = t, p
        if ph > job[j, FIRST] and t - end[ph - 1] > phase_s[ph - 1, MAX_WAIT_S] + SMALL_S:
            late[j] += 1
        if phase[ph, OPENS] and phase[ph, MACHINE] >= 0:
            held[phase[ph, MACHINE]] = j
    now[j, STATE], now[j, OWNER], clock[j, SINCE] = RUNNING, p, t


@loop(inner=True)
def _works(
    phase: IntArray, now: IntArray, clock: FloatArray, doing: IntArray, j: int, p: int, t: float, room: float,
    runs_s: float,
) -> None:  # fmt: skip
    """Person p works on it to its end, to the end of the stretch, or until the machine stands."""
    for_s = min(clock[j, LEFT], room) if phase[now[j, AT], PAUSES] else clock[j, LEFT]
    for_s = min(for_s, runs_s)
    clock[j, UNTIL], doing[p] = t + for_s, j
    clock[j, LEFT] -= for_s


@loop(inner=True)
def _waits_for(after: BoolArray, now: IntArray, j: int) -> bool:
    """Whether something is not done yet that job j comes after."""
    for k in range(now.shape[0]):  # noqa: SIM110  the compiler takes no generator
        if after[j, k] and now[k, STATE] != DONE:
            return True
    return False


@loop(inner=True)
def _over_limit(phase: IntArray, asks: FloatArray, allows: FloatArray, now: IntArray, machine: int) -> bool:
    """Whether this machine would ask more of what machines share than those that run leave."""
    if machine < 0:
        return False
    for limit in range(allows.size):
        asked = asks[machine, limit]
        if asked <= 0:
            continue
        for k in range(now.shape[0]):
            other = phase[now[k, AT], MACHINE] if now[k, STATE] == RUNNING else -1
            if other >= 0:
                asked += asks[other, limit]
        if asked > allows[limit] + SMALL_S:
            return True
    return False


@loop(inner=True)
def _until_it_stands(down_of: IntArray, down_s: FloatArray, machine: int, t: float) -> float:
    """How long this machine runs from t on; 0: it stands; inf: nothing is known against it."""
    runs = np.inf
    if machine < 0:
        return runs
    for k in range(down_of.size):
        if down_of[k] == machine and down_s[k, 1] > t:
            runs = min(runs, max(down_s[k, 0] - t, 0.0))
    return runs


@loop(inner=True)
def _with_standing(down_of: IntArray, down_s: FloatArray, machine: int, t: float, ends: float) -> float:
    """When what began at t on this machine ends if it stands on the way."""
    for k in range(down_of.size):
        if down_of[k] == machine and t < down_s[k, 0] < ends:
            ends += down_s[k, 1] - down_s[k, 0]
    return ends


@loop(inner=True)
def _runs_alone(some_from: FloatArray, some_to: FloatArray, t: float, takes: float, stop_at: float) -> float:
    """When a run begun at t ends; if it stops on its way it stands until anyone is in."""
    if stop_at < 0:
        return t + takes
    stops, a = t + stop_at * takes, 0
    while a < some_to.size and some_to[a] <= stops:
        a += 1
    resumes = max(stops, some_from[a]) if a < some_to.size else np.inf
    return resumes + (1.0 - stop_at) * takes


@loop(inner=True)
def _next_moment(
    phase: IntArray, who: BoolArray, here_from: FloatArray, here_count: IntArray, down_s: FloatArray,
    here: FloatArray, now: IntArray, doing: IntArray, slot: IntArray, held: IntArray, could: IntArray, many: int,
    t: float, soonest: float,
) -> float:  # fmt: skip
    """When something next ends, comes, runs again, or someone free comes in whom a job that could go on names.

    Other stretches change nothing: what could not go on can only by what ends, comes or runs again. soonest: of what
    ends, and of what comes for the jobs that could not. inf: never.
    """
    for k in range(down_s.shape[0]):
        if down_s[k, 1] > t:
            soonest = min(soonest, float(down_s[k, 1]))
    left = 0
    for k in range(many):
        j = could[k]
        if now[j, STATE] == WAITING and here[j] > t:
            soonest = min(soonest, float(here[j]))
        if now[j, STATE] != RUNNING and not _held(phase, now, held, j):
            could[left] = j
            left += 1
    for p in range(doing.size):
        s = slot[p]
        while s < here_count[p] and here_from[p, s] <= t:
            s += 1
        if doing[p] >= 0 or s == here_count[p] or here_from[p, s] >= soonest:
            continue
        for k in range(left):
            if _names(phase, who, now, could[k], p):
                soonest = float(here_from[p, s])
                break
    return soonest
