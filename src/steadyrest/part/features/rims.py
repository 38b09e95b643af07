"""What the walls of a hollow stand on and end at: its floor, its mouth, its width between facing walls."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.part.features.block import Block
from steadyrest.part.features.frame import Vec3, dot, minus
from steadyrest.part.patch import Patch

ALONG = 0.97


def floors_at(block: Block, walls: Sequence[Patch], axis: Vec3) -> list[Patch]:
    """Planes square to the walls' direction that they meet in an inner corner, the largest meeting first."""
    lengths: dict[int, float] = {}
    floors: dict[int, Patch] = {}
    for wall in walls:
        for joint, patch in block.joints_at(wall):
            if joint.kind == "concave" and patch.kind == "plane" and abs(dot(patch.axis, axis)) > ALONG:
                floors[patch.id] = patch
                lengths[patch.id] = lengths.get(patch.id, 0.0) + joint.length_mm
    return sorted(floors.values(), key=lambda p: (-lengths[p.id], p.id))


def depth_of(block: Block, floor: Patch, walls: Sequence[Patch]) -> float | None:
    """From a floor to the lowest face over it at which its walls end, or None where no such face meets them."""
    tops = [
        height
        for wall in walls
        for joint, patch in block.joints_at(wall)
        if joint.kind == "convex" and patch.kind == "plane" and dot(patch.axis, floor.axis) > ALONG
        if (height := height_over(floor, patch)) > 1e-6
    ]
    return min(tops, default=None)


def height_over(floor: Patch, plane: Patch) -> float:
    """How high a plane stands over the middle of a floor."""
    return dot(minus(plane.point, floor.point), plane.axis) / dot(floor.axis, plane.axis)


def widths_between(walls: Sequence[Patch]) -> list[float]:
    """Distances between plane walls that face each other, each pair once, smallest first."""
    planes = [w for w in walls if w.kind == "plane"]
    return sorted(
        apart
        for i, a in enumerate(planes)
        for b in planes[i + 1 :]
        if dot(a.axis, b.axis) < -ALONG and (apart := dot(minus(b.point, a.point), a.axis)) > 0
    )
