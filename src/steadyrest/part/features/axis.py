"""The axis that most of the turned surface shares."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.frame import angle_between_lines, as_drawn, line_distance
from steadyrest.part.patch import Patch
from steadyrest.shop.part import Vec3

FloatArray = npt.NDArray[np.float64]
TURNED = ("cylinder", "cone", "torus")


def common_axis(patches: Sequence[Patch], *, angle_rad: float, distance_mm: float) -> tuple[Vec3, Vec3] | None:
    """The axis with the most surface of revolution about it; of two alike, the one with the larger radius.

    Args:
        patches: of one body.
        angle_rad, distance_mm: how far two patches' axes may differ and still be one.
    Returns: a point and a unit direction, or None without a surface of revolution.
    """
    candidates = [patch for patch in patches if patch.kind in TURNED]
    if not candidates:
        return None
    points = np.array([patch.point for patch in candidates])
    axes = np.array([patch.axis for patch in candidates])
    axes = axes / np.linalg.norm(axes, axis=1, keepdims=True)
    best: tuple[float, float, Patch] | None = None
    taken: set[int] = set()
    for patch in sorted(candidates, key=lambda p: -p.area_mm2):
        if patch.id in taken:
            continue
        direction = np.array(patch.axis) / np.linalg.norm(patch.axis)
        off = sideways(points - np.array(patch.point), direction)
        tilt = np.arcsin(np.minimum(sideways(axes, direction), 1.0))
        same = [candidates[k] for k in np.flatnonzero((off <= distance_mm) & (tilt <= angle_rad))]
        taken.update(p.id for p in same)
        area = sum(p.area_mm2 for p in same)
        widest = max(reach_mm(p) for p in same)
        # Within a tenth the areas count as alike: a flange's bolt circle must not beat its hub by a hair.
        if best is None or area > 1.1 * best[0] or (area > 0.9 * best[0] and widest > best[1]):
            best = (area, widest, patch)
    return None if best is None else (best[2].point, as_drawn(best[2].axis))


def sideways(vectors: FloatArray, direction: FloatArray) -> FloatArray:
    """(n,) how long vectors (n, 3) are square to a direction."""
    square = vectors - np.outer(vectors @ direction, direction)
    return np.sqrt((square * square).sum(axis=1))


def coaxial(patch: Patch, point: Vec3, axis: Vec3, *, angle_rad: float, distance_mm: float) -> bool:
    """Whether a patch turns about an axis."""
    if patch.kind == "sphere":
        return line_distance(patch.point, point, axis) <= distance_mm
    return (
        patch.kind in TURNED
        and angle_between_lines(patch.axis, axis) <= angle_rad
        and line_distance(patch.point, point, axis) <= distance_mm
    )


def across(patch: Patch, axis: Vec3, *, angle_rad: float) -> bool:
    """Whether a patch is a plane square to an axis."""
    return patch.kind == "plane" and angle_between_lines(patch.axis, axis) <= angle_rad


def reach_mm(patch: Patch) -> float:
    """The largest radius of a patch of revolution."""
    if patch.kind == "cone":
        return max(abs(end) for end in patch.along_mm) * math.tan(patch.half_angle_rad)
    return patch.radius_mm + patch.minor_mm


def turned_share(patches: Sequence[Patch], axis: tuple[Vec3, Vec3], *, angle_rad: float, distance_mm: float) -> float:
    """Share of the area that turns about an axis or lies square to it."""
    total = sum(patch.area_mm2 for patch in patches)
    turned = sum(
        patch.area_mm2
        for patch in patches
        if across(patch, axis[1], angle_rad=angle_rad)
        or coaxial(patch, axis[0], axis[1], angle_rad=angle_rad, distance_mm=distance_mm)
    )
    return turned / total if total > 0 else 0.0
