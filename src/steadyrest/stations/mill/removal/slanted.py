"""Whether a cell that no side sees is open at a slant, and how far from the nearest side that is."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.shop.part import Vec3
from steadyrest.stations.mill.removal.cells import SIDES, BoolArray

STEPS = 4  # directions tried: whole steps up to so many along each axis
STRIDE = 0.6  # of a cell, along a look


def open_at_a_slant(finished: BoolArray, cell: tuple[int, int, int]) -> tuple[int, float] | None:
    """The direction from which a cell is seen that leans least from a side.

    Args:
        finished: (nx, ny, nz) cells of the part.
        cell: that must be emptied.
    Returns: (side, angle from it in rad); None where nothing sees it.
    """
    way = way_open(finished, cell)
    if way is None:
        return None
    axis = max(range(3), key=lambda k: abs(way[k]))
    side = 2 * axis + (0 if way[axis] > 0 else 1)
    assert 0 <= side < SIDES, "a side is one of six"
    return side, math.acos(min(abs(way[axis]), 1.0))


def sees(finished: BoolArray, cell: tuple[int, int, int], way: Vec3) -> bool:
    """Whether nothing of the part stands between a cell and the outside in a direction.

    Args:
        finished: (nx, ny, nz) cells of the part.
        cell: that must be emptied.
        way: unit vector along the cells' own three directions.
    Returns: whether it is open that way.
    """
    far = np.arange(1, math.ceil(math.hypot(*finished.shape) / STRIDE)) * STRIDE
    points = np.floor(np.array(cell) + 0.5 + far[:, None] * np.array(way)).astype(int)
    inside = ((points >= 0) & (points < np.array(finished.shape))).all(axis=1)
    x, y, z = points[inside].T
    return not finished[x, y, z].any()


def way_open(finished: BoolArray, cell: tuple[int, int, int]) -> Vec3 | None:
    """The direction that leans least from a side of those that a cell is open in.

    Args:
        finished: (nx, ny, nz) cells of the part.
        cell: that must be emptied.
    Returns: unit vector along the cells' own three directions; None where nothing sees it.
    """
    whole = range(-STEPS, STEPS + 1)
    ways = np.array([(x, y, z) for x in whole for y in whole for z in whole if math.gcd(x, y, z) == 1], dtype=float)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    lean = np.arccos(np.clip(np.abs(ways).max(axis=1), 0.0, 1.0))
    for k in np.argsort(lean, kind="stable"):
        x, y, z = (float(one) for one in ways[k])
        if sees(finished, cell, (x, y, z)):
            return x, y, z
    return None
