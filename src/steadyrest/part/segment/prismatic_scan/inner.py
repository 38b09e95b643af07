"""Planes placed by their inner points: at its border a scanned wall is rounded over its edge and into its corner."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from steadyrest.part.fit import flat
from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.solve import tukey
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.skin import Skin

LEAST_INNER = 24  # points that must be left to place a plane by them
LEAST_SHARE = 0.25  # of all of its points
TILT = 0.985  # cosine within which the inner points must agree with the whole


def placed_inside(skin: Skin, found: Found, *, limits: Limits) -> Found:
    """A plane refitted by the points whose neighbours all belong to it; others as they are.

    Args:
        skin: the mesh made ready. found: a find of a scan. limits: what counts.
    Returns: the find, its points as they were.
    """
    if not isinstance(found.surface, Plane):
        return found
    belongs = np.zeros(len(skin.points), dtype=np.bool_)
    belongs[found.members] = True
    counts = skin.start[found.members + 1] - skin.start[found.members]
    near = np.concatenate([skin.near[skin.start[k] : skin.start[k + 1]] for k in found.members])
    beside = np.repeat(np.arange(len(found.members)), counts)
    inside = np.bincount(beside[~belongs[near]], minlength=len(found.members)) == 0
    inner = found.members[inside]
    if len(inner) < max(LEAST_INNER, LEAST_SHARE * len(found.members)):
        return found
    points = skin.points[inner]
    plane = flat.plane(points, tukey(found.surface.distances(points), 6 * limits.noise_mm + 1e-9))
    normal = plane.normal if plane.normal @ found.surface.normal > 0 else -plane.normal
    if normal @ found.surface.normal < TILT:
        normal = found.surface.normal  # too narrow now to tell its own tilt
    return replace(found, surface=Plane(plane.point, normal))
