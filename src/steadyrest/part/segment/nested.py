"""Hollow cylinders inside hollow cylinders: where a bore was half seen, what closes it looks like a smaller one.

Material lies outside of a bore's wall, none inside. So a second wall about the same line, over the same length but
smaller, is nothing that could have been made: it is the skin that a scanner's program stretched from the rim.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found

FloatArray = npt.NDArray[np.float64]

ALIKE = 0.9  # cosine between the lines of two walls that can be one hole's
BESIDE = 0.5  # of the larger radius: how far apart their lines may run
SHARED = 0.3  # of the smaller's length that lies beside the larger


def without_nested(found: Sequence[Found], walls: Sequence[Found], points: FloatArray) -> list[Found]:
    """The finds without hollow cylinders and cones that lie inside a larger hollow one.

    Args:
        found: what to look through. walls: more hollow surfaces that may lie around them. points: (n, 3), of the scan.
    Returns: the finds left, in their order.
    """
    hollow = [
        f for f in (*walls, *found) if f.inside and isinstance(f.surface, Turned) and f.surface.half_angle_rad == 0
    ]
    return [f for f in found if not any(_inside_of(f, wall, points) for wall in hollow)]


def _inside_of(small: Found, large: Found, points: FloatArray) -> bool:
    one, other = small.surface, large.surface
    if small is large or not small.inside or not isinstance(one, Turned) or not isinstance(other, Turned):
        return False
    if one.radius_mm >= 0.97 * other.radius_mm or abs(one.axis @ other.axis) < ALIKE:
        return False
    if len(small.members) > len(large.members):
        return False
    if np.linalg.norm(np.cross(one.point - other.point, other.axis)) > BESIDE * other.radius_mm:
        return False
    a, b = ((points[f.members] - other.point) @ other.axis for f in (small, large))
    (a_low, a_high), (b_low, b_high) = np.quantile(a, (0.05, 0.95)), np.quantile(b, (0.05, 0.95))
    return bool(min(a_high, b_high) - max(a_low, b_low) > SHARED * (a_high - a_low))
