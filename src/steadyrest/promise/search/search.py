"""The plan with the least sum of weight x hours late, as good as a counted amount of work finds it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.search.alone import alone, units_of
from steadyrest.promise.search.builder import Bench, Genes, build, empty_bench, plain_genes
from steadyrest.promise.search.every import every
from steadyrest.promise.search.forward import forward
from steadyrest.promise.search.laid import Laid, laid_out
from steadyrest.promise.search.rounds import ALIKE_H, in_rounds
from steadyrest.promise.search.together import together
from steadyrest.promise.week import BoolArray, IntArray, Week
from steadyrest.shop.draws import FloatArray

WORK = 180_000_000  # phases placed; some 15 to 25 s on two cores
LOOKS = (0.3, 1.0, 3.0, 10.0)  # how much slack still presses, in lengths of a job
PATIENCE_S = (0.0, 1800.0, 7200.0)


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
        best = in_rounds(w, _starts(w, jobs, bench), total, seed=seed, work=work, progress=progress, stop=stop)
        build(w, best.genes, bench, 0.0, np.inf)
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
