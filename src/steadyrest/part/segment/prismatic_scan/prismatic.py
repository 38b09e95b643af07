"""A scan that is not turned: planes, bores, cones and balls anywhere; then what stands beside them, in that order."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan import regions
from steadyrest.part.segment.prismatic_scan.beside import cones_beside, cones_on_lines
from steadyrest.part.segment.prismatic_scan.corners import corners_beside
from steadyrest.part.segment.prismatic_scan.drilled import drilled
from steadyrest.part.segment.prismatic_scan.hubs import hubs_on
from steadyrest.part.segment.prismatic_scan.milled import milled
from steadyrest.part.segment.prismatic_scan.nested import without_nested
from steadyrest.part.segment.prismatic_scan.pieced import pieced
from steadyrest.part.segment.prismatic_scan.reunited import reunited
from steadyrest.part.segment.prismatic_scan.settled import settled
from steadyrest.part.segment.prismatic_scan.tangent import made_tangent
from steadyrest.part.segment.prismatic_scan.worn_rounds import worn_rounds
from steadyrest.part.segment.skin import Skin


def surfaces_of(skin: Skin, free: npt.NDArray[np.bool_], *, noise_mm: float) -> list[Found]:
    """Every surface of a scan without an axis of its own; the points found are no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that were seen. noise_mm: of one point, 1 sigma.
    Returns: finds.
    """
    limits = regions.limits_of(skin, noise_mm)
    seen = free.copy()
    found = regions.surfaces(skin, free, ("plane", "cylinder", "cone", "sphere"), limits=limits)
    found += worn_rounds(skin, free, limits=limits)
    found = settled(skin, pieced(skin, reunited(skin, found, limits=limits)), limits=limits)
    found = milled(skin, seen, drilled(skin, seen, found, limits=limits), limits=limits)
    for f in found:
        free[f.members] = False
    found += hubs_on(skin, free, found, limits=limits)
    found = cones_on_lines(skin, free, found, limits=limits)
    found += cones_beside(skin, free, found, limits=limits)
    found = without_nested(found, (), skin.points)
    return made_tangent(skin, found + corners_beside(skin, free, found, limits=limits), limits=limits)
