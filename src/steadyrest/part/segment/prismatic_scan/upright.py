"""What stands upright about a direction: a scan's points seen along it, as the walls of holes and slots are seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.solve import across
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

UPRIGHT, INWARD = 0.35, 0.8  # of a normal along the direction; of it towards the line of a hole
ROUNDED_MM, LEAST_INNER = 0.5, 0.7  # edges are rounded so far; share of a wall that is measured at least


@dataclass(frozen=True, slots=True)
class Upright:
    """The upright points of a scan about one direction.

    some: (n,) indices. x, y: (n,) place across, mm. z: (n,) along. nx, ny: (n,) normals across.
    """

    some: IntArray
    x: FloatArray
    y: FloatArray
    z: FloatArray
    nx: FloatArray
    ny: FloatArray

    def about(self, x: float, y: float, inner_mm: float, outer_mm: float) -> BoolArray:
        """(n,) points so far from a line that look towards it."""
        dx, dy = self.x - x, self.y - y
        rho = np.hypot(dx, dy)
        inward = -(self.nx * dx + self.ny * dy)
        return (rho > inner_mm) & (rho < outer_mm) & (inward > INWARD * rho)


def upright_of(skin: Skin, seen: BoolArray, axis: FloatArray) -> Upright:
    """The upright points about a direction that were seen.

    Args:
        skin: the mesh made ready. seen: (n,). axis: (3,) unit.
    Returns: they, places by `fit.solve.across`.
    """
    u, v = across(axis)
    some = np.flatnonzero(seen & (np.abs(skin.normals @ axis) < UPRIGHT))
    p, n = skin.points[some], skin.normals[some]
    return Upright(some, p @ u, p @ v, p @ axis, n @ u, n @ v)


def inner_part(z: FloatArray) -> tuple[float, float]:
    """From where to where a wall is measured: its ends run into rounded edges.

    Args:
        z: (n,) places of the wall's points along its direction, mm.
    Returns: low and high, mm.
    """
    low, high = (float(t) for t in np.quantile(z, (0.01, 0.99)))
    edge = min(ROUNDED_MM, (1 - LEAST_INNER) / 2 * (high - low))
    return low + edge, high - edge


def sectors(x: FloatArray, y: FloatArray) -> int:
    """How many of 16 sectors round a line hold a point."""
    return len(np.unique(((np.arctan2(y, x) / (2 * np.pi) + 0.5) * 16).astype(np.int64) % 16))
