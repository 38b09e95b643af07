"""Whether a cell that no side sees is open at a slant, and how far from the nearest side that is."""

from __future__ import annotations

import math

import numpy as np

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
    whole = range(-STEPS, STEPS + 1)
    ways = np.array([(x, y, z) for x in whole for y in whole for z in whole if math.gcd(x, y, z) == 1], dtype=float)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    lean = np.arccos(np.clip(np.abs(ways).max(axis=1), 0.0, 1.0))
    shape = np.array(finished.shape)
    far = np.arange(1, math.ceil(float(np.linalg.norm(shape)) / STRIDE)) * STRIDE
    start = np.array(cell) + 0.5
    for k in np.argsort(lean, kind="stable"):
        points = np.floor(start + far[:, None] * ways[k]).astype(int)
        inside = ((points >= 0) & (points < shape)).all(axis=1)
        x, y, z = points[inside].T
        if not finished[x, y, z].any():
            axis = int(np.abs(ways[k]).argmax())
            side = 2 * axis + (0 if ways[k][axis] > 0 else 1)
            assert 0 <= side < SIDES, "a side is one of six"
            return side, float(lean[k])
    return None
