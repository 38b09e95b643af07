"""The plan with the least sum of weight x hours late, as good as a counted amount of work finds it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.search.anneal import Walk, anneal, copied, walk_from
from steadyrest.promise.search.builder import Bench, Genes, build, empty_bench
from steadyrest.promise.search.laid import Laid, laid_out
from steadyrest.promise.week import BoolArray, IntArray, Week
from steadyrest.shop.draws import FloatArray

WORK = 6_000_000  # phases placed; some 15 to 20 s on one core
AT_ONCE = 10_000  # between two looks at whether to stop
ROUNDS = (0.07, 0.07, 0.07, 0.07, 0.07, 0.15, 0.2, 0.3)  # each round's share of the work; the first ones begin anew
ANEW = 5
HOT, COLD = 0.03, 0.0003  # heat at a round's begin and end, as a share of the lateness
LEAST_HEAT_H = 0.01
ALIKE_H = 1e-6
SOONER = 0.01  # what an hour sooner is worth where nothing is late: it shows the way through plans that are equal


@dataclass(frozen=True, slots=True)
class Found:
    """A plan. begin_s, end_s: (P,) inf where the phase never happens; by: (P,) person's index or -1.

    finish_s: (J,), inf: never. late_h: weighted hours late of the jobs that end. bound_h: no plan of these jobs has
    less. proven: late_h is the least there is.
    """

    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    finish_s: FloatArray
    late_h: float
    bound_h: float

    @property
    def proven(self) -> bool:
        """Whether no plan can be better."""
        return self.late_h <= self.bound_h + ALIKE_H and bool(np.isfinite(self.finish_s).all())


def least_late(
    week: Week, *, seed: int, work: int, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> Found:
    """A plan with as few weighted hours late as `work` finds.

    Args:
        week: people, machines and jobs; every time is taken as stated.
        seed: of the search.
        work: phases to place in all.
        progress: told how far it is. stop: asked now and then; the best so far is returned.
    Returns: the plan; a job that nobody can finish in the hours given does nothing and has no finish.
    """
    laid = laid_out(week)
    bench = empty_bench(laid)
    chance = np.random.Generator(np.random.PCG64(seed))
    bound, able = _alone(laid, bench)
    while True:
        jobs, total = np.flatnonzero(able), float(bound[able].sum())
        w = laid._replace(weight=np.where(able, laid.weight, 0.0))
        starts = _starts(w, jobs)
        best = _searched(w, bench, starts, total, chance, work, progress, stop)
        build(w, best, bench, 0.0, np.inf)
        if not bench.dead[jobs].any():
            break
        # What does not get done within the hours given must not stand in the way of what does.
        able &= ~bench.dead
    return _found(w, bench, able, total)


def _alone(w: Laid, bench: Bench) -> tuple[FloatArray, BoolArray]:
    """(J,) weighted hours late of each job if it were the only one, and whether it can be done at all."""
    late, able = np.zeros(w.release_s.size), np.zeros(w.release_s.size, np.bool_)
    units = _units(w)
    for j in range(w.release_s.size):
        build(w, _genes(w, np.full(units[j], j)), bench, 0.0, np.inf)
        late[j], able[j] = bench.late[j], not bench.dead[j]
    return late, able


def _units(w: Laid) -> IntArray:
    """(J,) how many units each job has."""
    ends = np.concatenate(([True], w.unit_end[1:] != w.unit_end[:-1]))
    return np.add.reduceat(ends.astype(np.int64), w.first[:-1])


def _genes(w: Laid, order: IntArray) -> Genes:
    return Genes(order.astype(np.int64), np.full(w.takes_s.size, -1, np.int64), np.zeros(w.takes_s.size))


def _starts(w: Laid, jobs: IntArray) -> list[Genes]:
    """Orders to begin with: whole jobs by due time, by slack, by weight for their length, and in turns."""
    units = _units(w)
    takes = w.takes_s[w.first[:-1]] + w.tail_s[w.first[:-1]]
    keys = (
        w.due_s,
        w.due_s - takes,
        -w.weight / np.maximum(takes, 1.0),
        np.maximum(w.due_s - takes, w.release_s) - 3600.0 * w.weight,
    )
    ranked = [jobs[np.argsort(key[jobs], kind="stable")] for key in keys]
    out = [_genes(w, np.repeat(rank, units[rank])) for rank in ranked]
    due = jobs[np.argsort(w.due_s[jobs], kind="stable")]
    turns = [j for k in range(int(units.max())) for j in due if k < units[j]]
    return [*out, _genes(w, np.array(turns, np.int64))]


def _searched(
    w: Laid, bench: Bench, starts: list[Genes], bound: float, chance: np.random.Generator, work: int,
    progress: Callable[[str, float], None], stop: Callable[[], bool],
) -> Genes:  # fmt: skip
    """The best genes found."""
    walks = sorted((walk_from(w, genes, bench, SOONER) for genes in starts), key=lambda walk: float(walk.values[2]))
    best, late, cost = walks[0].best, float(walks[0].values[1]), float(walks[0].values[2])
    done = 0.0
    for number, share in enumerate(ROUNDS):
        if late <= bound + ALIKE_H:
            break
        walk: Walk = walks[number % len(walks)] if number < ANEW else walk_from(w, best, bench, SOONER)
        hot = HOT if number <= ANEW else HOT / 2 ** (number - ANEW)
        chunks = max(1, round(work * share / AT_ONCE))
        for chunk in range(chunks):
            progress("plan", done + share * chunk / chunks)
            if stop():
                return best
            heat = max(LEAST_HEAT_H, float(walk.values[1])) * hot * (COLD / hot) ** (chunk / chunks)
            anneal(w, walk, bench, chance, SOONER, heat, min(AT_ONCE, int(work * share)))
            if walk.values[1] <= bound + ALIKE_H:
                break
        done += share
        if (walk.values[1], walk.values[2]) < (late, cost):
            best, late, cost = copied(walk.best), float(walk.values[1]), float(walk.values[2])
    return best


def _found(w: Laid, bench: Bench, able: BoolArray, bound: float) -> Found:
    """The bench as a plan."""
    begin, end, by = bench.begin_s.copy(), bench.end_s.copy(), bench.by.copy()
    finish = np.full(able.size, np.inf)
    for j in range(able.size):
        mine = slice(w.first[j], w.first[j + 1])
        if able[j]:
            finish[j] = end[mine][-1]
        else:
            begin[mine], end[mine], by[mine] = np.inf, np.inf, -1
    return Found(begin, end, by, finish, float(bench.late[able].sum()), bound)
