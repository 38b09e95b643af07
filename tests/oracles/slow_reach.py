"""The obvious ways to what the mill's geometry computes fast: distances, the disc of a cutter, covers. Plain loops."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np


def distance_sq(marked: np.ndarray) -> np.ndarray:
    """Squared distance of each cell to the nearest marked one, every pair looked at."""
    found = np.full(marked.shape, 2**30)
    points = np.argwhere(marked)
    for y in range(marked.shape[0]):
        for x in range(marked.shape[1]):
            for v, u in points:
                found[y, x] = min(found[y, x], (y - v) ** 2 + (x - u) ** 2)
    return found


def reached(shut: np.ndarray, radius: float) -> np.ndarray:
    """Cells that a disc reaches whose middle stands on free cells and never covers one that is shut, from anywhere."""
    rim = math.ceil(radius) + 1
    wide = np.pad(shut, rim)
    found = np.zeros_like(wide)
    offsets = [(v, u) for v in range(-rim, rim + 1) for u in range(-rim, rim + 1) if v * v + u * u <= radius * radius]
    for y in range(wide.shape[0]):
        for x in range(wide.shape[1]):
            inside = [(y + v, x + u) for v, u in offsets]
            inside = [(v, u) for v, u in inside if 0 <= v < wide.shape[0] and 0 <= u < wide.shape[1]]
            # A cell whose middle lies on the rim itself is only touched.
            if not any(wide[v, u] and (v - y) ** 2 + (u - x) ** 2 < radius * radius for v, u in inside):
                for v, u in inside:
                    found[v, u] = True
    return found[rim:-rim, rim:-rim]


def cheapest_cover(needs: list[int], costs: list[float]) -> tuple[int, float] | None:
    """Size and least cost of the smallest choice that meets all needs, every choice tried."""
    for size in range(len(costs) + 1):
        best = math.inf
        for choice in combinations(range(len(costs)), size):
            bits = sum(1 << one for one in choice)
            if all(need & bits for need in needs):
                best = min(best, sum(costs[one] for one in choice))
        if best < math.inf:
            return size, best
    return None
