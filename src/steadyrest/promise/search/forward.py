"""Orders to begin with that go forward in time: of the units that could begin soonest, the most pressing one."""

from __future__ import annotations

import numpy as np
from numba import njit

from steadyrest.promise.search.builder import PLACED, Bench, Genes, cleared, place, unit_placed
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import IntArray
from steadyrest.shop.draws import FloatArray


@njit(cache=True, nogil=True)
def forward(w: Laid, genes: Genes, bench: Bench, look_s: float, patience_s: float) -> IntArray:
    """An order made by working forward.

    A unit presses by its job's weight for each hour that is left, less the more slack there is (the apparent tardiness
    cost).

    Args:
        w: the week laid out.
        genes: its order says how many units each job has; nothing else of it counts.
        bench: scratch.
        look_s: how much slack makes a job press 1/e as much.
        patience_s: how much later than the soonest a unit may begin and still be chosen.
    Returns: (K,) the job of each entry.
    Source: Vepsalainen and Morton, Priority rules for job shops with weighted tardiness costs, 1987 (from memory).
    """
    order, jobs = np.empty(genes.order.size, np.int64), bench.at.size
    count, begins = np.zeros(jobs, np.int64), np.empty(jobs)
    for j in genes.order:
        count[j] += 1
    cleared(w, bench)
    for n in range(order.size):
        soonest = np.inf
        for j in range(jobs):
            begins[j] = _begin(w, genes, bench, j) if count[j] else np.inf
            soonest = min(soonest, begins[j])
        j = _most_pressing(w, bench, count, begins, soonest, look_s, patience_s)
        order[n] = j
        count[j] -= 1
        if not bench.dead[j] and bench.at[j] < w.first[j + 1]:
            unit_placed(w, genes, bench, j)
    return order


@njit(cache=True, nogil=True)
def _begin(w: Laid, genes: Genes, bench: Bench, j: int) -> float:
    """When job j's next unit could begin; inf while its machine is in another's hands; 0 where nothing is left."""
    if bench.dead[j] or bench.at[j] == w.first[j + 1]:
        return 0.0
    i = int(bench.at[j])
    m = w.machine[i]
    if m >= 0 and w.step_first[i] == i and bench.open_by[m] >= 0:
        return np.inf
    if place(w, genes, bench, i, int(w.unit_end[i]), float(bench.ready_s[j])) == PLACED:
        return float(bench.begin_s[i])
    return np.inf


@njit(cache=True, nogil=True)
def _most_pressing(
    w: Laid, bench: Bench, count: IntArray, begins: FloatArray, soonest: float, look_s: float, patience_s: float
) -> int:
    best, chosen = -1.0, -1
    for j in range(count.size):
        if count[j] == 0 or begins[j] > soonest + patience_s:
            continue
        if bench.dead[j] or bench.at[j] == w.first[j + 1]:
            return j
        i = bench.at[j]
        left = w.takes_s[i] + w.tail_s[i]
        slack = max(0.0, w.due_s[j] - left - soonest) if soonest < np.inf else 0.0
        presses = (w.weight[j] + 1e-6) / max(left, 1.0) * np.exp(-slack / look_s)
        if presses > best:
            best, chosen = presses, j
    return chosen
