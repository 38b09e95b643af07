"""Whether a supposed plane is one: a strip of a round rises in its middle, and drift bends a large face a little."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

CORE = 0.72  # of a plane's reach either way: there no round beside it bends it
BULGE = 2.5  # of the noise: a plane that rises more in its middle is a strip of something round
SOFT_BULGE = 1.7
# Of the part's size: what bends to a larger radius is no strip of a round, for nobody makes such a round.
NO_ROUND = 8.0


def bulge_of(points: FloatArray) -> float:
    """How far points of a supposed plane rise from its rims to its middle, either way across: a strip of a cylinder's.

    Args:
        points: (n, 3) along, across and off the plane, about their middle.
    Returns: mm, the larger of both.
    """
    x, y = (points[:, k] / max(float(np.quantile(np.abs(points[:, k]), 0.98)), 1e-12) for k in (0, 1))
    left = np.stack((np.ones_like(x), x, y, x * x, x * y, y * y), axis=1)
    bent = np.linalg.lstsq(left, points[:, 2], rcond=None)[0]
    return float(max(abs(bent[3]), abs(bent[5])))


def bend_radius_of(points: FloatArray) -> float:
    """The least radius to which a supposed plane bends, either way across: a scan's drift bends a large face a little.

    Args:
        points: (n, 3) along, across and off the plane, about their middle.
    Returns: mm.
    """
    reach = np.maximum(np.quantile(np.abs(points[:, :2]), 0.98, axis=0), 1e-12)
    x, y = points[:, 0] / reach[0], points[:, 1] / reach[1]
    left = np.stack((np.ones_like(x), x, y, x * x, x * y, y * y), axis=1)
    bent = np.linalg.lstsq(left, points[:, 2], rcond=None)[0]
    return float(np.min(np.square(reach) / (2 * np.maximum(np.abs(bent[[3, 5]]), 1e-12))))


def core_bulge_of(points: FloatArray) -> float:
    """The bulge that a supposed plane's middle part would have if it went on to its rims.

    Args:
        points: (n, 3) along, across and off the plane, about their middle.
    Returns: mm; infinite where too little is left.
    """
    x, y = (np.abs(points[:, k]) / max(float(np.quantile(np.abs(points[:, k]), 0.98)), 1e-12) for k in (0, 1))
    core = points[(x < CORE) & (y < CORE)]
    return bulge_of(core) / CORE**2 if len(core) >= 60 else np.inf
