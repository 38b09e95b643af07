"""The plan with the least sum of weight x hours late, as good as a counted amount of work finds it."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.search.alone import alone, units_of
from steadyrest.promise.search.anneal import Walk, anneal, copied, walk_from
from steadyrest.promise.search.builder import Bench, Genes, build, empty_bench, plain_genes
from steadyrest.promise.search.every import every
from steadyrest.promise.search.forward import forward
from steadyrest.promise.search.laid import Laid, laid_out
from steadyrest.promise.search.marks import empty_marks
from steadyrest.promise.search.together import together
from steadyrest.promise.week import BoolArray, IntArray, Week
from steadyrest.shop.draws import FloatArray

WORK = 120_000_000  # phases placed; some 10 s on two cores
AT_ONCE = 10_000  # between two looks at whether to stop
AT_A_TIME = 2
COLD = 0.01  # heat at a round's end, as a share of that at its begin
LEAST_HEAT_H = 0.01
TURNS, LEAST_CALM = 400.0, 0.02  # plans built for each entry of the order from which all the heat is cooled again
LOOKS = (0.3, 1.0, 3.0, 10.0)  # how much slack still presses, in lengths of a job
PATIENCE_S = (0.0, 1800.0, 7200.0)
ALIKE_H = 1e-6
SOONER = 0.01  # what an hour sooner is worth where nothing is late: it shows the way through plans that are equal


@dataclass(frozen=True, slots=True)
class Manner:
    """How one search goes. heat: at a round's begin, in latenesses of a late job. rounds: each one's share of the work.

    anew: so many of the first rounds begin with a start of their own, the others with the best so far.
    """

    heat: float
    rounds: tuple[float, ...]
    anew: int


# Searches beside one another, of which the best counts. A hot one leaves a good plan for a better kind of plan, and
# needs long to cool; one that begins anew soon has something good. Which is best differs from week to week.
MANNERS = (
    Manner(3.0, (0.5, 0.5), 1),
    Manner(5.0, (1.0,), 1),
    Manner(1.5, (1.0,), 1),
    Manner(0.5, (0.07, 0.07, 0.07, 0.07, 0.07, 0.15, 0.2, 0.3), 5),
)


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
    bound, able = alone(laid, bench)
    while True:
        jobs = np.flatnonzero(able)
        w = laid._replace(weight=np.where(able, laid.weight, 0.0))
        total = least_known(w, jobs, bound)
        best = _side_by_side(w, _starts(w, jobs, bench), total, seed, work, progress, stop)
        build(w, best, bench, 0.0, np.inf)
        if not bench.dead[jobs].any():
            break
        # What does not get done within the hours given must not stand in the way of what does.
        able &= ~bench.dead
    return _found(w, bench, able, total)


def least_known(w: Laid, jobs: IntArray, late: FloatArray) -> float:
    """Weighted hours late that no plan of these jobs goes below: by trying every plan where they are few.

    Args:
        w: the week laid out.
        jobs: (n,) those that count.
        late: (J,) each job's by itself.
    Returns: hours.
    """
    total = together(w, jobs, late)
    known = every(w, jobs) if total > 0.0 or jobs.size > 1 else None
    return total if known is None else max(total, known)


def _side_by_side(
    w: Laid, starts: list[Genes], bound: float, seed: int, work: int, progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> Genes:  # fmt: skip
    """The best of several searches, each with its own luck; on a tie the first one's."""
    how_far = [0.0] * len(MANNERS)

    def one(k: int) -> tuple[float, float, Genes]:
        def say(what: str, share: float) -> None:
            how_far[k] = share
            progress(what, sum(how_far) / len(MANNERS))

        chance = np.random.Generator(np.random.PCG64([seed, k]))
        return Search(w, bound, MANNERS[k], chance, work // len(MANNERS)).run(starts, say, stop)

    with ThreadPoolExecutor(AT_A_TIME) as pool:
        found = list(pool.map(one, range(len(MANNERS))))
    return min(found, key=lambda one: one[:2])[2]


def _starts(w: Laid, jobs: IntArray, bench: Bench) -> list[Genes]:
    """Orders to begin with: forward in time, whole jobs by due time, by slack, by weight for their length, in turns."""
    units = units_of(w)
    takes = w.takes_s[w.first[:-1]] + w.tail_s[w.first[:-1]]
    keys = (
        w.due_s,
        w.due_s - takes,
        -w.weight / np.maximum(takes, 1.0),
        np.maximum(w.due_s - takes, w.release_s) - 3600.0 * w.weight,
    )
    ranked = [jobs[np.argsort(key[jobs], kind="stable")] for key in keys]
    out = [plain_genes(w, np.repeat(rank, units[rank])) for rank in ranked]
    due = jobs[np.argsort(w.due_s[jobs], kind="stable")]
    turns = [j for k in range(int(units.max())) for j in due if k < units[j]]
    mean_s = max(float(takes.mean()), 1.0)
    ahead = [
        plain_genes(w, forward(w, out[0], bench, look * mean_s, patience_s))
        for look in LOOKS
        for patience_s in PATIENCE_S
    ]
    return [*ahead, *out, plain_genes(w, np.array(turns, np.int64))]


@dataclass(frozen=True, slots=True)
class Search:
    """One search with its own luck. bound: nothing is better. manner: how it goes. work: phases to place."""

    w: Laid
    bound: float
    manner: Manner
    chance: np.random.Generator
    work: int

    def run(
        self, starts: list[Genes], progress: Callable[[str, float], None], stop: Callable[[], bool]
    ) -> tuple[float, float, Genes]:
        """(weighted hours late, cost, genes) of the best found.

        Args:
            starts: orders to begin with.
            progress: told how far it is. stop: asked now and then.
        Returns: the best.
        """
        w, bench = self.w, empty_bench(self.w)
        marks = empty_marks(bench, starts[0].order.size)
        walks = sorted((walk_from(w, genes, bench, SOONER) for genes in starts), key=lambda walk: float(walk.values[2]))
        best = _best(walks[0])
        done = 0.0
        for number, share in enumerate(self.manner.rounds):
            if best[0] <= self.bound + ALIKE_H:
                break
            anew = number < self.manner.anew
            walk = walks[number % len(walks)] if anew else walk_from(w, best[2], bench, SOONER)
            hot = self.manner.heat / 2 ** max(0, number - self.manner.anew) * self.calm(share)
            chunks = max(1, round(self.work * share / AT_ONCE))
            for chunk in range(chunks):
                progress("plan", done + share * chunk / chunks)
                if stop():
                    return best
                of_one_h = float(walk.values[1]) / max(1, np.count_nonzero(walk.late))
                heat = max(LEAST_HEAT_H, of_one_h) * hot * COLD ** (chunk / chunks)
                anneal(w, walk, bench, marks, self.chance, SOONER, heat, min(AT_ONCE, int(self.work * share)))
                if walk.values[1] <= self.bound + ALIKE_H:
                    break
            done += share
            if tuple(walk.values[1:]) < best[:2]:
                best = _best(walk)
        return best

    def calm(self, share: float) -> float:
        """The share of the heat that a round of so much of the work can cool again."""
        turns = self.work * share / (self.w.takes_s.size * units_of(self.w).sum())
        return float(np.clip(turns / TURNS, LEAST_CALM, 1.0))


def _best(walk: Walk) -> tuple[float, float, Genes]:
    return float(walk.values[1]), float(walk.values[2]), copied(walk.best)


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
