"""What the walls of a hollow stand on and end at: its floor, its mouth, its width between facing walls."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.part.features.block import Block
from steadyrest.part.features.frame import Vec3, dot, minus, norm, plus, unit
from steadyrest.part.patch import Patch

ALONG = 0.97
ONE_PLANE_MM = 0.15  # between pieces of one wall; a scan's noise and drift stay under it


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
    """Distances between sides that face each other, smallest first; walls in one plane are one side.

    Args:
        walls: of one hollow, each once or more; round ones have no say.
    Returns: one distance for each pair of sides, between the middles of their areas.
    """
    sides = sides_of(walls)
    return sorted(
        apart
        for i, a in enumerate(sides)
        for b in sides[i + 1 :]
        if dot(a[0].axis, b[0].axis) < -ALONG and (apart := apart_mm(a, b)) > 0
    )


def spans_of(walls: Sequence[Patch], *, facing: bool = True) -> list[float]:
    """The widest distance in each direction between sides that face each other, or that face away; smallest first.

    Within a pocket stand islands: between its own walls it is widest.

    Args:
        walls: of one hollow or one plateau; round ones have no say. facing: False for those that face away.
    Returns: one distance for each direction.
    """
    sides = sides_of(walls)
    spans: list[tuple[Vec3, float]] = []
    for i, a in enumerate(sides):
        for b in sides[i + 1 :]:
            if dot(a[0].axis, b[0].axis) > -ALONG:
                continue
            apart = apart_mm(a, b) * (1.0 if facing else -1.0)
            if apart <= 0:
                continue
            k = next((k for k, (way, _) in enumerate(spans) if abs(dot(way, a[0].axis)) > ALONG), None)
            if k is None:
                spans.append((a[0].axis, apart))
            else:
                spans[k] = (spans[k][0], max(spans[k][1], apart))
    return sorted(apart for _, apart in spans)


def sides_of(walls: Sequence[Patch]) -> list[list[Patch]]:
    """Plane walls, those that lie in one plane together, the largest first in each side."""
    sides: list[list[Patch]] = []
    for wall in sorted({w.id: w for w in walls if w.kind == "plane"}.values(), key=lambda w: (-w.area_mm2, w.id)):
        home = next((side for side in sides if in_one_plane(side[0], wall)), None)
        if home is None:
            sides.append([wall])
        else:
            home.append(wall)
    return sides


def in_one_plane(a: Patch, b: Patch) -> bool:
    """Whether two walls are pieces of one side: they look the same way and stand in one plane."""
    offset = minus(b.point, a.point)
    off = abs(dot(offset, a.axis) + dot(offset, b.axis)) / 2  # either's own tilt has half a say
    return dot(a.axis, b.axis) > ALONG and off < ONE_PLANE_MM + 0.005 * norm(offset)


def apart_mm(a: Sequence[Patch], b: Sequence[Patch]) -> float:
    """How far apart two sides stand that face each other, along the direction that both have on average."""
    way = unit(plus(a[0].axis, b[0].axis, -1.0))

    def place(side: Sequence[Patch]) -> float:
        return sum(p.area_mm2 * dot(p.point, way) for p in side) / sum(p.area_mm2 for p in side)

    return place(b) - place(a)
