"""Equal parallel holes in straight rows: a row of three and more, a grid of two rows and more."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.holes import Hole, alike
from steadyrest.part.features.turned import Slack
from steadyrest.shop.part import Pattern

FloatArray = npt.NDArray[np.float64]

MOST_HOLES = 120
LEAST_ROW, LEAST_GRID = 3, 6  # fewer: any two holes make a row, any rectangle's corners a grid
FILLED = 0.99  # share of a grid's places that must hold a hole


@dataclass(frozen=True, slots=True)
class Lattice:
    """Holes in rows and columns: which, and how many of each."""

    which: tuple[int, ...]
    rows: int
    columns: int


def grids(holes: Sequence[tuple[str, Hole]], slack: Slack) -> tuple[Pattern, ...]:
    """Grids, then rows, of equal holes that no other pattern has.

    Args:
        holes: features' ids and holes that are free to belong. slack: how exactly they are known.
    Returns: patterns without a diameter, P1, P2, ...
    """
    found: list[tuple[str, tuple[str, ...]]] = []
    for group in alike(holes, slack):
        if len(group) > MOST_HOLES:
            continue
        left = list(group)
        while True:
            lattice = best_lattice(across_axis([hole for _, hole in left]), slack.distance_mm + 0.01)
            if lattice is None:
                break
            names = tuple(sorted((left[k][0] for k in lattice.which), key=lambda name: int(name[1:])))
            found.append(("grid" if lattice.rows > 1 else "row", names))
            left = [one for k, one in enumerate(left) if k not in lattice.which]
    found.sort(key=lambda f: (-len(f[1]), f[1]))
    return tuple(Pattern(f"P{i}", kind, len(names), None, names) for i, (kind, names) in enumerate(found, 1))


def across_axis(holes: Sequence[Hole]) -> FloatArray:
    """(n, 2) places of parallel holes across their axis."""
    if not holes:
        return np.empty((0, 2))
    axis = np.array(holes[0].main.axis)
    u = np.cross(axis, (1.0, 0.0, 0.0) if abs(axis[0]) < 0.7 else (0.0, 1.0, 0.0))
    u /= np.linalg.norm(u)
    at = np.array([hole.at_mm for hole in holes])
    return np.stack((at @ u, at @ np.cross(axis, u)), axis=1)


def best_lattice(at: FloatArray, allowed_mm: float) -> Lattice | None:
    """The grid or row with the most holes."""
    best: Lattice | None = None
    ways: dict[float, tuple[float, float]] = {}
    for a, b in combinations(range(len(at)), 2):
        dx, dy = (float(v) for v in at[b] - at[a])
        turn, far = math.atan2(dy, dx) % (math.pi / 2), math.hypot(dx, dy)
        key = round(turn, 2)
        ways[key] = max(ways.get(key, (0.0, turn)), (far, turn))  # holes far apart tell a direction best
    for _, turn in sorted(ways.values(), key=lambda way: way[1])[:MOST_HOLES]:
        for lattice in lattices_along(at, turn, allowed_mm):
            if best is None or len(lattice.which) > len(best.which):
                best = lattice
    return best


def lattices_along(at: FloatArray, turn: float, allowed_mm: float) -> list[Lattice]:
    """A grid of all, and rows, along one direction and square to it."""
    c, s = np.cos(turn), np.sin(turn)
    flat = at @ np.array([[c, -s], [s, c]])
    out: list[Lattice] = []
    x, y = levels(flat[:, 0], allowed_mm), levels(flat[:, 1], allowed_mm)
    columns, rows = int(x.max()) + 1, int(y.max()) + 1
    full = len({(i, j) for i, j in zip(x.tolist(), y.tolist(), strict=True)})
    if min(rows, columns) > 1 and len(at) >= LEAST_GRID and full == len(at) >= FILLED * rows * columns:
        stepped = all(
            even([float(flat[which == k, side].mean()) for k in range(int(which.max()) + 1)], allowed_mm)
            for side, which in ((0, x), (1, y))
        )
        if stepped:
            out.append(Lattice(tuple(range(len(at))), rows, columns))
    for which, side in ((x, 1), (y, 0)):
        for k in np.flatnonzero(np.bincount(which) >= LEAST_ROW):
            on = np.flatnonzero(which == k)
            if even(np.sort(flat[on, side]).tolist(), allowed_mm):
                out.append(Lattice(tuple(int(i) for i in on), 1, len(on)))
    return out


def levels(values: FloatArray, allowed: float) -> npt.NDArray[np.int64]:
    """The number of the level on which each value lies, lowest first."""
    order = np.argsort(values, kind="stable")
    step = np.diff(values[order], prepend=values[order[0]]) > allowed
    out = np.empty(len(values), dtype=np.int64)
    out[order] = np.cumsum(step)
    return out


def even(places: Sequence[float], allowed: float) -> bool:
    """Whether places follow one another at one step."""
    steps = np.diff(np.array(places))
    return len(steps) == 0 or bool(np.ptp(steps) <= 2 * allowed)
