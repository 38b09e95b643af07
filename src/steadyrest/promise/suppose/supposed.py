"""What a change does to every promise, and the best ways out of it: other orders, longer hours, steps sent outside.

Every week is tried with the same luck, so two odds differ by the change alone. People re-decide in each (dispatch).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

import numpy as np

from steadyrest.promise.answer import HOLDS
from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.dispatch import Outcome, dispatch
from steadyrest.promise.durations import WeekDraws, draw
from steadyrest.promise.order import TRIED_DRAWS, Duties, best_order, inserted
from steadyrest.promise.suppose.change import Add, Change, Extra, Outside, changed
from steadyrest.promise.suppose.offers import Offers
from steadyrest.promise.week import Flat, IntArray, Week, arrays
from steadyrest.shop.draws import Luck

DRAWS = 1000
ORDER_WORK = 300_000_000  # phases x jobs x draws over all ways tried; some 6 s on one core
MOST_TRIES, LEAST_TRIES = 60, 3
BEST, PAIRED = 3, 4  # ways told; single reliefs that are tried in pairs
MOST_RELIEFS = 12
WORTH = 0.01  # of the lateness: what a way must gain to be told
LONGER_S, NIGHT_S = 7200.0, 4 * 3600.0
GRAIN_S, DAY_S = 900.0, 86_400.0


@dataclass(frozen=True, slots=True)
class Kept:
    """A job under a plan. odds: of its due time. late_min, late_money: mean. finish_s: at nine in ten; inf: never."""

    job: str
    odds: float
    late_min: float
    late_money: float
    finish_s: float


@dataclass(frozen=True, slots=True)
class Way:
    """What could be done. changes: besides another order, which `order` says (ids, who goes first).

    cost: of the changes; known: whether every change has one. late_money: mean lateness of all jobs that is left.
    """

    changes: tuple[Change, ...]
    order: tuple[str, ...]
    cost: Decimal
    known: bool
    late_money: float
    jobs: tuple[Kept, ...]

    @property
    def money(self) -> float:
        return float(self.cost) + self.late_money

    @property
    def holding(self) -> int:
        """How many promises hold."""
        return sum(one.odds >= HOLDS for one in self.jobs)


@dataclass(frozen=True, slots=True)
class Supposed:
    """before: as things are. after: with the change, people going by `order`, the one there was, what is new last.

    ways: the best first.

    yes_by_s: latest moment, after now, at which a yes to the added work is still kept nine times in ten by the best
    way; None: nothing is added, or it is too late. yes_cost: what a yes costs the promises there are, and its ways.
    """

    before: tuple[Kept, ...]
    after: tuple[Kept, ...]
    order: tuple[str, ...]
    ways: tuple[Way, ...]
    yes_by_s: float | None
    yes_cost: float | None
    draws: int


@dataclass(frozen=True, slots=True)
class Tried:
    """A week made ready: its arrays, draws and what lateness costs."""

    week: Week
    flat: Flat
    draws: WeekDraws
    duties: Duties

    def run(self, order: IntArray, count: int) -> Outcome:
        return dispatch(self.flat, self.draws.some(count), order)


def suppose(
    asked: AskedWeek,
    changes: Sequence[Change],
    offers: Offers,
    order: Sequence[int],
    *,
    seed: int,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> Supposed:
    """A change tried on the week.

    Args:
        asked: the week as it is.
        changes: what is supposed, one after the other.
        offers: what could be done about trouble; without hours offered, two hours more of an evening are tried.
        order: (J,) job indices under which the week's odds hold, the first choice first.
        seed: of draws and search.
        progress: told how far it is. stop: asked between tries; the best so far is then told.
    Returns: odds before and after, and the three best ways found, by money.
    Raises: ValueError: a change names what is not there.
    """
    count = DRAWS if asked.uncertain else 1
    luck, horizon = Luck(count, seed), _horizon(asked.week, changes)
    base = _tried(asked, asked.week, luck, horizon)
    progress("as it is", 0.0)
    before = _kept(base, base.run(np.array(order, np.int64), count))
    week = changed(asked.week, changes)
    after = _tried(asked, week, luck, horizon)
    start = _carried(asked.week, week, order)
    stands = _kept(after, after.run(start, count))
    reliefs = _reliefs(week, offers, stands)
    pairs = min(PAIRED, len(reliefs)) * (min(PAIRED, len(reliefs)) - 1) // 2
    each = after.flat.stated_s.size * len(week.jobs) * min(count, TRIED_DRAWS)
    tries = int(min(MOST_TRIES, max(LEAST_TRIES, ORDER_WORK // (each * (1 + len(reliefs) + pairs)))))
    added = [change.job.id for change in changes if isinstance(change, Add)]
    search = Search(asked, week, luck, horizon, start, len(added), tries, seed, stop)
    singles = [search.way(some) for some in progressed([(), *((one,) for one in reliefs)], progress, 0.1, stop)]
    best = sorted((one for one in singles if one.changes), key=rank)[:PAIRED]
    pair = [(*one.changes, *other.changes) for one, other in combinations(best, 2)]
    doubles = [search.way(some) for some in progressed(pair, progress, 0.6, stop)]
    ways = tuple(_told(sorted([*singles, *doubles], key=rank)))
    return Supposed(
        before=before,
        after=stands,
        order=tuple(week.jobs[int(j)].id for j in start),
        ways=ways,
        yes_by_s=_yes_by(search, ways[0], added) if added else None,
        yes_cost=_yes_cost(before, ways[0], added) if added else None,
        draws=count,
    )


def rank(way: Way) -> tuple[float, int]:
    """What ways are ordered by: money to the cent, then the fewer changes."""
    return (round(way.money, 2), len(way.changes))


def _told(ways: Sequence[Way]) -> Sequence[Way]:
    """The best ways: each gains over every part of itself, or holds more promises than all told before it.

    A gain below a hundredth of the lateness is luck, not a gain. Doing nothing else is told where nothing gains.
    """
    plain = [way for way in ways if not way.changes]
    told: list[Way] = []
    for way in ways:
        parts = [other for other in ways if set(other.changes) < set(way.changes)]
        gains = all(way.money < (1.0 - WORTH) * other.money - 0.005 for other in parts)
        if (way.changes and gains) or way.holding > max(other.holding for other in (*told, *plain)):
            told.append(way)
    return [*told, *(way for way in plain if way not in told)][:BEST]


def progressed(
    what: Sequence[tuple[Change, ...]], progress: Callable[[str, float], None], start: float, stop: Callable[[], bool]
) -> Iterable[tuple[Change, ...]]:
    """Each in turn, telling how far it is; after the first, no more once stop says so."""
    for k, one in enumerate(what):
        if k and stop():
            return
        progress("ways out", start + 0.4 * k / len(what))
        yield one


@dataclass(frozen=True, slots=True)
class Search:
    """Tries a way: the week with its changes, and the best order found for it. added: the last so many jobs are new."""

    asked: AskedWeek
    week: Week
    luck: Luck
    horizon_s: float
    start: IntArray
    added: int
    tries: int
    seed: int
    stop: Callable[[], bool]

    def prepared(self, reliefs: tuple[Change, ...]) -> Tried:
        return _tried(self.asked, changed(self.week, reliefs), self.luck, self.horizon_s)

    def way(self, reliefs: tuple[Change, ...]) -> Way:
        """The best order found for these changes, and what it brings."""
        tried = self.prepared(reliefs)
        count = self.luck.count
        some = tried.draws.some(min(count, TRIED_DRAWS))
        order = self.start
        for new in range(len(self.week.jobs) - self.added, len(self.week.jobs)):
            order = inserted(tried.flat, some, tried.duties, order[order != new], np.array([new]), self.stop)
        order = best_order(tried.flat, some, tried.duties, order, tries=self.tries,
                           generator=np.random.default_rng(self.seed), stop=self.stop)  # fmt: skip
        kept = _kept(tried, tried.run(order, count))
        if order is not self.start:  # the order found on some of the draws is not worse on all of them
            as_is = _kept(tried, tried.run(self.start, count))
            if sum(one.late_money for one in as_is) <= sum(one.late_money for one in kept):
                order, kept = self.start, as_is
        costs = [change.cost for change in reliefs if isinstance(change, Extra | Outside)]
        return Way(
            changes=reliefs,
            order=tuple(tried.week.jobs[int(j)].id for j in order),
            cost=sum((cost for cost in costs if cost is not None), Decimal(0)),
            known=None not in costs,
            late_money=sum(one.late_money for one in kept),
            jobs=kept,
        )


def _tried(asked: AskedWeek, week: Week, luck: Luck, horizon_s: float) -> Tried:
    due, weight = np.array([job.due_s for job in week.jobs]), np.array([job.weight for job in week.jobs])
    return Tried(week, arrays(week), draw(week, luck, asked.spreads), Duties(due, weight, horizon_s))


def _horizon(week: Week, changes: Sequence[Change]) -> float:
    """What stands for a finish never reached, a day after all hours: the same in every week compared."""
    ends = [to for person in week.people for _, to in person.stretches_s]
    ends += [change.to_s for change in changes if isinstance(change, Extra)]
    return max([*ends, *(job.due_s for job in week.jobs), 0.0]) + DAY_S


def _carried(old: Week, new: Week, order: Sequence[int]) -> IntArray:
    """The order there was, in the indices of the new week; what is new comes last."""
    place = {job.id: k for k, job in enumerate(new.jobs)}
    kept = [place.pop(name) for name in (old.jobs[k].id for k in order) if name in place]
    return np.array([*kept, *place.values()], np.int64)


def _kept(tried: Tried, outcome: Outcome) -> tuple[Kept, ...]:
    finish = outcome.finish_s
    late_s = np.maximum(np.minimum(finish, tried.duties.horizon_s) - tried.duties.due_s, 0.0)
    money = tried.duties.late(finish)
    by = np.quantile(finish, HOLDS, axis=0, method="inverted_cdf")
    return tuple(
        Kept(job.id, float((finish[:, j] <= job.due_s + 1e-6).mean()), float(late_s[:, j].mean()) / 60.0,
             float(money[:, j].mean()), float(by[j]))
        for j, job in enumerate(tried.week.jobs)
    )  # fmt: skip


def _reliefs(week: Week, offers: Offers, stands: Sequence[Kept]) -> tuple[Change, ...]:
    """What may be tried: the offers about what is there; without offered hours, longer evenings of those concerned."""
    steps = {(job.id, step.id) for job in week.jobs for step in job.steps}
    outside = [one for one in offers.outside if (one.job, one.step) in steps]
    extra = list(offers.extra) or _longer_evenings(week, offers, {one.job for one in stands if one.odds < HOLDS})
    return tuple([*outside, *extra][:MOST_RELIEFS])


def _longer_evenings(week: Week, offers: Offers, troubled: set[str]) -> list[Extra]:
    """Two hours more, at the end of each day until the last troubled due time, of everyone that those jobs need."""
    jobs = [job for job in week.jobs if job.id in troubled]
    needed = {who for job in jobs for step in job.steps for phase in step.phases for who in phase.who}
    last = max((job.due_s for job in jobs), default=0.0)
    found: list[Extra] = []
    for person in week.people:
        begins = [a for a, _ in person.stretches_s][1:]
        for (_, end), following in zip(person.stretches_s, [*begins, np.inf], strict=True):
            if person.id in needed and end < last and following - end >= NIGHT_S:
                each = offers.per_hour.get(person.id)
                cost = None if each is None else each * Decimal(LONGER_S) / 3600
                found.append(Extra(person.id, end, end + LONGER_S, cost))
    return sorted(found, key=lambda one: one.from_s)


def _yes_by(search: Search, way: Way, added: Sequence[str]) -> float | None:
    """The latest moment, on a grid of a quarter of an hour, at which the added work is still kept nine times in ten."""
    tried = search.prepared(way.changes)
    place = {job.id: k for k, job in enumerate(tried.week.jobs)}
    order, new = np.array([place[name] for name in way.order], np.int64), [place[name] for name in added]
    last = float(min(tried.duties.due_s[new]))

    def kept(late_s: float) -> bool:
        draws = tried.draws._replace(release_s=tried.draws.release_s.copy())
        draws.release_s[:, new] = np.maximum(draws.release_s[:, new], late_s)
        finish = dispatch(tried.flat, draws, order).finish_s[:, new]
        return bool(((finish <= tried.duties.due_s[new] + 1e-6).mean(axis=0) >= HOLDS).all())

    if last <= 0 or not kept(0.0):
        return None
    low, high = 0, int(last // GRAIN_S) + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if kept(middle * GRAIN_S) else (low, middle)
    return low * GRAIN_S


def _yes_cost(before: Sequence[Kept], way: Way, added: Sequence[str]) -> float:
    owed = sum(one.late_money for one in before)
    return float(way.cost) + sum(one.late_money for one in way.jobs if one.job not in added) - owed
