"""Which job is served first: a short search over the order that the dispatch follows, judged by mean cost of lateness.

The answer depends on seed and input alone: the search counts its tries, never the clock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.dispatch import dispatch
from steadyrest.promise.durations import WeekDraws
from steadyrest.promise.week import Flat, IntArray
from steadyrest.shop.draws import FloatArray

TRIED_DRAWS = 64
FINISH_WEIGHT = 0.001  # so that of two orders without lateness the one done sooner is taken
AS_GOOD_AS_REFUSED_S = 86_400.0
MISSED_H = 2.0  # a promise missed by a minute is missed: so many hours late on top, when orders are compared


@dataclass(frozen=True, slots=True)
class Duties:
    """(J,) due times after now, cost of an hour late, and the horizon that stands for a finish never reached, s.

    new: index of a job not yet promised, or None. Being more than a day late with it is as good as refusing it: beyond
    that the search harms no promise for its sake.
    """

    due_s: FloatArray
    per_hour: FloatArray
    horizon_s: float
    new: int | None = None

    def late(self, finish_s: FloatArray) -> FloatArray:
        """(n, J) cost of lateness of each job in each draw."""
        hours = (np.minimum(finish_s, self.horizon_s) - self.due_s) / 3600.0
        return np.maximum(hours, 0.0) * self.per_hour

    def cost(self, finish_s: FloatArray) -> float:
        """What orders are compared by: lateness, missed promises, and a hair's weight on being done sooner."""
        counted = np.minimum(finish_s, self.horizon_s)
        if self.new is not None:
            counted[:, self.new] = np.minimum(counted[:, self.new], self.due_s[self.new] + AS_GOOD_AS_REFUSED_S)
        late = self.late(counted)
        late += (late > 0) * MISSED_H * self.per_hour
        sooner = counted / 3600.0 * self.per_hour
        return float((late + FINISH_WEIGHT * sooner).sum(axis=1).mean())


def by_due(duties: Duties) -> IntArray:
    """Earliest due first; of two due together the dearer to be late with."""
    return np.lexsort((-duties.per_hour, duties.due_s)).astype(np.int64)


def own_last(flat: Flat, order: IntArray) -> IntArray:
    """The same order with the shop's own work after everybody else's."""
    return order[np.argsort(flat.own[order], kind="stable")]


def best_order(
    flat: Flat,
    draws: WeekDraws,
    duties: Duties,
    start: IntArray,
    *,
    tries: int,
    generator: np.random.Generator,
    stop: Callable[[], bool],
) -> IntArray:
    """A better order than `start`: take one job out, put it in elsewhere, keep what is cheaper.

    Args:
        flat, draws: the week; only the first draws are tried.
        duties: what lateness costs.
        start: (J,) the order to begin with.
        tries: most orders tried.
        generator: chooses the moves' sequence.
        stop: asked before each try; the best so far is returned.
    Returns: (J,) an order that is never worse than `start` on the draws tried.
    """
    some = draws.some(TRIED_DRAWS)
    order = own_last(flat, start)
    cost = duties.cost(dispatch(flat, some, order).finish_s)
    improved = True
    while improved:
        improved = False
        for trial in _moves(order, generator):
            if tries <= 0 or stop():
                return order
            trial = own_last(flat, trial)
            tries -= 1
            value = duties.cost(dispatch(flat, some, trial).finish_s)
            if value < cost - 1e-9:
                order, cost, improved = trial, value, True
                break
    return order


def inserted(
    flat: Flat, draws: WeekDraws, duties: Duties, others: IntArray, new: IntArray, stop: Callable[[], bool]
) -> IntArray:
    """The new job at the cheapest of all places in the order of the others.

    Args:
        flat, draws: the week, the new job in it.
        duties: what lateness costs, the new job's included.
        others: the order of the other jobs.
        new: (k,) indices of the new job's chains, which stay together.
        stop: asked before each place after the first.
    Returns: (J,) the order.
    """
    some = draws.some(TRIED_DRAWS)
    best, least = np.append(others, new), np.inf
    for place in range(others.size, -1, -1):
        if place < others.size and stop():
            break
        trial = own_last(flat, np.insert(others, place, new))
        value = duties.cost(dispatch(flat, some, trial).finish_s)
        if value < least:
            best, least = trial, value
    return best.astype(np.int64)


def _moves(order: IntArray, generator: np.random.Generator) -> Iterator[IntArray]:
    n = order.size
    pairs = [(a, b) for a in range(n) for b in range(n) if b != a and b != a - 1]  # a to a - 1 is a - 1 to a
    for k in generator.permutation(len(pairs)):
        a, b = pairs[k]
        yield np.insert(np.delete(order, a), b, order[a])
