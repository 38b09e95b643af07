"""A part's simple surfaces, each with the points at which it ends: what is kept of the patches once they are named."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np

from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.shop.part import Surface, Vec3

WAYS = np.array([way for way in product((-1.0, 0.0, 1.0), repeat=3) if any(way)])


def surfaces_of(graph: PatchGraph, whose: Mapping[int, str]) -> tuple[Surface, ...]:
    """The planes, cylinders and cones of a part.

    Args:
        graph: all patches, with their points.
        whose: the feature that explains a patch, by the patch's id.
    Returns: surfaces in the patches' order; one without points is left out.
    """
    found = (surface_of(patch, whose.get(patch.id)) for patch in graph.patches)
    return tuple(surface for surface in found if surface is not None)


def surface_of(patch: Patch, feature: str | None) -> Surface | None:
    """One patch as a surface, or None for what is not one of the three kinds."""
    if patch.kind not in ("plane", "cylinder", "cone") or patch.points is None or not len(patch.points):
        return None
    ends = np.unique(np.argmax(patch.points @ WAYS.T, axis=0))
    return Surface(
        kind=patch.kind,
        point_mm=patch.point,
        axis=patch.axis,
        radius_mm=patch.radius_mm,
        half_angle_rad=patch.half_angle_rad,
        inside=patch.inside,
        arc_rad=patch.arc_rad,
        area_mm2=patch.area_mm2,
        reach_mm=tuple(as_vec(point) for point in patch.points[ends]),
        feature=feature,
    )


def as_vec(point: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Vec3:
    x, y, z = (float(c) for c in point)
    return x, y, z
