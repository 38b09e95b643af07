"""Which pieces to open, if every opened piece could be filled as one likes: a bound, and the choices worth trying.

An opened piece is either filled as far as parts can fill it, its rest lost; or its rest is kept, and what is taken from
it costs its worth. All widths together must be covered. The least cost of covering them is a bound that sees what
fractions do not: that a piece is opened whole or not at all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.stock.cutting.fillings import NEVER
from steadyrest.stock.cutting.pricing import Pricing
from steadyrest.stock.cutting.problem import IntArray, Problem

MOST_STEPS = 150_000
MOST_WORK = 40_000_000
MORE = 0.06
LEVELS = 48
NONE = 2**60


@dataclass(frozen=True, slots=True)
class Chosen:
    """many: (m,) how many pieces of each kind are opened. cost: what that costs at least, money units."""

    many: IntArray
    cost: int


def choices(problem: Problem, pricing: Pricing) -> tuple[int, tuple[Chosen, ...]]:
    """What covering all widths costs at least, and choices of pieces that cover them with ever more to spare.

    Args:
        problem: the list; all parts must be made. pricing: its table, which is overwritten.
    Returns: the bound, money units; and the choices, cheapest first, none twice.
    """
    kinds = np.repeat(np.arange(problem.kinds), problem.many)
    if not len(kinds):
        return -NONE, ()
    wanted = int(problem.widths @ problem.counts)
    unkept, kept = _most_used(problem, pricing)
    steps = max(1000, min(MOST_STEPS, MOST_WORK // len(kinds)))
    step = -(-int(wanted * (1 + MORE)) // steps)
    if pricing.exact:
        step = -(-step // pricing.step) * pricing.step
    cover, last = wanted // step, int(wanted * (1 + MORE)) // step + 1
    held = problem.costs - problem.rest_value * problem.free
    best, how, source = cover_costs(
        last, -(-unkept[kinds] // step), -(-kept[kinds] // step), problem.costs[kinds], held[kinds],
        problem.rest_value * step,
    )  # fmt: skip
    found = dict[bytes, Chosen]()
    for start in np.unique(np.linspace(cover, last, LEVELS).astype(int)).tolist():
        at = start + int(np.argmin(best[start:]))
        if best[at] < NONE:
            many = np.zeros(problem.kinds, np.int64)
            cost = int(best[at])
            for k in range(len(kinds) - 1, -1, -1):
                if how[k, at]:
                    many[kinds[k]] += 1
                    at = int(source[k, at])
            found.setdefault(many.tobytes(), Chosen(many, cost))
    bound = int(best[cover:].min())
    return (bound if bound < NONE else -NONE), tuple(sorted(found.values(), key=lambda one: one.cost))


def _most_used(problem: Problem, pricing: Pricing) -> tuple[IntArray, IntArray]:
    """(m,) most that parts can take of a piece at all, and so that its rest is kept."""
    room, to_keep = problem.room, np.minimum(problem.room, problem.free - problem.keep)
    if not pricing.exact:
        return room, np.maximum(to_keep, 0)
    pricing.tabulated(np.zeros(problem.parts, np.int64))
    reached = np.flatnonzero(pricing.table[-1] > NEVER) * pricing.step
    at = np.searchsorted(reached, room, side="right") - 1
    kept_at = np.maximum(np.searchsorted(reached, to_keep, side="right") - 1, 0)
    return reached[at], reached[kept_at]


@njit(cache=True, nogil=True)
def cover_costs(
    last: int, unkept: IntArray, kept: IntArray, costs: IntArray, held: IntArray, worth: int
) -> tuple[IntArray, npt.NDArray[np.bool_], npt.NDArray[np.int32]]:  # pragma: no cover  compiled
    """Least cost of covering 0, 1, ... last steps, last meaning at least as many.

    Args:
        last: steps. unkept: (k,) steps that a piece covers whole. kept: (k,) most steps with its rest kept.
        costs: (k,) of a piece opened. held: (k,) of one opened whose rest is kept, before anything is taken of it.
        worth: of a step taken from that.
    Returns: (last + 1,) costs, NONE where it cannot be covered; (k, last + 1) whether the piece is opened for that, and
        how much was covered before it.
    """
    count = len(unkept)
    before = np.full(last + 1, NONE)
    before[0] = 0
    how = np.zeros((count, last + 1), np.bool_)
    source = np.zeros((count, last + 1), np.int32)
    waiting = np.empty(last + 1, np.int64)
    for j in range(count):
        after = before.copy()
        head, tail = 0, 0
        for t in range(last + 1):
            if before[t] < NONE:
                to = min(last, t + unkept[j])
                if before[t] + costs[j] < after[to]:
                    after[to] = before[t] + costs[j]
                    how[j, to] = True
                    source[j, to] = t
        if kept[j] > 0:
            # The cheapest place to start from among the last kept[j] ones: those that can still be it wait in line.
            for t in range(last + 1):
                if before[t] < NONE:
                    here = before[t] - worth * t
                    while tail > head and before[waiting[tail - 1]] - worth * waiting[tail - 1] >= here:
                        tail -= 1
                    waiting[tail] = t
                    tail += 1
                while tail > head and waiting[head] < t - kept[j]:
                    head += 1
                if tail > head:
                    start = waiting[head]
                    cost = before[start] + held[j] + worth * (t - start)
                    if cost < after[t]:
                        after[t] = cost
                        how[j, t] = True
                        source[j, t] = start
        before = after
    return before, how, source
