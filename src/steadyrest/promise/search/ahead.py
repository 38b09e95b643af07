"""Two changes of an order that look at the plan it gave: past what held a late job up, and into the order of begins."""

from __future__ import annotations

import numpy as np

from steadyrest.compiled import loop, maker
from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import IntArray
from steadyrest.shop.draws import FloatArray


@maker()
def in_time(w: Laid, order: IntArray, begin_s: FloatArray, to: IntArray) -> None:
    """The same entries as their units begin.

    Args:
        w: the week laid out.
        order: (K,) an order. begin_s: (P,) the plan it gave.
        to: (K,) filled.
    """
    at, begins = w.first[:-1].copy(), np.empty(order.size)
    for q in range(order.size):
        j = order[q]
        i = at[j]
        begins[q] = begin_s[i]
        at[j] = w.unit_end[i] if w.unit_end[i] < w.first[j + 1] else w.first[j]
    ranks = np.argsort(begins, kind="mergesort")
    for q in range(order.size):
        to[q] = order[ranks[q]]


@loop()
def past_what_held_it(
    w: Laid, order: IntArray, begin_s: FloatArray, end_s: FloatArray, by: IntArray, late: FloatArray,
    chance: np.random.Generator,
) -> bool:  # fmt: skip
    """A unit of a late job that waited changes places with what stood in its way: its machine's or its person's work.

    Args:
        w: the week laid out.
        order: (K,) changed in place.
        begin_s, end_s, by: (P,) the plan it gave. late: (J,) what each job costs in it; the later, the likelier chosen.
        chance: the source of all chance.
    Returns: whether anything was changed.
    """
    j = _late_job(late, chance)
    if j < 0:
        return False
    i = _waiting(w, begin_s, end_s, j, chance)
    if i < 0:
        return False
    k = _in_the_way(w, begin_s, end_s, by, j, i, chance)
    if k < 0:
        return False
    other = 0
    while w.first[other + 1] <= k:
        other += 1
    a, b = _entry(w, order, j, i), _entry(w, order, other, k)
    if a < 0 or not 0 <= b < a:
        return False
    if chance.random() < 0.5:
        for q in range(a, b, -1):
            order[q] = order[q - 1]
        order[b] = j
    else:
        for q in range(b, a):
            order[q] = order[q + 1]
        order[a] = other
    return True


@loop(inner=True)
def _late_job(late: FloatArray, chance: np.random.Generator) -> int:
    total = late.sum()
    if total <= 0.0:
        return -1
    pick = chance.random() * total
    for j in range(late.size):
        pick -= late[j]
        if pick < 0.0 and late[j] > 0.0:
            return j
    return -1


@loop(inner=True)
def _waiting(w: Laid, begin_s: FloatArray, end_s: FloatArray, j: int, chance: np.random.Generator) -> int:
    """A phase of job j that could have begun sooner, -1 for none."""
    first, count = w.first[j], w.first[j + 1] - w.first[j]
    from_here = int(chance.random() * count)
    for n in range(count):
        i = first + (from_here + n) % count
        ready = w.release_s[j] if i == first else end_s[i - 1]
        if ready + 1.0 < begin_s[i] < np.inf:
            return i
    return -1


@loop(inner=True)
def _in_the_way(
    w: Laid, begin_s: FloatArray, end_s: FloatArray, by: IntArray, j: int, i: int, chance: np.random.Generator
) -> int:
    """Any phase of other jobs that kept phase i's machine, or one of its people, while it waited; -1 for none."""
    ready = w.release_s[j] if i == w.first[j] else end_s[i - 1]
    found, seen = -1, 0
    for k in range(begin_s.size):
        if w.first[j] <= k < w.first[j + 1] or end_s[k] <= ready or begin_s[k] >= begin_s[i]:
            continue
        if (w.machine[i] >= 0 and w.machine[k] == w.machine[i]) or _among(w.who[i], by[k]):
            seen += 1
            if chance.random() * seen < 1.0:
                found = k
    return found


@loop()
def _among(who: IntArray, person: int) -> bool:
    if person >= 0:
        for one in who:
            if one == person:
                return True
    return False


@loop()
def _entry(w: Laid, order: IntArray, j: int, i: int) -> int:
    """Where the unit of phase i of job j stands in the order."""
    count, k = 0, w.first[j]
    while w.unit_end[k] <= i:
        k = w.unit_end[k]
        count += 1
    for q in range(order.size):
        if order[q] == j:
            if count == 0:
                return q
            count -= 1
    return -1
