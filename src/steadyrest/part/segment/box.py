"""Arrays as plain tuples, for values that leave this room."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.shop.part import Vec3


def vec(array: npt.NDArray[np.float64]) -> Vec3:
    """A (3,) array as three floats."""
    return (float(array[0]), float(array[1]), float(array[2]))


def corners(points: npt.NDArray[np.float64]) -> tuple[Vec3, Vec3]:
    """Low and high corner of the box around (n, 3) points."""
    return vec(points.min(axis=0)), vec(points.max(axis=0))
