"""One order of the jobs into one plan: each entry of the order puts the job's next unit where it ends soonest.

A unit goes into a gap of its machine if the whole step fits there, else behind everything on the machine; a step begun
behind may be still open while other work is placed. Who wants an open machine first sees the open step finished.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from steadyrest.compiled import loop
from steadyrest.promise.search.free_time import SMALL_S, after, at_a_stretch, begun_to_end_at, stretch_at, with_pauses
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import BoolArray, IntArray
from steadyrest.shop.draws import FloatArray

PLACED, NEVER, OPEN = 0, 1, 2
MOST_TURNS = 10_000
UNFINISHED_H = 1e4  # a job that never ends counts as so late, so that any plan that ends it is better


class Genes(NamedTuple):
    """What the search changes. order: (K,) job of each entry, as often as it has units. prefer: (P,) person or -1 for
    whoever ends soonest. not_before_s: (P,) of a unit's first phase."""

    order: IntArray
    prefer: IntArray
    not_before_s: FloatArray


def plain_genes(w: Laid, order: IntArray) -> Genes:
    """Genes with this order, whoever ends soonest, and nothing held back.

    Args:
        w: the week laid out.
        order: (K,) job of each entry.
    Returns: the genes.
    """
    return Genes(order.astype(np.int64), np.full(w.takes_s.size, -1, np.int64), np.zeros(w.takes_s.size))


class Bench(NamedTuple):
    """A plan in the making, and its scratch.

    begin_s, end_s, by: (P,) of the phases placed. at: (J,) next phase. ready_s: (J,) end of the last placed.
    busy_from, busy_to: (N, P + 1), busy: (N,). held_from, held_to: (M, K), held: (M,), open_by: (M,) job or -1.
    low_s, low_end_s, gap: (P,) scratch. late: (J,) each job's cost so far. dead: (J,) never ends.
    sums: (3,) weighted hours late, weighted finish hours, phases placed in all.
    """

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
    low_s: FloatArray
    low_end_s: FloatArray
    gap: IntArray
    late: FloatArray
    dead: BoolArray
    sums: FloatArray


def empty_bench(w: Laid) -> Bench:
    """A bench for this week.

    Args:
        w: the week laid out.
    Returns: arrays of the right size; `build` clears them.
    """
    phases, jobs, people = w.takes_s.size, w.release_s.size, w.here_count.size
    machines = max(1, w.machines)
    on_machine = np.bincount(w.machine[(w.machine >= 0) & (w.step_first == np.arange(phases))], minlength=1)
    able = np.bincount(w.who[w.who >= 0], minlength=1)
    wide, long = int(able.max(initial=0)) + 1, int(on_machine.max(initial=0)) + 1
    return Bench(
        np.zeros(phases), np.zeros(phases), np.zeros(phases, np.int64), np.zeros(jobs, np.int64), np.zeros(jobs),
        np.zeros((people, wide)), np.zeros((people, wide)), np.zeros(people, np.int64),
        np.zeros((machines, long)), np.zeros((machines, long)), np.zeros(machines, np.int64),
        np.zeros(machines, np.int64), np.zeros(phases), np.zeros(phases), np.zeros(phases, np.int64), np.zeros(jobs),
        np.zeros(jobs, np.bool_), np.zeros(3),
    )  # fmt: skip


@loop()
def build(w: Laid, genes: Genes, bench: Bench, sooner: float, limit: float) -> float:
    """Fills the bench from the genes.

    Args:
        w: the week laid out.
        genes: order, people preferred, earliest begins.
        bench: to be filled.
        sooner: what an hour sooner is worth where nothing is late, against an hour late.
        limit: stop as soon as the cost must exceed this.
    Returns: weighted hours late, plus `sooner` for each weighted hour till the finish; inf: the limit was passed.
    """
    begun(w, bench)
    for j in genes.order:
        if bench.dead[j] or bench.at[j] == w.first[j + 1]:
            continue
        unit_placed(w, genes, bench, j)
        if bench.sums[0] + sooner * bench.sums[1] > limit:
            return np.inf
    return bench.sums[0] + sooner * bench.sums[1]


@loop(inner=True)
def unit_placed(w: Laid, genes: Genes, bench: Bench, j: int) -> None:
    """As next_unit, which is long to compile, for those that are not called a million times."""
    next_unit(w, genes, bench, j)


@loop(written_in=True)
def begun(w: Laid, bench: Bench) -> None:
    """An empty bench, with what every job comes to at least in its sums.

    Args:
        w: the week laid out.
        bench: cleared in place.
    """
    cleared(w, bench)
    for j in range(bench.at.size):
        i = w.first[j]
        _count(w, bench, j, w.release_s[j] + w.takes_s[i] + w.tail_s[i], 0.0)


@loop(written_in=True)
def cleared(w: Laid, bench: Bench) -> None:
    """Takes everything off the bench but the count of the work.

    Args:
        w: the week laid out.
        bench: cleared in place.
    """
    bench.busy[:] = 0
    bench.held[:] = 0
    bench.open_by[:] = -1
    bench.late[:] = 0.0
    bench.sums[0] = bench.sums[1] = 0.0
    for j in range(bench.at.size):
        bench.at[j] = w.first[j]
        bench.ready_s[j] = w.release_s[j]
        bench.dead[j] = False


@loop(written_in=True)
def _count(w: Laid, bench: Bench, j: int, finish: float, before: float) -> None:
    """The job will end at `finish` at the earliest: into the sums."""
    late = w.weight[j] * max(0.0, finish - w.due_s[j]) / 3600.0 if finish < np.inf else UNFINISHED_H * (1 + w.weight[j])
    bench.sums[0] += late - before
    bench.late[j] = late


@loop(written_in=True)
def next_unit(w: Laid, genes: Genes, bench: Bench, j: int) -> None:
    """Places the next unit of job j, or the whole step where it fits into a gap.

    Args:
        w: the week laid out.
        genes: people preferred, earliest begins.
        bench: filled further; the job has a unit left.
        j: the job.
    """
    first, m = int(bench.at[j]), int(w.machine[bench.at[j]])
    a_step = m >= 0 and w.step_first[first] == first and w.unit_end[first] < w.step_end[first]
    whole = a_step and bench.held[m] > 0
    # k: whose step is open and must be ended before. Anything is placed at one place only, so that it is compiled once.
    k, until = j, 0
    while True:
        i = int(bench.at[k])
        high = int(w.step_end[i]) if whole and k == j else int(w.unit_end[i])
        code = int(place(w, genes, bench, i, high, bench.ready_s[k]))
        if k == j and code >= OPEN:
            k = int(bench.open_by[code - OPEN])
            until = int(w.step_end[bench.at[k]])
            continue
        if k == j and whole and (code != PLACED or bench.gap[i] >= bench.held[m]):
            whole = False
            if bench.open_by[m] >= 0:
                k = int(bench.open_by[m])
                until = int(w.step_end[bench.at[k]])
            continue
        if code == PLACED:
            _commit(w, bench, k, i, high)
        else:
            _bury(w, bench, k)
        if k == j:
            return
        if bench.dead[k] or bench.at[k] >= until:
            k = j
            whole = a_step and bench.held[m] > 0


@loop(written_in=True)
def _bury(w: Laid, bench: Bench, j: int) -> None:
    """Job j never ends; a machine that it holds is given back."""
    bench.dead[j] = True
    m = w.machine[bench.at[j]]
    if m >= 0 and bench.open_by[m] == j:
        bench.open_by[m] = -1
        bench.held[m] -= 1
    _count(w, bench, j, np.inf, bench.late[j])


@loop(written_in=True)
def place(w: Laid, genes: Genes, bench: Bench, low: int, high: int, ready: float) -> int:
    """Begins and ends of phases low to high - 1, as early as they can be, without taking the place.

    Lower limits only rise: where a phase would wait too long, the one before begins later; where a step does not fit
    into its machine's gap, it goes to the next.

    Args:
        w: the week laid out.
        genes: people preferred, earliest begins.
        bench: its begin_s, end_s, by and gap are filled for these phases.
        low, high: the phases.
        ready: not before this, s.
    Returns: PLACED, NEVER, or OPEN + the open machine.
    """
    for i in range(low, high):
        bench.low_s[i], bench.low_end_s[i], bench.gap[i] = 0.0, 0.0, -1
    bench.low_s[low] = max(ready, genes.not_before_s[low])
    i, turns = low, 0
    while i < high:
        turns += 1
        if turns > MOST_TURNS:
            return NEVER
        earliest = bench.low_s[i] if i == low else max(bench.low_s[i], bench.end_s[i - 1])
        m, opens = w.machine[i], w.step_first[i] == i
        if m >= 0 and opens:
            whole, n = w.step_end[i] <= high, bench.held[m]
            g = n
            if whole:
                g = max(bench.gap[i], after(bench.held_to[m], n, earliest))
                while g < n and bench.held_from[m, g] - max(earliest, bench.held_to[m, g - 1] if g else 0.0) < (
                    w.need_s[i] - SMALL_S
                ):
                    g += 1
            if g == n and bench.open_by[m] >= 0:
                return OPEN + m
            bench.gap[i] = g
            if g > 0:
                earliest = max(earliest, bench.held_to[m, g - 1])
        if not _phase(w, genes, bench, i, earliest, float(bench.low_end_s[i])):
            return NEVER
        if m >= 0 and w.step_first[i] >= low:
            s = w.step_first[i]
            g = bench.gap[s]
            if g < bench.held[m] and bench.end_s[i] > bench.held_from[m, g] + SMALL_S:
                bench.gap[s] = g + 1
                i = s
                continue
        if i > low and bench.begin_s[i] - bench.end_s[i - 1] > w.wait_s[i - 1] + SMALL_S:
            bench.low_end_s[i - 1] = bench.begin_s[i] - w.wait_s[i - 1]
            i -= 1
            continue
        i += 1
    return PLACED


@loop(written_in=True)
def _phase(w: Laid, genes: Genes, bench: Bench, i: int, earliest: float, not_ended_before: float) -> bool:
    """The soonest end of one phase, over everyone who may do it; False: nobody ever can."""
    takes = w.takes_s[i]
    if w.who[i, 0] < 0:
        bench.begin_s[i] = max(earliest, not_ended_before - takes)
        bench.end_s[i], bench.by[i] = bench.begin_s[i] + takes, -1
        return True
    best = np.inf
    for k in range(w.who.shape[1]):
        p = w.who[i, k]
        if p < 0:
            break
        if genes.prefer[i] >= 0 and genes.prefer[i] != p:
            continue
        hours_from, hours_to, hours = w.here_from[p], w.here_to[p], int(w.here_count[p])
        busy_from, busy_to, busy = bench.busy_from[p], bench.busy_to[p], int(bench.busy[p])
        if w.pauses[i]:
            t = earliest
            if not_ended_before > 0:
                t = max(t, begun_to_end_at(hours_from, hours_to, hours, not_ended_before, takes))
            s = int(stretch_at(w.here_at[p], w.cell_s, hours_to, hours, t))
            begin, end = with_pauses(s, hours_from, hours_to, hours, busy_from, busy_to, busy, t, takes)
        else:
            t = max(earliest, not_ended_before - takes)
            s = int(stretch_at(w.here_at[p], w.cell_s, hours_to, hours, t))
            begin = at_a_stretch(s, hours_from, hours_to, hours, busy_from, busy_to, busy, t, takes)
            end = begin + takes
        if end < best:
            best = end
            bench.begin_s[i], bench.end_s[i], bench.by[i] = begin, end, p
    return best < np.inf


@loop(written_in=True)
def _busy(bench: Bench, p: int, begin: float, end: float) -> None:
    """Person p is busy from begin to end; what touches is one stretch, so that there are few to look through."""
    busy_from, busy_to, n = bench.busy_from[p], bench.busy_to[p], bench.busy[p]
    k = n
    while k > 0 and busy_from[k - 1] > begin:
        k -= 1
    before, behind = k > 0 and busy_to[k - 1] == begin, k < n and busy_from[k] == end
    if before and behind:
        busy_to[k - 1] = busy_to[k]
        for q in range(k, n - 1):
            busy_from[q], busy_to[q] = busy_from[q + 1], busy_to[q + 1]
        bench.busy[p] = n - 1
    elif before:
        busy_to[k - 1] = end
    elif behind:
        busy_from[k] = begin
    else:
        for q in range(n, k, -1):
            busy_from[q], busy_to[q] = busy_from[q - 1], busy_to[q - 1]
        busy_from[k], busy_to[k] = begin, end
        bench.busy[p] = n + 1


@loop(written_in=True)
def _commit(w: Laid, bench: Bench, j: int, low: int, high: int) -> None:
    """What was placed becomes part of the plan."""
    for i in range(low, high):
        p = bench.by[i]
        if p >= 0 and bench.end_s[i] > bench.begin_s[i]:
            _busy(bench, p, bench.begin_s[i], bench.end_s[i])
        m = w.machine[i]
        if m < 0:
            continue
        if w.step_first[i] == i:
            g = bench.held[m]  # not the gap it was tried in: a step of the same unit may have gone before it there
            while g > 0 and bench.held_from[m, g - 1] > bench.begin_s[i]:
                bench.held_from[m, g], bench.held_to[m, g] = bench.held_from[m, g - 1], bench.held_to[m, g - 1]
                g -= 1
            bench.held_from[m, g], bench.held_to[m, g] = bench.begin_s[i], np.inf
            bench.held[m] += 1
            if w.step_end[i] <= high:
                bench.held_to[m, g] = bench.end_s[w.step_end[i] - 1]
            else:
                bench.open_by[m] = j
        elif w.step_end[i] == i + 1 and bench.open_by[m] == j:
            bench.held_to[m, bench.held[m] - 1] = bench.end_s[i]
            bench.open_by[m] = -1
    bench.at[j] = high
    bench.ready_s[j] = bench.end_s[high - 1]
    bench.sums[2] += high - low
    _count(w, bench, j, bench.ready_s[j] + w.tail_s[high - 1], bench.late[j])
    if high == w.first[j + 1]:
        bench.sums[1] += w.weight[j] * bench.ready_s[j] / 3600.0
