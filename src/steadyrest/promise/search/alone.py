"""Each job as if it were the only one: how late it is at least, whatever the plan."""

from __future__ import annotations

import math
from itertools import product

import numpy as np

from steadyrest.promise.search.builder import Bench, build, plain_genes
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import BoolArray, IntArray
from steadyrest.shop.draws import FloatArray

MOST_CHOICES = 64


def alone(w: Laid, bench: Bench) -> tuple[FloatArray, BoolArray]:
    """Each job's least weighted hours late, and whether it can be done at all.

    The builder's chain is the earliest there is once it is said who does each phase; who ends soonest is also who is
    wanted, but for a phase with pauses that may not wait long: who begins it sooner may end it later. Those are tried
    with each person; where that is too many ways, their waits are let go, which can only make the bound lower.

    Args:
        w: the week laid out.
        bench: scratch.
    Returns: (J,) hours that no plan goes below, 0 where the job cannot be done; (J,) whether it can be done.
    """
    jobs = w.release_s.size
    late, able = np.zeros(jobs), np.zeros(jobs, np.bool_)
    for j in range(jobs):
        open_choice = _chosen_by_wait(w, j)
        ways = math.prod(int((w.who[i] >= 0).sum()) for i in open_choice)
        if ways > MOST_CHOICES:
            wait = w.wait_s.copy()
            wait[[i - 1 for i in open_choice]] = np.inf
            able[j] = _earliest(w, bench, j, [])[1]
            late[j] = _earliest(w._replace(wait_s=wait), bench, j, [])[0]
        else:
            late[j], able[j] = _earliest(w, bench, j, open_choice)
    return np.where(able, late, 0.0), able


def _chosen_by_wait(w: Laid, j: int) -> list[int]:
    """The phases of job j with pauses, several people, and a limit on the wait before them."""
    return [
        i
        for i in range(int(w.first[j]) + 1, int(w.first[j + 1]))
        if w.pauses[i] and math.isfinite(w.wait_s[i - 1]) and (w.who[i] >= 0).sum() > 1
    ]


def _earliest(w: Laid, bench: Bench, j: int, open_choice: list[int]) -> tuple[float, bool]:
    """The least weighted hours late of job j by itself over who does the open phases, and whether any way ends."""
    order = np.full(units_of(w)[j], j)
    least, able = np.inf, False
    for people in product(*(w.who[i][w.who[i] >= 0] for i in open_choice)):
        genes = plain_genes(w, order)
        genes.prefer[open_choice] = people
        build(w, genes, bench, 0.0, np.inf)
        if not bench.dead[j]:
            least, able = min(least, float(bench.late[j])), True
    return least, able


def units_of(w: Laid) -> IntArray:
    """How many units each job has.

    Args:
        w: the week laid out.
    Returns: (J,) counts.
    """
    ends = np.concatenate(([True], w.unit_end[1:] != w.unit_end[:-1]))
    return np.add.reduceat(ends.astype(np.int64), w.first[:-1])
