"""From a cutting list to whole bars: cut by hand, bound, all fillings near the bound, whole bars, a few bars again.

A plan that costs less than the best known can only use fillings whose cost is near what the bound's prices say: nearer
than the gap between plan and bound. Once all of these are in hand, the best plan made of them is the best there is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from steadyrest.stock.cutting.again import some_again
from steadyrest.stock.cutting.by_hand import best_fit, by_hand, orders
from steadyrest.stock.cutting.chosen import Chosen, choices
from steadyrest.stock.cutting.pricing import Prices, Pricing
from steadyrest.stock.cutting.problem import Filled, Plan, Problem, plan_cost
from steadyrest.stock.cutting.relaxed import Columns, relaxed
from steadyrest.stock.cutting.rounded import ALMOST, rounded
from steadyrest.stock.cutting.whole import whole

CAPS = (1_500, 6_000, 24_000)
SECONDS = (2.0, 6.0, 20.0)
SHORT_SECONDS = 0.7
DIVES = 8
ROUNDS = 30
TRIED = 12
LOOKED_INTO = 4
FRACTIONS_SHARE, DIVES_SHARE = 0.4, 0.25
NARROWEST = 1e-3


@dataclass(frozen=True, slots=True)
class Solved:
    """plan: the best found. bound: no plan costs less, money units. prices: what proves the bound by itself.

    proven: no plan is cheaper by a step that counts. by_search: that takes the search's word, not the prices' alone.
    """

    plan: Plan | None
    cost: int
    bound: int
    prices: Prices
    proven: bool
    by_search: bool


class Search:
    """The best plan and the best bound so far."""

    def __init__(self, problem: Problem, plan: Plan | None, *, cost: int = 2**61) -> None:
        self.problem = problem
        self.plan = plan
        self.cost = plan_cost(problem, plan) if plan is not None else cost
        self.bound = -(2**61)
        self.by_search = False
        self.step = problem.step()

    def offer(self, plan: Plan | None) -> bool:
        """Take the plan if it is cheaper."""
        if plan is None:
            return False
        cost = plan_cost(self.problem, plan)
        if cost >= self.cost:
            return False
        self.plan, self.cost = plan, cost
        return True

    def at_least(self, bound: int) -> None:
        """No plan costs less than this; plans cost whole steps."""
        self.bound = max(self.bound, -(-bound // self.step) * self.step)

    def nothing(self) -> Solved:
        """The answer where nothing is wanted."""
        return Solved((), 0, 0, Prices(np.zeros(self.problem.parts, np.int64), 1, 0), True, False)

    def solved(self, prices: Prices) -> Solved:
        bound = min(self.bound, self.cost)
        return Solved(self.plan, self.cost, bound, prices, self.proven, self.by_search)

    @property
    def wanted(self) -> int:
        """The most that a plan worth finding may cost."""
        return (self.cost - max(self.problem.least_step, self.step)) // self.step * self.step

    @property
    def proven(self) -> bool:
        return self.plan is not None and self.wanted < self.bound


@dataclass(slots=True)
class Near:
    """Looks at all fillings whose cost is near what the prices say."""

    search: Search
    pricing: Pricing
    columns: Columns
    prices: Prices

    def look(self, cap: int, seconds: float) -> None:
        """The best plan of at most so many fillings, the nearest ones; a proof where these are all that could help."""
        search, problem = self.search, self.search.problem
        gap = max(0, search.wanted * self.prices.fine - self.prices.bound)
        self.pricing.tabulated(self.prices.each)
        margin, all_of_them, narrowest = gap, False, False
        while True:
            found, kinds, complete = self.pricing.within(self.prices.each, margin, cap, spread=narrowest)
            if narrowest or (complete and sum(len(rows) for _, rows in kinds) <= cap):
                all_of_them = margin == gap and complete
                break
            margin //= 2
            narrowest = margin <= gap * NARROWEST
        nearest = Columns(problem)
        for j, rows in kinds:
            for row in rows.tolist()[: cap if narrowest else None]:
                nearest.add(j, found[row])
        if not all_of_them:
            for kind, filling in zip(self.columns.kinds, self.columns.fillings, strict=True):
                nearest.add(kind, filling)
        best = whole(problem, nearest, seconds)
        search.offer(best.plan)
        if all_of_them and best.ended and self.pricing.exact:
            search.at_least(search.cost if best.plan is not None else search.wanted + 1)
            search.by_search = True


def solve(
    problem: Problem,
    plan: Plan | None,
    left_s: Callable[[], float],
    *,
    caps: tuple[int, ...] = CAPS,
    rounds: int = ROUNDS,
    log: Callable[[str, int, int], None] = lambda *_: None,
) -> Solved:
    """The best plan that comes up, and the best bound.

    Args:
        problem: the list. plan: one that is known, or None.
        left_s: seconds left; 0: stop now. caps: so many fillings near the bound are looked at, one cap after another.
        rounds: so many times a few bars are cut again, after each of these; 0: a short list, looked at once. log: told
            of each stage, the best cost and the best bound.
    Returns: the best of all, at any time.
    """
    search = Search(problem, plan)
    pricing, columns = Pricing(problem), Columns(problem)
    for order in orders(problem):
        cut, left = best_fit(problem, order)
        columns.add_plan(cut)
        if problem.skip is not None or not left.any():
            search.offer(cut)
    log("by hand", search.cost, search.bound)
    worth_trying = ()
    if problem.skip is None:
        bound, worth_trying = choices(problem, pricing)
        search.at_least(bound)
        for choice in worth_trying:
            if choice.cost <= search.wanted:
                search.offer(chosen_by_hand(problem, choice))
        log("choices", search.cost, search.bound)
    if search.plan is not None:
        columns.add_plan(search.plan)
    if search.proven:
        return search.solved(Prices(np.zeros(problem.parts, np.int64), 1, 0))
    fractions = relaxed(problem, columns, share_of(left_s, FRACTIONS_SHARE), pricing=pricing)
    search.at_least(-(-fractions.prices.bound // fractions.prices.fine))
    log("fractions", search.cost, search.bound)
    if rounds and problem.skip is None:
        if not search.proven:
            search.offer(rounded(problem, columns, share_of(left_s, DIVES_SHARE)))
            log("rounded", search.cost, search.bound)
        dive_s = share_of(left_s, DIVES_SHARE)
        for choice in worth_trying[:TRIED]:
            if choice.cost <= search.wanted and dive_s() > 0 and not search.proven:
                search.offer(chosen_rounded(search, choice, columns, dive_s))
                log("chosen rounded", search.cost, search.bound)
    near = Near(search, pricing, columns, fractions.prices)
    for stage, cap in enumerate(caps):
        if search.proven or left_s() <= 0:
            break
        near.look(cap, min(SECONDS[stage] if rounds else SHORT_SECONDS, left_s()))
        log("near", search.cost, search.bound)
        dive_s = share_of(left_s, DIVES_SHARE)
        for dive in range(stage * DIVES + 1, (stage + 1) * DIVES + 1) if rounds else ():
            possible = [choice for choice in worth_trying[:TRIED] if choice.cost <= search.wanted]
            if possible and dive_s() > 0 and not search.proven:
                choice = possible[dive % min(len(possible), LOOKED_INTO)]
                search.offer(chosen_rounded(search, choice, columns, dive_s, seed=dive))
        log("dives", search.cost, search.bound)
        for choice in worth_trying[:LOOKED_INTO] if rounds else ():
            if choice.cost <= search.wanted and left_s() > 0 and not search.proven:
                search.offer(chosen_near(search, choice, columns, cap, SECONDS[stage] / 2, left_s))
                log("chosen near", search.cost, search.bound)
        if rounds and search.plan is not None and not search.proven:
            search.offer(
                some_again(
                    problem, search.plan, left_s, best_of=lambda p, q: small(p, q, left_s), rounds=rounds, seed=stage
                )
            )
            log("again", search.cost, search.bound)
    return search.solved(fractions.prices)


def share_of(left_s: Callable[[], float], share: float) -> Callable[[], float]:
    """The seconds left of this share of what is left now."""
    kept = left_s() * (1 - share)
    return lambda: left_s() - kept


def first_plans(problem: Problem) -> Plan | None:
    """A plan that makes all parts, if one comes up at once.

    Args:
        problem: the list.
    Returns: the cheapest of those by hand, or None.
    """
    search = Search(problem, None)
    for order in orders(problem):
        cut, left = best_fit(problem, order)
        if not left.any():
            search.offer(cut)
    return search.plan


def chosen_by_hand(problem: Problem, choice: Chosen) -> Plan | None:
    """Best fit into the pieces of this choice only."""
    kinds = np.flatnonzero(choice.many).tolist()
    few = problem.some(list(range(problem.parts)), kinds, problem.counts, choice.many)
    cut, left = by_hand(few)
    return None if left.any() else tuple(Filled(kinds[one.kind], one.filling) for one in cut)


def chosen_rounded(
    search: Search, choice: Chosen, columns: Columns, left_s: Callable[[], float], *, seed: int = 0
) -> Plan | None:
    """The pieces of this choice only, in fractions, then in whole bars; None where they cannot be worth it."""
    inside = _inside(search, choice, columns, left_s)
    if inside is None:
        return None
    cut = rounded(inside.search.problem, inside.columns, left_s, seed=seed)
    return None if cut is None else inside.up(cut)


def chosen_near(
    search: Search, choice: Chosen, columns: Columns, cap: int, seconds: float, left_s: Callable[[], float]
) -> Plan | None:
    """The pieces of this choice only, by all fillings near their bound; None where that finds nothing better."""
    inside = _inside(search, choice, columns, left_s)
    if inside is None:
        return None
    inside.look(cap, min(seconds, left_s()))
    return inside.up(inside.search.plan) if inside.search.plan is not None else None


@dataclass(slots=True)
class _Inside(Near):
    """Near, for some kinds of piece only. kinds: their indices in the whole list."""

    kinds: list[int]

    def up(self, plan: Plan) -> Plan:
        return tuple(Filled(self.kinds[one.kind], one.filling) for one in plan)


def _inside(search: Search, choice: Chosen, columns: Columns, left_s: Callable[[], float]) -> _Inside | None:
    problem = search.problem
    kinds = np.flatnonzero(choice.many).tolist()
    few = problem.some(list(range(problem.parts)), kinds, problem.counts, choice.many)
    mine, pricing = Columns(few), Pricing(few)
    for kind, filling in zip(columns.kinds, columns.fillings, strict=True):
        if kind in kinds:
            mine.add(kinds.index(kind), filling)
    fractions = relaxed(few, mine, left_s, pricing=pricing)
    if fractions.lacking > ALMOST or fractions.prices.bound > search.wanted * fractions.prices.fine:
        return None
    for kind, filling in zip(mine.kinds, mine.fillings, strict=True):
        columns.add(kinds[kind], filling)
    return _Inside(Search(few, None, cost=search.cost), pricing, mine, fractions.prices, kinds)


def small(problem: Problem, plan: Plan, left_s: Callable[[], float]) -> Plan | None:
    """The best plan of a short list that comes up quickly."""
    return solve(problem, plan, left_s, caps=(CAPS[0],), rounds=0).plan
