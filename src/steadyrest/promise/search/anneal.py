"""Better orders: small changes, kept if they help, at first also if they harm a little (simulated annealing).

Work is counted in phases placed, never by the clock, so that the same seed gives the same plan on every machine.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from steadyrest.compiled import loop, maker, put
from steadyrest.promise.search.ahead import in_time, past_what_held_it
from steadyrest.promise.search.builder import Bench, Genes, build
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.search.marks import Marks, build_from, first_change, stands
from steadyrest.promise.week import BoolArray, IntArray
from steadyrest.shop.draws import FloatArray

NOTHING, CHANGED, ONLY_BETTER, ANYWHERE = 0, 1, 2, 3
PREFER, HOLD, TOGETHER, SHIFT, SWAP = 0.05, 0.1, 0.3, 0.4, 0.55  # up to where of 0 to 1; the rest: one entry elsewhere
PAST = 0.35  # share of the changes that carry a late job past what held it up
ALIKE = 1e-9
NEAR = 12  # how far an entry is moved in the order, mostly
FAR_SHARE = 0.15
LATER_S = 8 * 3600.0  # by how much a unit is held back at most


class Walk(NamedTuple):
    """Where the search stands. now, trial, best: genes. begin_s, end_s, by: (P,) and late: (J,) of `now`.

    values: (3,) cost of now, weighted hours late of the best, its cost. choices: phases with more than one person.
    starts: the units' first phases. moved: (K,) scratch.
    """

    now: Genes
    trial: Genes
    best: Genes
    begin_s: FloatArray
    end_s: FloatArray
    by: IntArray
    late: FloatArray
    values: FloatArray
    choices: IntArray
    starts: IntArray
    moved: BoolArray


def copied(genes: Genes) -> Genes:
    """The same genes in arrays of their own."""
    return Genes(genes.order.copy(), genes.prefer.copy(), genes.not_before_s.copy())


def walk_from(w: Laid, genes: Genes, bench: Bench, sooner: float) -> Walk:
    """A walk that begins with these genes.

    Args:
        w: the week laid out.
        genes: the first plan's.
        bench: scratch, filled with the first plan.
        sooner: as in build.
    Returns: the walk, its best the first plan.
    """
    cost = build(w, genes, bench, sooner, np.inf)
    phases = np.arange(w.takes_s.size)
    opens = np.concatenate(([True], w.unit_end[1:] != w.unit_end[:-1]))
    return Walk(
        copied(genes), copied(genes), copied(genes), bench.begin_s.copy(), bench.end_s.copy(), bench.by.copy(),
        bench.late.copy(),
        np.array([cost, bench.sums[0], cost]), phases[(w.who >= 0).sum(axis=1) > 1], phases[opens],
        np.zeros(genes.order.size, np.bool_),
    )  # fmt: skip


@loop()
def _set(to: Genes, genes: Genes) -> None:
    put(to.order, genes.order)
    put(to.prefer, genes.prefer)
    put(to.not_before_s, genes.not_before_s)


@loop(inner=True)
def _keep(walk: Walk, bench: Bench, cost: float) -> None:
    """The trial, as it lies on the bench, is where the search stands now."""
    _set(walk.now, walk.trial)
    walk.values[0] = cost
    put(walk.begin_s, bench.begin_s)
    put(walk.end_s, bench.end_s)
    put(walk.by, bench.by)
    put(walk.late, bench.late)


@maker()
def anneal(
    w: Laid, walk: Walk, bench: Bench, marks: Marks, chance: np.random.Generator, sooner: float, heat: float, work: int
) -> None:
    """Walks on at one heat until so many phases were placed.

    Args:
        w: the week laid out.
        walk: changed in place.
        bench, marks: scratch.
        chance: the source of all chance.
        sooner: as in build; the walk must have begun with the same.
        heat: how much worse, in weighted hours, is still taken at times.
        work: phases to place, about.
    """
    until = bench.sums[2] + work
    _set(walk.trial, walk.now)
    # An order as its units begin: what stands near in it is near in time, so that small changes are small.
    in_time(w, walk.now.order, walk.begin_s, walk.trial.order)
    begin = np.int64(0)  # a literal would be compiled apart
    cost = build_from(w, walk.trial, bench, marks, begin, sooner, walk.values[0] + ALIKE)
    if cost <= walk.values[0] + ALIKE:
        _keep(walk, bench, cost)
    else:
        build_from(w, walk.now, bench, marks, begin, sooner, np.inf)
    stands(marks, bench)
    while bench.sums[2] < until:
        _set(walk.trial, walk.now)
        bench.sums[2] += 1  # so that a change that ends at once is counted too
        change = _change(w, walk, chance)
        if change == NOTHING:
            continue
        limit = (
            walk.values[0] - 1e-9 if change == ONLY_BETTER else walk.values[0] - heat * np.log(1.0 - chance.random())
        )
        # Who does it and not before when is looked up from where the step begins, which may be before its entry.
        changed = 0 if change in (ONLY_BETTER, ANYWHERE) else first_change(walk.trial.order, walk.now.order)
        cost = build_from(w, walk.trial, bench, marks, changed, sooner, limit)
        if cost > limit:
            continue
        stands(marks, bench)
        _keep(walk, bench, cost)
        late = bench.sums[0]
        if late < walk.values[1] - 1e-9 or (late < walk.values[1] + 1e-9 and cost < walk.values[2]):
            walk.values[1], walk.values[2] = late, cost
            _set(walk.best, walk.now)


@loop()
def _change(w: Laid, walk: Walk, chance: np.random.Generator) -> int:
    """One small change of the trial: NOTHING, CHANGED (its order), ANYWHERE, or ONLY_BETTER: kept only if it helps.

    A rule that does no good today (this person and no other, not before three) would only be in the way tomorrow.
    """
    kind = chance.random()
    if kind < PREFER and walk.choices.size:
        return _preferred(w, walk, chance)
    if kind < HOLD:
        return _held_back(walk, chance)
    order, n = walk.trial.order, walk.trial.order.size
    if n < 2:
        return NOTHING
    if chance.random() < PAST:
        done = past_what_held_it(w, order, walk.begin_s, walk.end_s, walk.by, walk.late, chance)
        return CHANGED if done else NOTHING
    a = _below(chance, n)
    if walk.late[order[a]] == 0.0:
        a = _below(chance, n)
    far = chance.random() < FAR_SHARE
    reach = n if far else min(n, NEAR)
    b = min(n - 1, max(0, a + _below(chance, 2 * reach + 1) - reach))
    if kind < TOGETHER:
        _together(walk, a, _below(chance, n) if far else b)
        return CHANGED
    if a == b:
        return NOTHING
    if kind < SHIFT:
        _shift_job(walk, a, b - a, chance.random() < 0.5)
        return CHANGED
    if order[a] == order[b]:
        return NOTHING
    j = order[a]
    if kind < SWAP:
        order[a], order[b] = order[b], j
        return CHANGED
    step = 1 if a < b else -1
    for q in range(a, b, step):
        order[q] = order[q + step]
    order[b] = j
    return CHANGED


@loop(inner=True)
def _preferred(w: Laid, walk: Walk, chance: np.random.Generator) -> int:
    """A phase gets a person of its own choice, or loses it."""
    i = walk.choices[_below(chance, walk.choices.size)]
    if walk.trial.prefer[i] >= 0:
        walk.trial.prefer[i] = -1
        return ANYWHERE
    walk.trial.prefer[i] = w.who[i, _below(chance, w.who.shape[1])]
    return NOTHING if walk.trial.prefer[i] < 0 else ONLY_BETTER


@loop()
def _together(walk: Walk, a: int, b: int) -> None:
    """All entries of the job at place a stand together, the first of them at place b."""
    order, old, n = walk.trial.order, walk.now.order, walk.now.order.size
    j, mine, q = old[a], 0, 0
    for p in range(n):
        mine += old[p] == j
    b = min(b, n - mine)
    for p in range(n):
        if b <= p < b + mine:
            order[p] = j
            continue
        while old[q] == j:
            q += 1
        order[p] = old[q]
        q += 1


@loop()
def _below(chance: np.random.Generator, n: int) -> int:
    return int(chance.random() * n)


@loop(inner=True)
def _held_back(walk: Walk, chance: np.random.Generator) -> int:
    """A unit may not begin before something else begins or ends; or it may again."""
    i = walk.starts[_below(chance, walk.starts.size)]
    if walk.trial.not_before_s[i] > 0.0:
        walk.trial.not_before_s[i] = 0.0
        return ANYWHERE
    for _ in range(10):
        k = _below(chance, walk.begin_s.size)
        t = walk.begin_s[k] if chance.random() < 0.5 else walk.end_s[k]
        if walk.begin_s[i] < t < walk.begin_s[i] + LATER_S:
            walk.trial.not_before_s[i] = t
            return ONLY_BETTER
    return NOTHING


@loop(inner=True)
def _shift_job(walk: Walk, a: int, by: int, whole: bool) -> None:
    """The entries of one job, all or from place a on, so many places earlier or later."""
    order, old, n = walk.trial.order, walk.now.order, walk.now.order.size
    j = old[a]
    low = 0 if whole else a
    walk.moved[:] = False
    for q in range(low, n):
        if old[q] == j:
            to = min(n - 1, max(0, q + by))
            while to < n and walk.moved[to]:
                to += 1
            if to >= n:
                to = n - 1
                while walk.moved[to]:
                    to -= 1
            walk.moved[to] = True
            order[to] = j
    q = 0
    for p in range(n):
        if walk.moved[p]:
            continue
        while old[q] == j and q >= low:
            q += 1
        order[p] = old[q]
        q += 1
