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

KNOWN = 40  # points from which a hollow cylinder counts as a wall
FEW = 2.0  # times as many points a wall must have as what lies in its void
SAME_LINE = 0.99  # cosine
VOID = 0.93  # of the radius: what lies nearer to the line is in the void
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
    left = [f for f in found if not any(_inside_of(f, wall, points) for wall in hollow)]
    known = [f for f in hollow if len(f.members) >= KNOWN]
    return [f for f in left if not any(_in_the_void_of(f, wall, known, points) for wall in known)]


def _in_the_void_of(small: Found, wall: Found, known: Sequence[Found], points: FloatArray) -> bool:
    """Whether a find of few points lies within a hole of which wall was seen on both sides of it along the line."""
    other = wall.surface
    if not small.inside or len(small.members) > len(wall.members) / FEW or not isinstance(other, Turned):
        return False
    if not isinstance(small.surface, Turned):
        return False
    spans = [
        np.quantile((points[f.members] - other.point) @ other.axis, (0.02, 0.98))
        for f in known
        if isinstance(f.surface, Turned)
        and abs(f.surface.radius_mm - other.radius_mm) < 0.05 * other.radius_mm
        and abs(float(f.surface.axis @ other.axis)) > SAME_LINE
        and float(np.linalg.norm(np.cross(f.surface.point - other.point, other.axis))) < 0.1 * other.radius_mm
    ]
    q = points[small.members] - other.point
    along = q @ other.axis
    away = np.linalg.norm(q - np.outer(along, other.axis), axis=1)
    middle = float(np.median(along))
    between = min(low for low, _ in spans) < middle < max(high for _, high in spans)
    return between and float(np.median(away)) < VOID * other.radius_mm


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
