"""Finds on a scan that are pieces of one cylinder: a first piece a little askew leaves the rest to be found again."""

from __future__ import annotations

import numpy as np

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import spread, tukey
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.skin import Skin

ALIKE = 0.05  # of the radius, between pieces that may be one
ASKEW_RAD = 0.06
DEAREST = 4000  # points that a fit looks at


def reunited(skin: Skin, found: list[Found], *, limits: Limits) -> list[Found]:
    """The finds with pieces of one cylinder put together, where one fit serves both as well.

    Args:
        skin: the mesh made ready. found: finds of one scan. limits: what counts.
    Returns: finds, in the same order.
    """
    out: list[Found] = []
    for one in found:
        for k, other in enumerate(out):
            both = as_one(skin, other, one, limits=limits)
            if both is not None:
                out[k] = both
                break
        else:
            out.append(one)
    return out


def as_one(skin: Skin, a: Found, b: Found, *, limits: Limits) -> Found | None:
    """Two finds as one cylinder, or None."""
    one, other = a.surface, b.surface
    if not isinstance(one, Turned) or not isinstance(other, Turned) or a.inside != b.inside:
        return None
    if one.half_angle_rad or other.half_angle_rad or abs(one.radius_mm - other.radius_mm) > ALIKE * one.radius_mm:
        return None
    if float(np.linalg.norm(np.cross(one.axis, other.axis))) > ASKEW_RAD:
        return None
    if float(np.linalg.norm(np.cross(other.point - one.point, one.axis))) > ALIKE * one.radius_mm:
        return None
    along = [np.sort((skin.points[f.members] - one.point) @ one.axis)[[0, -1]] for f in (a, b)]
    if max(along[0][0], along[1][0]) > min(along[0][1], along[1][1]) + skin.spacing_mm:
        return None  # one behind the other: two seats may be alike
    members = np.union1d(a.members, b.members)
    points = skin.points[members]
    some = points[:: max(1, len(points) // DEAREST)]
    fitted = rounds.cylinder(some, one, tukey(one.distances(some), 12 * limits.noise_mm + 1e-9), rounds=15)
    off = fitted.distances(points)
    sound = spread(off) < 1.5 * limits.noise_mm and float(np.mean(np.abs(off) < limits.reach_mm)) > 0.95
    return Found(fitted, members, a.inside) if sound else None
