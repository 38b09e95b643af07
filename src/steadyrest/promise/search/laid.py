"""The week laid out for the search: phases, the units that are placed at once, and who is there when.

A unit is a run of phases that follow one another without a choice between: a phase and the runs by itself after it, or
phases that may not wait long between them. Where a limit on the wait reaches from one step into the next, both steps
are one unit, so that nobody holds one machine while waiting for another.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from steadyrest.promise.week import BoolArray, IntArray, Week, arrays
from steadyrest.shop.draws import FloatArray

CELL_S, MOST_CELLS = 3600.0, 10_000


class Laid(NamedTuple):
    """A Week for the search; a tuple, because the compiled builder takes it whole. J jobs, P phases, N people.

    first: (J + 1,) where each job's phases begin. release_s, due_s, weight: (J,).
    takes_s: (P,). wait_s: (P,) longest wait to the next phase. tail_s: (P,) least time from its end to the job's.
    machine: (P,) or -1. step_first, step_end: (P,) its step's first phase and the one after its last.
    unit_end: (P,) the phase after the last of its unit. need_s: (P,) least time from its begin to its step's end.
    who: (P, N) candidates, -1 after the last. pauses: (P,) interruptible.
    here_from, here_to: (N, S); here_count: (N,). here_at: (N, H) the first stretch that ends after cell h begins, cells
    of cell_s. machines: how many.
    """

    first: IntArray
    release_s: FloatArray
    due_s: FloatArray
    weight: FloatArray
    takes_s: FloatArray
    wait_s: FloatArray
    tail_s: FloatArray
    machine: IntArray
    step_first: IntArray
    step_end: IntArray
    unit_end: IntArray
    need_s: FloatArray
    who: IntArray
    pauses: BoolArray
    here_from: FloatArray
    here_to: FloatArray
    here_count: IntArray
    here_at: IntArray
    cell_s: float
    machines: int


def laid_out(week: Week) -> Laid:
    """The week's arrays for the search.

    Args:
        week: jobs and people.
    Returns: arrays as Laid says.
    """
    flat = arrays(week)
    phases, jobs = flat.stated_s.size, len(week.jobs)
    step_first, step_end = np.zeros(phases, np.int64), np.zeros(phases, np.int64)
    tail, need = np.zeros(phases), np.zeros(phases)
    wait = flat.max_wait_s.copy()
    at = 0
    for job in week.jobs:
        begin = at
        for step in job.steps:
            step_first[at : at + len(step.phases)] = at
            step_end[at : at + len(step.phases)] = at + len(step.phases)
            at += len(step.phases)
        wait[at - 1] = math.inf
        for i in range(at - 1, begin - 1, -1):
            tail[i] = 0.0 if i == at - 1 else tail[i + 1] + flat.stated_s[i + 1]
            need[i] = flat.stated_s[i] + (need[i + 1] if i + 1 < step_end[i] else 0.0)
    who = np.full((phases, flat.who.shape[1]), -1, np.int64)
    for i in range(phases):
        able = np.flatnonzero(flat.who[i])
        who[i, : able.size] = able
    here_at, cell_s = _cells(flat.here_to, flat.here_count)
    return Laid(
        first=flat.first,
        release_s=np.array([job.release_s for job in week.jobs], np.float64),
        due_s=np.array([job.due_s for job in week.jobs], np.float64),
        weight=np.array([job.weight for job in week.jobs], np.float64),
        takes_s=flat.stated_s,
        wait_s=wait,
        tail_s=tail,
        machine=flat.machine,
        step_first=step_first,
        step_end=step_end,
        unit_end=_unit_ends(flat.first, jobs, step_first, step_end, wait, flat.alone, flat.machine),
        need_s=need,
        who=who,
        pauses=flat.interruptible,
        here_from=flat.here_from,
        here_to=flat.here_to,
        here_count=flat.here_count,
        here_at=here_at,
        cell_s=cell_s,
        machines=flat.machines,
    )


def _cells(here_to: FloatArray, here_count: IntArray) -> tuple[IntArray, float]:
    """(N, H) the first stretch that ends after each cell's begin, and how long a cell is, s."""
    ends = here_to[np.isfinite(here_to)]
    last = float(ends.max(initial=0.0))
    cell_s = max(CELL_S, last / MOST_CELLS)
    begins = np.arange(int(last / cell_s) + 2) * cell_s
    rows = [np.searchsorted(row[:n], begins, side="right") for row, n in zip(here_to, here_count, strict=True)]
    return np.array(rows, np.int64), cell_s


def _unit_ends(
    first: IntArray, jobs: int, step_first: IntArray, step_end: IntArray, wait: FloatArray, alone: BoolArray,
    machine: IntArray,
) -> IntArray:  # fmt: skip
    """(P,) the end of each phase's unit."""
    joined = np.zeros(wait.size, np.bool_)  # to the phase before
    for i in range(1, wait.size):
        same_step = step_first[i] == step_first[i - 1]
        after = math.isfinite(wait[i - 1]) and i not in first
        joined[i] = after or (same_step and alone[i] and math.isinf(wait[i]))
        if after and not same_step and (machine[i] >= 0 or machine[i - 1] >= 0):
            joined[step_first[i - 1] + 1 : step_end[i]] = True
    out = np.zeros(wait.size, np.int64)
    for j in range(jobs):
        starts = [i for i in range(first[j], first[j + 1]) if i == first[j] or not joined[i]]
        for a, b in pairwise([*starts, int(first[j + 1])]):
            out[a:b] = b
    return out
