"""A plan in the making, kept at marks along its order, so that a change far along builds only what comes after it.

Most changes touch the order somewhere behind its begin, and most are given up soon after it. What comes before is the
same as in the plan that the search stands on: it is copied from the last mark before the change and not built again.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from steadyrest.compiled import loop, put
from steadyrest.promise.search.builder import Bench, Genes, begun, next_unit
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import BoolArray, IntArray
from steadyrest.shop.draws import FloatArray

APART = 4  # entries of the order from mark to mark, or more where there would be too many marks
MOST = 48


class Marks(NamedTuple):
    """The bench before every so many entries, each twice: of the plan that stands, and of the one that is tried.

    apart: (1,) entries from mark to mark. side: (C,) which of the two is of the plan that stands. span: (2,) marks that
    the last build wrote, from and to before. begin_s, end_s, by: (P,) of the plan that stands, the same at every mark
    for what is placed before it. The other arrays: (2, C, ..) as in Bench.
    """

    apart: IntArray
    side: IntArray
    span: IntArray
    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    at: IntArray
    ready_s: FloatArray
    busy_from: FloatArray
    busy_to: FloatArray
    busy: IntArray
    held_from: FloatArray
    held_to: FloatArray
    held: IntArray
    open_by: IntArray
    late: FloatArray
    dead: BoolArray
    sums: FloatArray


def empty_marks(bench: Bench, entries: int) -> Marks:
    """Marks for a bench.

    Args:
        bench: whose plans are kept.
        entries: in an order.
    Returns: marks; nothing stands on them yet.
    """
    apart = max(APART, -(-entries // MOST))
    count = entries // apart + 1

    def twice(one: np.ndarray) -> np.ndarray:
        return np.zeros((2, count, *one.shape), one.dtype)

    return Marks(
        np.array([apart], np.int64), np.zeros(count, np.int64), np.zeros(2, np.int64),
        np.zeros_like(bench.begin_s), np.zeros_like(bench.end_s), np.zeros_like(bench.by), twice(bench.at),
        twice(bench.ready_s),
        twice(bench.busy_from), twice(bench.busy_to), twice(bench.busy), twice(bench.held_from), twice(bench.held_to),
        twice(bench.held), twice(bench.open_by), twice(bench.late), twice(bench.dead), twice(bench.sums),
    )  # fmt: skip


@loop()
def build_from(w: Laid, genes: Genes, bench: Bench, marks: Marks, changed: int, sooner: float, limit: float) -> float:
    """As builder.build, for genes that differ from those that stand only from one entry on.

    Args:
        w: the week laid out.
        genes: order, people preferred, earliest begins.
        bench: to be filled.
        marks: of the plan that stands; the tried plan's are written beside them.
        changed: the first entry that differs; 0 where people or begins differ too.
        sooner, limit: as in build.
    Returns: as build.
    """
    apart, n = int(marks.apart[0]), genes.order.size
    c = min(changed, max(n - 1, 0)) // apart
    if c == 0:
        begun(w, bench)
    else:
        _back(bench, marks, int(marks.side[c]), c)
    marks.span[0], marks.span[1] = c + 1, c + 1
    for e in range(c * apart, n):
        if e > c * apart and e % apart == 0:
            m = e // apart
            _kept(bench, marks, 1 - int(marks.side[m]), m)
            marks.span[1] = m + 1
        j = genes.order[e]
        if bench.dead[j] or bench.at[j] == w.first[j + 1]:
            continue
        next_unit(w, genes, bench, j)
        if bench.sums[0] + sooner * bench.sums[1] > limit:
            return np.inf
    return bench.sums[0] + sooner * bench.sums[1]


@loop(written_in=True)
def stands(marks: Marks, bench: Bench) -> None:
    """The plan built last is the one that stands.

    Args:
        marks: what the last build wrote counts from now on; the build must have come to its end.
        bench: as it was left.
    """
    put(marks.begin_s, bench.begin_s)
    put(marks.end_s, bench.end_s)
    put(marks.by, bench.by)
    for m in range(marks.span[0], marks.span[1]):
        marks.side[m] = 1 - marks.side[m]


@loop()
def first_change(order: IntArray, stood: IntArray) -> int:
    """The first entry at which two orders differ; their length where they do not.

    Args:
        order, stood: (K,) jobs.
    Returns: the entry.
    """
    for e in range(order.size):
        if order[e] != stood[e]:
            return e
    return int(order.size)


@loop(written_in=True)
def _kept(bench: Bench, marks: Marks, side: int, m: int) -> None:
    for j in range(bench.at.size):
        marks.at[side, m, j], marks.ready_s[side, m, j] = bench.at[j], bench.ready_s[j]
        marks.late[side, m, j], marks.dead[side, m, j] = bench.late[j], bench.dead[j]
    for p in range(bench.busy.size):
        marks.busy[side, m, p] = bench.busy[p]
        for k in range(bench.busy[p]):
            marks.busy_from[side, m, p, k], marks.busy_to[side, m, p, k] = bench.busy_from[p, k], bench.busy_to[p, k]
    for x in range(bench.held.size):
        marks.held[side, m, x], marks.open_by[side, m, x] = bench.held[x], bench.open_by[x]
        for k in range(bench.held[x]):
            marks.held_from[side, m, x, k], marks.held_to[side, m, x, k] = bench.held_from[x, k], bench.held_to[x, k]
    marks.sums[side, m, 0], marks.sums[side, m, 1] = bench.sums[0], bench.sums[1]


@loop(written_in=True)
def _back(bench: Bench, marks: Marks, side: int, m: int) -> None:
    for j in range(bench.at.size):
        bench.at[j], bench.ready_s[j] = marks.at[side, m, j], marks.ready_s[side, m, j]
        bench.late[j], bench.dead[j] = marks.late[side, m, j], marks.dead[side, m, j]
    put(bench.begin_s, marks.begin_s)
    put(bench.end_s, marks.end_s)
    put(bench.by, marks.by)
    for p in range(bench.busy.size):
        bench.busy[p] = marks.busy[side, m, p]
        for k in range(bench.busy[p]):
            bench.busy_from[p, k], bench.busy_to[p, k] = marks.busy_from[side, m, p, k], marks.busy_to[side, m, p, k]
    for x in range(bench.held.size):
        bench.held[x], bench.open_by[x] = marks.held[side, m, x], marks.open_by[side, m, x]
        for k in range(bench.held[x]):
            bench.held_from[x, k], bench.held_to[x, k] = marks.held_from[side, m, x, k], marks.held_to[side, m, x, k]
    bench.sums[0], bench.sums[1] = marks.sums[side, m, 0], marks.sums[side, m, 1]
