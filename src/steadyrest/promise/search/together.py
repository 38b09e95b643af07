"""Jobs that share a machine or people: how late they are together at least, whatever the plan.

Of the jobs that want a machine, or anyone of a pool of people, the k-th one to be done with it is done no sooner than
if each could be broken off at will and whoever has least left went first; that rule has most jobs done at any time.
Which job is k-th is left open: the cheapest way to give out the places is a sum that no plan goes below.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush, heapreplace
from typing import NamedTuple

import numpy as np
from scipy.optimize import linear_sum_assignment

from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import BoolArray, IntArray
from steadyrest.shop.draws import FloatArray

MOST_JOBS = 200  # in one group: giving out the places grows with the cube
MOST_TRIES = 8  # groups tried of one machine or pool
EDGE_S = 1e-4  # rounding at the end of somebody's hours must not make it the next day


class Hours(NamedTuple):
    """at_s, there_s: (k,) rising moments, and how much there was by each of them, seconds."""

    at_s: FloatArray
    there_s: FloatArray


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted by several jobs. jobs: (n,) indices, soonest due first.

    comes_s: (n,) when the job can first be at it. work_s: (n,) how long it is at it. due_s: (n,) when it must be done
    with it to be in time. hours: of the machine, or of all people of the pool added up.
    """

    jobs: IntArray
    comes_s: FloatArray
    work_s: FloatArray
    due_s: FloatArray
    hours: Hours


def together(w: Laid, jobs: IntArray, late: FloatArray) -> float:
    """Weighted hours late that no plan of these jobs goes below.

    A job counts in one group at most, else with what it comes to by itself; groups are taken by how much they tell.

    Args:
        w: the week laid out.
        jobs: (n,) the jobs that count.
        late: (J,) weighted hours late of each job by itself.
    Returns: hours.
    """
    left = np.zeros(late.size, np.bool_)
    left[jobs] = True
    wanted = list(_wanted(w, left))
    total = float(late[jobs].sum())
    queue = [(-_best_group(w, one, left, late)[0], n) for n, one in enumerate(wanted)]
    heapify(queue)
    for _ in range(4 * len(wanted)):
        if not queue or queue[0][0] >= 0.0:
            break
        n = queue[0][1]
        gain, group = _best_group(w, wanted[n], left, late)
        if len(queue) > 1 and -gain > min(queue[1:3])[0]:
            heapreplace(queue, (-gain, n))
            continue
        heappop(queue)
        if gain > 0.0:
            total += gain
            left[group] = False
            heappush(queue, (-_best_group(w, wanted[n], left, late)[0], n))
    return total


def _wanted(w: Laid, counts: BoolArray) -> Iterator[Wanted]:
    """Every machine, and every pool of people that some phase names, that two jobs or more want."""
    named = w.who >= 0
    who = [tuple(row[row >= 0].tolist()) for row in w.who]
    soonest_s = _soonest(w, who)
    always = Hours(np.array([0.0, 1e12]), np.array([0.0, 1e12]))
    for m in range(w.machines):
        yield from _one(w, counts, w.machine == m, soonest_s, always)
    pools = {frozenset(people) for people in who if people}
    if not pools:
        return
    for pool in sorted(sorted(pool) for pool in pools | {frozenset.union(*pools)}):
        at_it = named[:, 0] & (np.isin(w.who, pool) | ~named).all(axis=1)
        yield from _one(w, counts, at_it, soonest_s, _hours(w, pool, many=True))


def _soonest(w: Laid, who: list[tuple[int, ...]]) -> FloatArray:
    """(P,) no phase can begin sooner, whoever does those before it: they work only while one of them is in."""
    hours = {people: _hours(w, people, many=False) for people in {*who} if people}
    out = np.empty(w.takes_s.size)
    for j in range(w.release_s.size):
        t = float(w.release_s[j])
        for i in range(int(w.first[j]), int(w.first[j + 1])):
            takes, begin = float(w.takes_s[i]), t
            if who[i] and takes > 0.0:
                of = hours[who[i]]
                before = float(np.interp(t, of.at_s, of.there_s))
                begun, over = _moment(of, np.array([before + min(takes, 2 * EDGE_S), before + takes]))
                begin, t = max(t, float(begun) - 2 * EDGE_S), max(t, float(over) - takes)
            out[i] = begin
            t += takes
    return out


def _one(w: Laid, counts: BoolArray, at_it: BoolArray, soonest_s: FloatArray, hours: Hours) -> Iterator[Wanted]:
    rows: list[tuple[float, int, float, float]] = []
    for j in np.flatnonzero(counts):
        mine = slice(w.first[j], w.first[j + 1])
        takes, here = w.takes_s[mine], np.flatnonzero(at_it[mine])
        if here.size and takes[here].sum() > 0.0:
            comes, tail = soonest_s[mine][here[0]], takes[here[-1] + 1 :].sum()
            rows.append((float(w.due_s[j] - tail), int(j), float(comes), float(takes[here].sum())))
    if len(rows) > 1:
        due, jobs, comes, work = zip(*sorted(rows), strict=True)
        yield Wanted(np.array(jobs), np.array(comes), np.array(work), np.array(due), hours)


def _hours(w: Laid, pool: Sequence[int], *, many: bool) -> Hours:
    """How long people of the pool have been in by each moment: each for themselves, added up; or any of them."""
    changes = sorted(
        change
        for p in pool
        for k in range(int(w.here_count[p]))
        for change in ((float(w.here_from[p, k]), 1), (float(w.here_to[p, k]), -1))
    )
    at = [0.0]
    there, people = [0.0], 0
    for moment, change in changes:
        there.append(there[-1] + (people if many else min(people, 1)) * max(0.0, moment - at[-1]))
        at.append(max(at[-1], moment))
        people += change
    return Hours(np.array(at), np.array(there))


def _best_group(w: Laid, one: Wanted, left: BoolArray, late: FloatArray) -> tuple[float, IntArray]:
    """By how much the most telling group of those soonest due is later together than each by itself; and who it is."""
    free = np.flatnonzero(left[one.jobs])[:MOST_JOBS]
    best, group = 0.0, one.jobs[:0]
    for size in np.unique(np.linspace(2, free.size, MOST_TRIES).astype(int)) if free.size > 1 else ():
        some = free[:size]
        jobs = one.jobs[some]
        weight = w.weight[jobs]
        comes = np.interp(one.comes_s[some], one.hours.at_s, one.hours.there_s)
        ends_s = _moment(one.hours, _soonest_ends(comes, one.work_s[some]))
        cost = np.maximum(weight * np.maximum(0.0, ends_s[:, None] - one.due_s[some]) / 3600.0, late[jobs])
        gain = float(cost[linear_sum_assignment(cost)].sum() - late[jobs].sum())
        if gain > best:
            best, group = gain, jobs
    return best, group


def _soonest_ends(comes: FloatArray, work: FloatArray) -> FloatArray:
    """(n,) rising: when the k-th is done if it may be broken off and who has least left goes first.

    Source: Schrage, A proof of the optimality of the shortest remaining processing time discipline, 1968 (from memory).
    """
    waiting: list[float] = []
    ends: list[float] = []
    t = 0.0
    rows = sorted(zip(comes.tolist(), work.tolist(), strict=True))
    for n, (at, takes) in enumerate(rows):
        t = max(t, at)
        heappush(waiting, takes)
        until = rows[n + 1][0] if n + 1 < len(rows) else np.inf
        while waiting and t < until:
            least = heappop(waiting)
            if t + least > until:
                heappush(waiting, least - (until - t))
                t = until
            else:
                t += least
                ends.append(t)
    return np.array(ends)


def _moment(hours: Hours, work_s: FloatArray) -> FloatArray:
    """The first moment by which so much of it was there; where it never is, the last of its moments."""

    def first(amount: FloatArray) -> FloatArray:
        k = np.clip(np.searchsorted(hours.there_s, amount), 1, hours.there_s.size - 1)
        rise = hours.there_s[k] - hours.there_s[k - 1]
        share = np.where(rise > 0.0, (amount - hours.there_s[k - 1]) / np.where(rise > 0.0, rise, 1.0), 0.0)
        return hours.at_s[k - 1] + np.clip(share, 0.0, 1.0) * (hours.at_s[k] - hours.at_s[k - 1])

    exact, careful = first(work_s), first(np.maximum(0.0, work_s - EDGE_S))
    return np.where(exact - careful > 2 * EDGE_S, careful, exact)
