"""A few opened bars are cut again, with or without the pieces still closed beside them; the better plan is kept."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from steadyrest.stock.cutting.problem import Filled, Plan, Problem, plan_cost


def some_again(
    problem: Problem,
    plan: Plan,
    left_s: Callable[[], float],
    *,
    best_of: Callable[[Problem, Plan], Plan | None],
    rounds: int,
    seed: int,
    bars: tuple[int, int] = (2, 7),
) -> Plan:
    """Choose a few opened bars by lot, cut them again, keep what is cheaper.

    Args:
        problem: the list. plan: where it starts; it makes all parts.
        left_s: seconds left; 0: stop now. best_of: the best plan of a small list, given a plan of it.
        rounds: so many lots. seed: of the lots. bars: the fewest and the most at a time.
    Returns: a plan that costs no more.
    """
    generator = np.random.default_rng(seed)
    tried = set[tuple[int, ...]]()
    idle, most = 0, bars[0]
    for _ in range(rounds):
        if left_s() <= 0 or len(plan) < 2:
            break
        size = int(generator.integers(bars[0], most + 1))
        lot = tuple(sorted(generator.choice(len(plan), min(size, len(plan)), replace=False).tolist()))
        if lot in tried and size < 4:
            continue
        tried.add(lot)
        chosen = tuple(plan[k] for k in lot)
        others = tuple(one for k, one in enumerate(plan) if k not in lot)
        part = _part(problem, chosen, others, closed_too=bool(generator.integers(2)))
        found = best_of(part.problem, part.down(chosen))
        better = found is not None and plan_cost(part.problem, found) < plan_cost(part.problem, part.down(chosen))
        if found is not None and better:
            plan = (*others, *part.up(found))
            tried.clear()
            idle, most = 0, bars[0]
        else:
            idle += 1
            if idle % 4 == 0:
                most = min(most + 1, bars[1])
    return plan


class _Part:
    """The list of some bars: only their parts, only the kinds that are free. rows, kinds: indices in the whole list."""

    def __init__(self, whole: Problem, rows: list[int], kinds: list[int], problem: Problem) -> None:
        self.whole, self.rows, self.kinds, self.problem = whole, rows, kinds, problem

    def down(self, plan: Plan) -> Plan:
        return tuple(Filled(self.kinds.index(one.kind), one.filling[self.rows]) for one in plan)

    def up(self, plan: Plan) -> Plan:
        found = list[Filled]()
        for one in plan:
            filling = np.zeros(self.whole.parts, np.int64)
            filling[self.rows] = one.filling
            found.append(Filled(self.kinds[one.kind], filling))
        return tuple(found)


def _part(problem: Problem, chosen: Plan, others: Plan, *, closed_too: bool) -> _Part:
    counts = sum((one.filling for one in chosen), np.zeros(problem.parts, np.int64))
    many = problem.many - np.bincount([one.kind for one in others], minlength=problem.kinds)
    if not closed_too:
        many = np.bincount([one.kind for one in chosen], minlength=problem.kinds)
    rows, kinds = np.flatnonzero(counts).tolist(), np.flatnonzero(many > 0).tolist()
    small = problem.some(rows, kinds, counts, many)
    return _Part(problem, rows, kinds, small)
