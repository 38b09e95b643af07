"""Whole bars: the best plan that a given set of fillings allows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_array, eye_array, hstack, vstack

from steadyrest.stock.cutting.pricing import scale_of
from steadyrest.stock.cutting.problem import Filled, IntArray, Plan, Problem
from steadyrest.stock.cutting.relaxed import Columns

NODES = 20_000


@dataclass(frozen=True, slots=True)
class Whole:
    """plan: None where none was found. ended: there is no better one from these fillings."""

    plan: Plan | None
    ended: bool


def whole(problem: Problem, columns: Columns, seconds: float, *, nodes: int = NODES) -> Whole:
    """The best plan of whole bars from these fillings.

    Args:
        problem: the list. columns: fillings that may be used. seconds: at most so long. nodes: of the search, at most.
    Returns: the plan, made of exactly the parts wanted.
    """
    n, scale = problem.parts, scale_of(problem)
    if not len(columns) or seconds <= 0:
        return Whole(None, False)
    cost = np.array(columns.costs, float) / scale
    matrix = columns.matrix()
    if problem.skip is not None:
        cost = np.concatenate([cost, problem.skip / scale])
        matrix = hstack([matrix, vstack([-eye_array(n), csc_array((problem.kinds, n))])], format="csc")
    wanted = -problem.counts.astype(float)
    low = np.concatenate([wanted if problem.exactly else np.full(n, -np.inf), np.full(problem.kinds, -np.inf)])
    high = np.concatenate([wanted, problem.many.astype(float)])
    constraints = LinearConstraint(matrix, low, high)  # pyright: ignore[reportArgumentType]  arrays are taken
    solved = milp(
        cost, constraints=constraints, integrality=np.ones(len(cost)), bounds=Bounds(0, np.inf),
        options={"time_limit": seconds, "node_limit": nodes, "mip_rel_gap": 0.0},
    )  # fmt: skip
    if solved.x is None:
        return Whole(None, solved.status == 2)
    times = np.round(solved.x[: len(columns)]).astype(np.int64)
    plan = [
        Filled(columns.kinds[k], columns.fillings[k]) for k in np.flatnonzero(times).tolist() for _ in range(times[k])
    ]
    return Whole(without_surplus(problem, plan), solved.status == 0)


def without_surplus(problem: Problem, plan: list[Filled]) -> Plan:
    """The plan without parts that nobody asked for, each taken where that saves most."""
    surplus = sum((one.filling for one in plan), np.zeros(problem.parts, np.int64)) - problem.counts
    fillings: list[IntArray] = [one.filling.copy() for one in plan]
    for i in np.flatnonzero(surplus > 0).tolist():
        for _ in range(int(surplus[i])):
            holding = [k for k, filling in enumerate(fillings) if filling[i]]
            k = max(holding, key=lambda k: (_saving(problem, plan[k].kind, fillings[k], i), -k))
            fillings[k][i] -= 1
    return tuple(Filled(one.kind, filling) for one, filling in zip(plan, fillings, strict=True) if filling.any())


def _saving(problem: Problem, kind: int, filling: IntArray, part: int) -> int:
    used = int(filling @ problem.widths)
    after = problem.cost(kind, used - int(problem.widths[part])) if filling.sum() > 1 else 0
    return problem.cost(kind, used) - after
