"""The plan in fractions: fillings generated as prices call for them (Gilmore and Gomory 1961), and the bound."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog
from scipy.sparse import csc_array, csr_array, eye_array, hstack, vstack

from steadyrest.stock.cutting.pricing import DEAR, Prices, Pricing, scale_of, whole_prices
from steadyrest.stock.cutting.problem import Filled, IntArray, Problem

FloatArray = npt.NDArray[np.float64]

MOST_ROUNDS = 2000
MOST_ALIVE = 1200
SMALL = 1e-9


class Columns:
    """Fillings with their kinds, each once, in the order in which they came."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.kinds = list[int]()
        self.fillings = list[IntArray]()
        self.costs = list[int]()
        self._seen = set[tuple[int, bytes]]()
        self._rows, self._values, self._starts = list[int](), list[float](), [0]

    def add(self, kind: int, filling: IntArray) -> bool:
        """Take it in, unless it is there already."""
        key = (kind, filling.astype(np.int32).tobytes())
        if key in self._seen:
            return False
        self._seen.add(key)
        self.kinds.append(kind)
        self.fillings.append(filling)
        self.costs.append(self.problem.cost(kind, int(filling @ self.problem.widths)))
        some = np.flatnonzero(filling)
        self._rows += [*some.tolist(), self.problem.parts + kind]
        self._values += [*(-filling[some]).tolist(), 1.0]
        self._starts.append(len(self._rows))
        return True

    def add_plan(self, plan: Iterable[Filled]) -> None:
        for one in plan:
            self.add(one.kind, one.filling)

    def __len__(self) -> int:
        return len(self.kinds)

    def matrix(self) -> csc_array:
        """(n + m, columns) what each makes, negative, and which kind it opens."""
        rows = self.problem.parts + self.problem.kinds
        return csc_array((self._values, self._rows, self._starts), shape=(rows, len(self)))


@dataclass(frozen=True, slots=True)
class Relaxed:
    """x: (columns,) fractions. value: their cost, money units. lacking: parts that these leave unmade. prices: those of
    the best bound. ended: no further filling would help; else it was stopped.
    """

    x: FloatArray
    value: float
    lacking: float
    prices: Prices
    ended: bool


@dataclass(frozen=True, slots=True)
class _Master:
    """One solution over the columns there are. each, gain: (n,), (m,) prices of parts and of pieces, money units."""

    x: FloatArray
    value: float
    lacking: float
    each: FloatArray
    gain: FloatArray


def relaxed(
    problem: Problem,
    columns: Columns,
    left_s: Callable[[], float],
    *,
    pricing: Pricing | None = None,
    rounds: int = MOST_ROUNDS,
) -> Relaxed:
    """Generate fillings until none would help.

    Args:
        problem: the list. columns: those known; more are added. left_s: seconds left; 0: stop now.
        pricing: its table, where there is one already. rounds: at most so many times new fillings are asked for.
    Returns: the plan in fractions and the best bound met.
    Source: Gilmore, Gomory 1961 (columns by a knapsack); prices halfway between the master's and the best so far:
        Wentges 1997. Checked in tests/stock/cutting.
    """
    pricing = pricing or Pricing(problem)
    best = Prices(np.zeros(problem.parts, np.int64), pricing.fine, -(2**62))
    master, ended = None, False
    alive = np.arange(len(columns))
    for _ in range(rounds):
        known = len(columns)
        master = _master(problem, columns, alive) or master
        if master is None:
            break
        ours = whole_prices(problem, master.each, pricing.fine)
        added = False
        for each in [(ours + best.each) // 2, ours] if best.each.any() else [ours]:
            pricing.tabulated(each)
            bound = pricing.bound(each)
            if bound > best.bound:
                best = Prices(each, pricing.fine, bound)
            if added := _offered(problem, columns, pricing, each, ours, master.gain):
                break
        if not added or master.value - best.bound_money <= SMALL * abs(master.value):
            ended = True
            break
        if left_s() <= 0:
            break
        alive = np.concatenate([_useful(columns, alive, master), np.arange(known, len(columns))])
    x = np.zeros(len(columns))
    if master is None:
        return Relaxed(x, np.inf, np.inf, best, ended)
    x[: len(master.x)] = master.x
    return Relaxed(x, master.value, master.lacking, best, ended)


def _offered(
    problem: Problem, columns: Columns, pricing: Pricing, each: IntArray, ours: IntArray, gain: FloatArray
) -> bool:
    """Take in what the table offers and what would help by the master's own prices."""
    added = False
    for j in range(problem.kinds):
        for filling in pricing.offers(each, j):
            cost = problem.cost(j, int(filling @ problem.widths)) * pricing.fine
            reduced = cost - int(filling @ ours) - gain[j] * pricing.fine
            if reduced < -SMALL * max(1.0, abs(cost)):
                added = columns.add(j, filling) or added
    return added


def _useful(columns: Columns, alive: IntArray, master: _Master) -> IntArray:
    """Of these columns, those that may matter in the next rounds: the cheapest by the master's prices."""
    if len(alive) <= MOST_ALIVE:
        return alive
    prices = np.concatenate([-master.each, master.gain])
    reduced = np.array(columns.costs, float)[alive] - columns.matrix().T[alive] @ prices
    return np.sort(alive[np.argsort(reduced, kind="stable")[: MOST_ALIVE // 2]])


def _master(problem: Problem, columns: Columns, alive: IntArray) -> _Master | None:
    """The cheapest mixture of the columns there are; what they do not make is dear."""
    n = problem.parts
    scale = scale_of(problem)
    spare = problem.skip / scale if problem.skip is not None else np.full(n, DEAR)
    cost = np.concatenate([np.array(columns.costs, float)[alive] / scale, spare])
    whole = hstack([columns.matrix()[:, alive], vstack([-eye_array(n), csc_array((problem.kinds, n))])], format="csr")
    wanted, many = -problem.counts.astype(float), problem.many.astype(float)
    if problem.exactly:
        solved = linprog(
            cost, A_ub=csr_array(whole)[n:], b_ub=many, A_eq=csr_array(whole)[:n], b_eq=wanted, method="highs"
        )
    else:
        solved = linprog(cost, A_ub=whole, b_ub=np.concatenate([wanted, many]), method="highs")
    if solved.status != 0:
        return None
    dual = np.concatenate([solved.eqlin.marginals, solved.ineqlin.marginals]) * scale
    x = np.zeros(len(columns))
    x[alive] = solved.x[:-n]
    return _Master(x, float(solved.fun) * scale, float(solved.x[-n:].sum()), -dual[:n], dual[n:])
