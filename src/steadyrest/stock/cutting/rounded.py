"""From fractions to whole bars, one after another: take what is whole, else the fullest fraction, and look anew."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from steadyrest.stock.cutting.pricing import Pricing
from steadyrest.stock.cutting.problem import Filled, IntArray, Plan, Problem
from steadyrest.stock.cutting.relaxed import Columns, FloatArray, relaxed
from steadyrest.stock.cutting.whole import without_surplus

ALMOST = 1e-6
FULLER = 0.4
ROUNDS = 25


def rounded(problem: Problem, columns: Columns, left_s: Callable[[], float], *, seed: int = 0) -> Plan | None:
    """A plan made by settling one filling after another.

    Args:
        problem: the list; all parts must be made. columns: fillings to begin with; they are not changed.
        left_s: seconds left; 0: stop now. seed: 0: the fullest fraction first; else by lot among the fuller ones.
    Returns: a plan of all parts, or None where it did not come out.
    """
    generator = np.random.default_rng(seed) if seed else None
    counts, many = problem.counts.copy(), problem.many.copy()
    settled = list[Filled]()
    known = [(kind, filling) for kind, filling in zip(columns.kinds, columns.fillings, strict=True)]
    while counts.any():
        if left_s() <= 0:
            return None
        rest = _open(problem, counts, many)
        if rest is None:
            return None
        part, rows, kinds = rest
        down = {kind: k for k, kind in enumerate(kinds)}
        mine = Columns(part)
        for kind, filling in known:
            if kind in down:
                cut = np.minimum(filling, counts)[rows]
                if cut.any():
                    mine.add(down[kind], cut)
        fractions = relaxed(part, mine, left_s, pricing=Pricing(part), rounds=ROUNDS)
        if fractions.lacking > ALMOST:
            return None
        taken = _taken(fractions.x, generator)
        for k, times in taken:
            filling = np.zeros(problem.parts, np.int64)
            filling[rows] = mine.fillings[k]
            kind = kinds[mine.kinds[k]]
            settled += [Filled(kind, filling)] * times
            many[kind] -= times
            counts = np.maximum(counts - times * filling, 0)
        known = []
        for kind, cut in zip(mine.kinds, mine.fillings, strict=True):
            filling = np.zeros(problem.parts, np.int64)
            filling[rows] = cut
            known.append((kinds[kind], filling))
    return without_surplus(problem, settled)


def _taken(x: FloatArray, generator: np.random.Generator | None) -> list[tuple[int, int]]:
    """Which columns are settled now, and how many times each."""
    floors = np.floor(x + ALMOST).astype(int)
    if generator is None:
        if floors.any():
            return [(k, int(floors[k])) for k in np.flatnonzero(floors).tolist()]
        return [(int(np.argmax(x)), 1)]
    share = np.where(x >= FULLER * x.max(), np.minimum(x, 1.0), 0.0)
    k = int(generator.choice(len(x), p=share / share.sum()))
    return [(k, max(1, int(floors[k])))]


def _open(problem: Problem, counts: IntArray, many: IntArray) -> tuple[Problem, list[int], list[int]] | None:
    """What is still wanted, from what is still there; with the indices of its parts and kinds in the whole list."""
    rows, kinds = np.flatnonzero(counts).tolist(), np.flatnonzero(many > 0).tolist()
    if not kinds:
        return None
    return problem.some(rows, kinds, counts, many), rows, kinds
