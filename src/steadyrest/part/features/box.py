"""The box of a part that is not turned, in its own directions."""

from __future__ import annotations

import numpy as np

from steadyrest.part.features.frame import Points, Vec3, angle_between_lines, as_drawn, cross, dot, plus, unit
from steadyrest.part.patch import Patch, PatchGraph

SQUARE_RAD = 0.02
FACING = 0.9995


def directions(graph: PatchGraph) -> tuple[Vec3, Vec3, Vec3]:
    """Three directions square to each other: of the most plane area, then of the most that is square to that.

    Args:
        graph: all patches.
    Returns: unit vectors; the file's own axes where there are no planes.
    """
    planes = [p for p in graph.patches if p.kind == "plane"]
    first = heaviest(planes)
    if first is None:
        return (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
    across = [p for p in planes if abs(dot(p.axis, first)) < SQUARE_RAD]
    second = heaviest(across)
    if second is None:
        second = next(d for d in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)) if abs(dot(d, first)) < 0.8)
    second = unit(plus(second, first, -dot(second, first)))
    return first, second, cross(first, second)


def heaviest(planes: list[Patch]) -> Vec3 | None:
    """The direction with the most plane area."""
    totals: list[tuple[float, Vec3]] = []
    for plane in sorted(planes, key=lambda p: (-p.area_mm2, p.id)):
        for i, (area, axis) in enumerate(totals):
            if angle_between_lines(axis, plane.axis) < SQUARE_RAD:
                totals[i] = (area + plane.area_mm2, axis)
                break
        else:
            totals.append((plane.area_mm2, as_drawn(plane.axis)))
    return max(totals, key=lambda t: t[0])[1] if totals else None


def reach_mm(graph: PatchGraph, points: Points, axis: Vec3) -> float:
    """How far a part reaches along a direction: between its outermost faces, a scan's noise and ragged edges apart."""
    along = points @ np.array(axis)
    ends = [-float(along.min()), float(along.max())]
    if graph.noise_mm > 0:
        for which, sense in enumerate((-1, 1)):
            outermost = float(np.quantile(sense * along, 0.999))
            near = [
                sense * dot(plane.point, axis)
                for plane in graph.patches
                if plane.kind == "plane"
                and sense * dot(plane.axis, axis) > FACING
                and abs(sense * dot(plane.point, axis) - outermost) < 6 * graph.noise_mm + 0.2
            ]
            ends[which] = max(near, default=outermost)
    return ends[0] + ends[1]


def size_of(graph: PatchGraph, axes: tuple[Vec3, Vec3, Vec3]) -> Vec3:
    """The box along three directions, largest first; exact where they are the file's own axes."""
    low, high = graph.box_mm
    if all(max(abs(c) for c in axis) > 1 - 1e-9 for axis in axes):
        sizes = sorted((h - b for b, h in zip(low, high, strict=True)), reverse=True)
    else:
        points = [p.points for p in graph.patches if p.points is not None and len(p.points)]
        if not points:
            sizes = sorted((h - b for b, h in zip(low, high, strict=True)), reverse=True)
        else:
            every = np.vstack(points)
            sizes = sorted((reach_mm(graph, every, axis) for axis in axes), reverse=True)
    return sizes[0], sizes[1], sizes[2]
