"""Do two closed surfaces of one file run into each other?

Told by the winding number: how often a surface wraps round a point, 1 inside and 0 outside. A surface that lies wholly
within another is a hollow and no fault. A single surface that folds through itself is not looked for here: where it
crosses along shared edges, the edges are already counted as crooked.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int32]

MOST_SHELLS = 40
MOST_POINTS = 120
MOST_TRIANGLES = 20_000


def crossing_pairs(points: FloatArray, corners: IndexArray, shell: IndexArray, shells: int) -> int:
    """How many pairs of shells run into each other.

    Args:
        points: (n, 3) corners' places.
        corners: (m, 3) triangles.
        shell: (m,) which shell each triangle belongs to.
        shells: how many there are; more than MOST_SHELLS are not compared.
    Returns: pairs of which one has places both inside and outside of the other.
    """
    if not 1 < shells <= MOST_SHELLS:
        return 0
    parts = [corners[shell == k] for k in range(shells)]
    low = np.array([points[part].reshape(-1, 3).min(axis=0) for part in parts])
    high = np.array([points[part].reshape(-1, 3).max(axis=0) for part in parts])
    found = 0
    for a in range(shells):
        for b in range(a + 1, shells):
            apart = (low[a] > high[b]).any() or (low[b] > high[a]).any()
            if not apart and (_runs_through(points, parts[a], parts[b]) or _runs_through(points, parts[b], parts[a])):
                found += 1
    return found


def _runs_through(points: FloatArray, one: IndexArray, other: IndexArray) -> bool:
    """Whether places on `one` lie both inside and outside of `other`."""
    if len(other) > MOST_TRIANGLES:
        return False
    places = np.vstack([points[one].mean(axis=1), points[np.unique(one)]])
    places = places[np.linspace(0, len(places) - 1, min(MOST_POINTS, len(places))).astype(np.int64)]
    wound = np.abs([winding(place, points[other]) for place in places])
    return bool((wound > 0.75).any() and (wound < 0.25).any())


def winding(place: FloatArray, triangles: FloatArray) -> float:
    """How often a closed surface wraps round a place.

    Args:
        place: (3,).
        triangles: (m, 3, 3) corners.
    Returns: 1 inside of a surface that faces outward, 0 outside.
    Source: solid angle of a triangle, Van Oosterom and Strackee 1983.
    """
    to = triangles - place
    length = np.linalg.norm(to, axis=2)
    a, b, c = to[:, 0], to[:, 1], to[:, 2]
    la, lb, lc = length.T
    triple = np.einsum("ij,ij->i", a, np.cross(b, c))
    below = (
        la * lb * lc
        + np.einsum("ij,ij->i", a, b) * lc
        + np.einsum("ij,ij->i", b, c) * la
        + np.einsum("ij,ij->i", c, a) * lb
    )
    return float(np.arctan2(triple, below).sum() / (2 * math.pi))
