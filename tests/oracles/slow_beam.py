"""A stepped beam by finite elements: the slow twin of the lathe's closed form. Hermite elements, fixed at the jaws."""

from __future__ import annotations

import math

import numpy as np


def spring(steps: list[tuple[float, float]], e_mpa: float, at: float, supports: list[float], pieces: int = 24) -> float:
    """Deflection at a place under a unit force there, mm/N; supports hold the line but not its slope."""
    total = sum(length for length, _ in steps)
    ends = np.cumsum([0.0, *(length for length, _ in steps)])
    asked = np.sort(np.concatenate([np.linspace(0.0, total, pieces + 1), ends, [at], supports]))
    places = asked[np.concatenate([[True], np.diff(asked) > 1e-6 * total])]
    n = len(places)
    stiff = np.zeros((2 * n, 2 * n))
    for i in range(n - 1):
        length = places[i + 1] - places[i]
        middle = (places[i] + places[i + 1]) / 2
        step = min(int(np.searchsorted(ends, middle)) - 1, len(steps) - 1)
        ei = e_mpa * math.pi * steps[step][1] ** 4 / 64
        one = ei / length**3 * np.array(
            [
                [12, 6 * length, -12, 6 * length],
                [6 * length, 4 * length**2, -6 * length, 2 * length**2],
                [-12, -6 * length, 12, -6 * length],
                [6 * length, 2 * length**2, -6 * length, 4 * length**2],
            ]
        )  # fmt: skip
        stiff[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += one
    held = {0, 1, *(2 * int(np.argmin(np.abs(places - support))) for support in supports)}
    free = [k for k in range(2 * n) if k not in held]
    force = np.zeros(2 * n)
    where = 2 * int(np.argmin(np.abs(places - at)))
    if where in held:
        return 0.0
    force[where] = 1.0
    moved = np.zeros(2 * n)
    moved[free] = np.linalg.solve(stiff[np.ix_(free, free)], force[free])
    return float(moved[where])
