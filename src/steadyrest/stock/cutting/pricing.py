"""Pricing: what every filling is worth at a price for each part, and the bound that follows from the prices.

Any prices give a bound: all parts at their price, less the most that any one piece can earn by a better filling, times
the pieces there are. Lengths run in steps; where these are coarser than the lengths, what is offered is rounded so that
it can be cut, and the bound so that it holds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.stock.cutting.fillings import NEVER, all_fillings, filling_at, tabulate
from steadyrest.stock.cutting.problem import IntArray, Problem

FloatArray = npt.NDArray[np.float64]

MOST_CELLS = 16_000_000
COARSE_CELLS = 6_000_000
OFFERS = 30
LARGEST = 2**57
DEAR = 100.0  # a part that is not made, in the cost of the dearest piece


@dataclass(frozen=True, slots=True)
class Prices:
    """A price for each part, in money units over `fine`, and the bound they prove, in money units over `fine`.

    Anyone can recompute the bound from the prices: see bound_by.
    """

    each: IntArray
    fine: int
    bound: int

    @property
    def bound_money(self) -> float:
        return self.bound / self.fine


class Pricing:
    """The table of one problem, filled anew for each set of prices."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        longest = int(problem.room.max())
        grain = int(np.gcd.reduce(problem.widths))
        self.exact = longest // grain * (problem.parts + 1) <= MOST_CELLS
        self.step = grain if self.exact else -(-longest // (COARSE_CELLS // (problem.parts + 1)))
        self.room = longest // self.step
        self.up = -(-problem.widths // self.step)
        self.down = problem.widths // self.step
        self.most = np.minimum(problem.counts, longest // problem.widths)
        self.table = np.empty((problem.parts + 1, self.room + 1), np.int64)
        self.ends = problem.room // self.step
        self.cost = [problem.cost_at(j, np.arange(self.ends[j] + 1) * self.step) for j in range(problem.kinds)]
        self.fine = fineness(problem)

    def tabulated(self, each: IntArray) -> None:
        """Fill the table with fillings that can be cut."""
        tabulate(self.table, self.up, self.most, each)

    def bound(self, each: IntArray) -> int:
        """The bound by these prices; the table must hold them if the steps are exact."""
        if not self.exact:
            tabulate(self.table, self.down, self.most, each)
        total = bound_of_parts(self.problem, each, self.fine)
        for j in range(self.problem.kinds):
            total += int(self.problem.many[j]) * min(0, self.least(j)[0])
        if not self.exact:
            self.tabulated(each)
        return total

    def least(self, kind: int) -> tuple[int, int]:
        """The least of cost less worth on a piece of this kind that is opened, and at which use."""
        end = self.ends[kind]
        last = self.table[-1, : end + 1]
        reduced = np.where(last[1:] > NEVER, self.cost[kind][1:] * self.fine - last[1:], LARGEST)
        at = int(np.argmin(reduced)) if len(reduced) else 0
        return (int(reduced[at]), at + 1) if len(reduced) else (LARGEST, 0)

    def offers(self, each: IntArray, kind: int) -> list[IntArray]:
        """The best fillings whose rest is kept, and the best whose rest is not; several of each where kinds are few."""
        end = int(self.ends[kind])
        kept_to = min(end, (int(self.problem.free[kind]) - self.problem.keep) // self.step)
        last = self.table[-1, : end + 1]
        reduced = np.where(last > NEVER, self.cost[kind] * self.fine - last, LARGEST)
        found = list[IntArray]()
        for low, high in ((1, kept_to), (max(1, kept_to + 1), end)):
            if high >= low:
                some = reduced[low : high + 1]
                most = min(len(some), max(1, OFFERS // self.problem.kinds))
                for at in np.sort(np.argpartition(some, most - 1)[:most]).tolist():
                    if some[at] < LARGEST:
                        found.append(filling_at(self.table, self.up, self.most, each, low + at))
        return found

    def within(
        self, each: IntArray, margin: int, cap: int, *, spread: bool = False
    ) -> tuple[IntArray, list[tuple[int, IntArray]], bool]:
        """Every filling of every kind that costs at most `margin` more than the bound's own.

        Args:
            each: prices; the table must hold them. margin: money units over fine. cap: no more fillings than this.
            spread: some for each use rather than all for a few.
        Returns: (f, n) fillings; for each kind the rows of those that will do; and whether these are all.
        """
        last = self.table[-1]
        slack = np.full(self.room + 1, -1, np.int64)
        earned = list[int]()
        for j in range(self.problem.kinds):
            end = int(self.ends[j])
            earned.append(min(0, self.least(j)[0]))
            room = margin + earned[j] - (self.cost[j] * self.fine - last[: end + 1])
            slack[: end + 1] = np.maximum(slack[: end + 1], np.where(last[: end + 1] > NEVER, room, -1))
        cap_each = max(1, cap // max(1, int(np.count_nonzero(slack >= 0)))) if spread else cap + 1
        found, takes, complete = all_fillings(self.table, self.up, self.most, each, slack, cap, cap_each)
        worth, used = found @ each, found @ self.problem.widths
        rows = list[tuple[int, IntArray]]()
        for j in range(self.problem.kinds):
            fits = takes <= self.ends[j]
            reduced = self.problem.cost_at(j, used) * self.fine - worth - earned[j]
            rows.append((j, np.flatnonzero(fits & (reduced <= margin))))
        return found, rows, complete


def fineness(problem: Problem) -> int:
    """How many steps a unit of money is divided into: as many as leave room for every sum."""
    most = DEAR * scale_of(problem) * int(problem.counts.sum())
    most += float((np.abs(problem.costs) + problem.rest_value * problem.free).astype(float) @ problem.many)
    return 2 ** max(0, int(math.log2(LARGEST / (16 * max(1.0, most)))))


def scale_of(problem: Problem) -> float:
    """What one unit of cost is in the solver, so that its tolerances suit."""
    most = max(int(np.abs(problem.costs).max()), int((problem.rest_value * problem.free).max()))
    if problem.skip is not None:
        most = max(most, int(problem.skip.max()))
    return float(max(most, 1))


def whole_prices(problem: Problem, each: FloatArray, fine: int) -> IntArray:
    """Prices in whole units over fine; so large at most that no sum of them overflows."""
    largest = LARGEST / (4 * max(1, int(problem.counts.sum())))
    return np.round(np.clip(each * fine, -largest, largest)).astype(np.int64)


def bound_of_parts(problem: Problem, each: IntArray, fine: int) -> int:
    """All parts at their price, or at what it costs to leave them out."""
    if problem.skip is not None:
        each = np.minimum(each, problem.skip * fine)
    return int(each @ problem.counts)
