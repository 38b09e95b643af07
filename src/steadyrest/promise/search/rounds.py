"""Rounds of searches beside one another: after each, all go on from the best that any of them found.

One long search stays with the kind of plan that it began with. Many short ones find several kinds, and what is good in
the best of them is worked out further, with less heat from round to round. The work is counted, and between two rounds
all wait for all, so that the same seed gives the same plan on every machine.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat

import numpy as np

from steadyrest.promise.search.alone import units_of
from steadyrest.promise.search.anneal import Walk, anneal, copied, walk_from
from steadyrest.promise.search.builder import Bench, Genes, empty_bench
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.search.marks import Marks, empty_marks

LANES, AT_A_TIME = 4, 2
ANEW, ANEW_SHARE = 5, 0.3  # first searches of each lane, each with a start of its own, and their share of all the work
ROUNDS = 7  # the rest: from the best so far, and every other lane from the second best
AT_ONCE = 10_000  # phases placed between two looks at whether to stop
HOT, LEAST_HOT = 1.0, 0.1  # heat at a search's begin, in latenesses of a late job: at first, and less with every round
COLD = 0.01  # heat at a search's end, as a share of that at its begin
LEAST_HEAT_H = 0.01
TURNS, LEAST_CALM = 400.0, 0.02  # plans built for each entry of the order from which all the heat is cooled again
ALIKE_H = 1e-6
SOONER = 0.01  # what an hour sooner is worth where nothing is late: it shows the way through plans that are equal


@dataclass(frozen=True, slots=True)
class Good:
    """A plan that was found. late_h: weighted hours late. cost: the same and what it is worth to be done sooner."""

    late_h: float
    cost: float
    genes: Genes

    @property
    def rank(self) -> tuple[float, float]:
        return self.late_h, self.cost


@dataclass(frozen=True, slots=True)
class Lane:
    """One of the searches beside one another: the week, scratch of its own, luck of its own."""

    w: Laid
    bound: float
    bench: Bench
    marks: Marks
    chance: np.random.Generator

    def search(self, begun: Good, hot: float, work: int, stop: Callable[[], bool]) -> Good:
        """The best plan on one walk, which begins hot and is cold at its end.

        Args:
            begun: the plan to begin with.
            hot: heat at the begin, in latenesses of a late job, if there is work enough to cool it.
            work: phases to place. stop: asked now and then.
        Returns: the best on the way.
        """
        walk = walk_from(self.w, begun.genes, self.bench, SOONER)
        begin = hot * self._calm(work)
        chunks = max(1, round(work / AT_ONCE))
        for chunk in range(chunks):
            if walk.values[1] <= self.bound + ALIKE_H or stop():
                break
            of_one_h = float(walk.values[1]) / max(1, np.count_nonzero(walk.late))
            heat = max(LEAST_HEAT_H, of_one_h) * begin * COLD ** (chunk / chunks)
            anneal(self.w, walk, self.bench, self.marks, self.chance, SOONER, heat, min(AT_ONCE, work))
        return _best(walk)

    def _calm(self, work: int) -> float:
        """The share of the heat that so much work can cool again."""
        turns = work / (self.w.takes_s.size * units_of(self.w).sum())
        return float(np.clip(turns / TURNS, LEAST_CALM, 1.0))


def in_rounds(
    w: Laid, starts: Sequence[Genes], bound: float, *, seed: int, work: int,
    progress: Callable[[str, float], None], stop: Callable[[], bool],
) -> Good:  # fmt: skip
    """The best plan that all rounds find.

    Args:
        w: the week laid out.
        starts: orders to begin with.
        bound: nothing is better; the rounds end where it is met.
        seed: of all luck. work: phases to place in all.
        progress: told how far it is. stop: asked now and then.
    Returns: the best; on a tie the one found first.
    """
    lanes = tuple(_lane(w, bound, starts[0].order.size, seed, k) for k in range(LANES))
    begun = sorted((_best(walk_from(w, genes, lanes[0].bench, SOONER)) for genes in starts), key=lambda one: one.rank)
    found = begun[:1]
    with ThreadPoolExecutor(AT_A_TIME) as pool:
        for turn in _rounds(work):
            progress("plan", turn.done)
            found = _different(found)
            if found[0].late_h <= bound + ALIKE_H or stop():
                break
            froms = found[:2] if turn.start is None else [*begun[turn.start % len(begun) :], *begun]
            found += pool.map(
                Lane.search, lanes, (froms[k % len(froms)] for k in range(LANES)), repeat(turn.hot),
                repeat(turn.work), repeat(stop),
            )  # fmt: skip
    return _different(found)[0]


@dataclass(frozen=True, slots=True)
class Round:
    """start: of which start the first lane begins, or None: from the best so far. hot: heat at the begin.

    work: phases to place in each lane. done: the share of all work before it.
    """

    start: int | None
    hot: float
    work: int
    done: float


def _rounds(work: int) -> Iterator[Round]:
    anew, each = ANEW_SHARE / ANEW, (1.0 - ANEW_SHARE) / ROUNDS
    for turn in range(ANEW):
        yield Round(turn * LANES, HOT, int(work * anew / LANES), turn * anew)
    for turn in range(ROUNDS):
        hot = HOT * (1.0 - turn / ROUNDS) + LEAST_HOT
        yield Round(None, hot, int(work * each / LANES), ANEW_SHARE + turn * each)


def _lane(w: Laid, bound: float, size: int, seed: int, k: int) -> Lane:
    bench = empty_bench(w)
    return Lane(w, bound, bench, empty_marks(bench, size), np.random.Generator(np.random.PCG64([seed, k])))


def _different(found: Sequence[Good]) -> list[Good]:
    """From the best on, those that differ, as many as there are lanes."""
    out: list[Good] = []
    for one in sorted(found, key=lambda one: one.rank):
        if not out or one.cost > out[-1].cost + ALIKE_H or one.late_h > out[-1].late_h + ALIKE_H:
            out.append(one)
    return out[:LANES]


def _best(walk: Walk) -> Good:
    return Good(float(walk.values[1]), float(walk.values[2]), copied(walk.best))
