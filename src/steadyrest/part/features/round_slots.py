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
            if all(sides):
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

    A scan may show one wall in two pieces.
    """
    allowed = block.slack.distance_mm + ALIKE * a.radius_mm
    both = {p.id for _, p in block.joints_at(a)} & {p.id for _, p in block.joints_at(b)}
    first: dict[int, Patch] = {}
    second: dict[int, Patch] = {}
    for _, p in (*block.joints_at(a), *block.joints_at(b)):
        if p.kind != "plane" or abs(dot(p.axis, a.axis)) > 0.05 or (p.id not in both and block.graph.noise_mm <= 0):
            continue
        if max(abs(abs(dot(minus(p.point, end.point), p.axis)) - a.radius_mm) for end in (a, b)) < allowed:
            leader = next(iter(first.values()), p)
            (first if dot(p.axis, leader.axis) > 0 else second)[p.id] = p
    return list(first.values()), list(second.values())


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
    width = apart_mm(sides)
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
