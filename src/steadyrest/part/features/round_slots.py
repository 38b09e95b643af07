"""Slots with round ends, through or with a floor, in a part that is not turned."""

from __future__ import annotations

import math

from steadyrest.part.features.block import Block, Found
from steadyrest.part.features.draft import Draft, exact, feature_of
from steadyrest.part.features.frame import Vec3, angle_between_lines, dot, minus, norm, plus
from steadyrest.part.features.rims import depth_of, floors_at
from steadyrest.part.features.turned import loose_angle, plane_u_mm
from steadyrest.part.patch import Patch

HALF_ROUND_RAD = 0.3
SCANNED_RAD = 0.8  # a scan's walls take the first degrees of the round that they run into
ALIKE = 0.06  # of the radius: between two ends, and between an end and a wall's place


def slots(block: Block, taken: set[int]) -> Found:
    """Two hollow half-cylinders alike and parallel, with the walls that run into both."""
    loose = SCANNED_RAD if block.graph.noise_mm > 0 else HALF_ROUND_RAD
    ends = [
        p
        for p in block.graph.patches
        if p.kind == "cylinder" and p.inside and p.id not in taken and abs(p.arc_rad - math.pi) < loose
    ]
    used: set[int] = set()
    for i, a in enumerate(ends):
        for b in ends[i + 1 :]:
            if a.id in used or b.id in used or not twins(block, a, b):
                continue
            sides = sides_between(block, a, b)
            # A scan may have lost one wall: the ends and the other still say how wide it is.
            if all(sides) or (block.graph.noise_mm > 0 and any(sides)):
                used |= {a.id, b.id}
                yield made(block, (a, b), sides)


def twins(block: Block, a: Patch, b: Patch) -> bool:
    """Whether two round ends are alike and parallel."""
    slack = block.slack
    allowed = slack.distance_mm + (ALIKE * a.radius_mm if block.graph.noise_mm > 0 else 0.0)
    if abs(a.radius_mm - b.radius_mm) > allowed:
        return False
    return angle_between_lines(a.axis, b.axis) <= 0.02 + loose_angle(a, slack) + loose_angle(b, slack)


def sides_between(block: Block, a: Patch, b: Patch) -> tuple[list[Patch], list[Patch]]:
    """Planes that meet an end and stand a radius off the line between both axes, by the side on which they stand.

    A scan may show one wall in two pieces, and joins a low one to its ends too shortly to be called a joint.
    """
    loose = block.graph.noise_mm > 0
    allowed = block.slack.distance_mm + ALIKE * a.radius_mm
    both = {p.id for _, p in block.joints_at(a)} & {p.id for _, p in block.joints_at(b)}
    meets = [p for end in (a, b) for _, p in block.joints_at(end)]
    if loose:
        meets += [p for p in block.graph.patches if p.kind == "plane" and lies_between(p, a, b)]
    first: dict[int, Patch] = {}
    second: dict[int, Patch] = {}
    for p in meets:
        if p.kind != "plane" or abs(dot(p.axis, a.axis)) > 0.05 or (p.id not in both and not loose):
            continue
        if max(abs(abs(dot(minus(p.point, end.point), p.axis)) - a.radius_mm) for end in (a, b)) < allowed:
            leader = next(iter(first.values()), p)
            (first if dot(p.axis, leader.axis) > 0 else second)[p.id] = p
    return list(first.values()), list(second.values())


def lies_between(wall: Patch, a: Patch, b: Patch) -> bool:
    """Whether a wall's middle stands beside two ends and between them, a radius off, facing the other side."""
    way = minus(b.point, a.point)
    way = plus(way, a.axis, -dot(way, a.axis))
    far = norm(way)
    offset = minus(wall.point, a.point)
    along = dot(offset, way) / max(far, 1e-9)
    low, high = a.along_mm
    faces = dot(offset, wall.axis) < 0 and abs(dot(wall.axis, way)) < 0.05 * far
    return faces and 0 < along < far and low < dot(offset, a.axis) < high and norm(offset) < far + 2 * a.radius_mm


def apart_mm(sides: tuple[list[Patch], list[Patch]]) -> float:
    """Between two sides, each piece by its area."""
    normal = max(sides[0], key=lambda p: p.area_mm2).axis
    at = [sum(p.area_mm2 * dot(p.point, normal) for p in side) / sum(p.area_mm2 for p in side) for side in sides]
    return abs(at[1] - at[0])


def made(block: Block, ends: tuple[Patch, Patch], sides: tuple[list[Patch], list[Patch]]) -> tuple[Draft, set[int]]:
    """The slot between two ends, its width from its walls."""
    a, b = ends
    offset = minus(b.point, a.point)
    apart = norm(plus(offset, a.axis, -dot(offset, a.axis)))
    walls = [*sides[0], *sides[1]]
    width = apart_mm(sides) if all(sides) else a.radius_mm + b.radius_mm
    u_mm = plane_u_mm(block.graph, walls[0]) * math.sqrt(2)
    floors = floors_at(block, [a, b, *walls], a.axis)[:1]
    sizes = [
        exact("width_mm", width, u_mm),
        exact("length_mm", apart + a.radius_mm + b.radius_mm, math.hypot(u_mm, a.u_radius_mm)),
    ]
    out = a.axis
    if floors:
        floor = floors[0]
        out = floor.axis
        deep = depth_of(block, floor, [a, b, *walls]) or a.along_mm[1] - a.along_mm[0]
        sizes.append(exact("depth_mm", deep, math.hypot(u_mm, plane_u_mm(block.graph, floor))))
    middle: Vec3 = plus(a.point, offset, 0.5)
    feature = feature_of(
        "slot", [a, b, *walls, *floors], sizes, axis=out, at_mm=middle, through=not floors, inside=True
    )
    return Draft(feature, f"slot {a.id}"), {a.id, b.id, *(w.id for w in walls), *(f.id for f in floors)}
