"""Cutting as a careful person at the saw does: the longest part first, into the opened piece that it fills best."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from steadyrest.stock.cutting.problem import Filled, IntArray, Plan, Problem, plan_cost


def best_fit(problem: Problem, order: Sequence[int]) -> tuple[Plan, IntArray]:
    """Longest part first into the fullest opened piece that takes it, else into the first kind in `order`.

    Args:
        problem: the list. order: kinds, the one to be opened first first.
    Returns: the plan, and (n,) how many of each part found no place.
    """
    spare, left = problem.many.copy(), np.zeros(problem.parts, np.int64)
    rooms, opened = np.empty(int(problem.many.sum()), np.int64), 0
    kinds, fillings = list[int](), list[IntArray]()
    for i in np.argsort(-problem.widths, kind="stable").tolist():
        width = int(problem.widths[i])
        for made in range(int(problem.counts[i])):
            after = rooms[:opened] - width
            fits = np.flatnonzero(after >= 0)
            if len(fits):
                k = int(fits[np.argmin(after[fits])])
            else:
                kind = next((j for j in order if spare[j] and problem.room[j] >= width), None)
                if kind is None:
                    left[i] = problem.counts[i] - made
                    break
                spare[kind] -= 1
                k, opened = opened, opened + 1
                rooms[k] = problem.room[kind]
                kinds.append(kind)
                fillings.append(np.zeros(problem.parts, np.int64))
            rooms[k] -= width
            fillings[k][i] += 1
    return tuple(Filled(j, filling) for j, filling in zip(kinds, fillings, strict=True)), left


def orders(problem: Problem) -> tuple[list[int], ...]:
    """In which order a person may open pieces: shortest, longest, cheapest, cheapest per length first."""
    kinds = list(range(problem.kinds))
    room, cost = problem.room, problem.costs
    return (
        sorted(kinds, key=lambda j: (room[j], cost[j])),
        sorted(kinds, key=lambda j: (-room[j], cost[j])),
        sorted(kinds, key=lambda j: (cost[j], -room[j])),
        sorted(kinds, key=lambda j: (cost[j] / max(1, room[j]), room[j])),
    )


def by_hand(problem: Problem) -> tuple[Plan, IntArray]:
    """The cheapest of these ways, those first that leave nothing out.

    Args:
        problem: the list.
    Returns: the plan, and (n,) how many of each part found no place.
    """
    tried = [best_fit(problem, order) for order in orders(problem)]
    return min(tried, key=lambda one: (int(one[1] @ problem.widths), plan_cost(problem, one[0])))
