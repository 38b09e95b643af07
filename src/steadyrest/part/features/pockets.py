"""Pockets, channels and passages of a part that is not turned.

A *pocket* has a floor walled all round, a *channel* a floor between two facing walls (and perhaps a third across one
end), a *corner* a floor with two walls that meet, a *passage* walls all round and no floor.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from steadyrest.part.features.block import Block, Found
from steadyrest.part.features.draft import Draft, exact, feature_of
from steadyrest.part.features.frame import angle_between_lines, as_drawn, cross, dot, minus, norm, unit
from steadyrest.part.features.rims import depth_of, spans_of, widths_between
from steadyrest.part.features.turned import plane_u_mm
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import because
from steadyrest.shop.part import Vec3

WALLED = 0.97  # share of a floor's rim that is an inner corner
SCANNED = 0.9  # the same for a scan, whose joints are ragged
SQUARE = 0.03


def pockets(block: Block, taken: set[int]) -> Found:
    """Floors walled all round, a hole in them apart; the depth counts to the lowest rim of the walls."""
    drilled = {p.id for hole in block.holes for p in hole.patches}
    apart = set(drilled)
    apart |= {p.id for p in block.graph.patches if p.kind == "cylinder" and not p.inside}  # a boss walls nothing in
    found_before = frozenset(taken)  # by what was found before, as an island's sides are; not by other pockets
    for floor in block.planes(taken):
        meets = [(j, p) for j, p in block.joints_at(floor) if p.id not in apart or p.inside]
        walls = [p for j, p in meets if j.kind == "concave" or (j.kind == "smooth" and p.inside)]
        walled = sum(j.length_mm for j, p in meets if j.kind == "concave" or (j.kind == "smooth" and p.inside))
        rim = sum(j.length_mm for j, p in meets if p.id not in apart)
        if all(wall.id in drilled for wall in walls):  # bottoms of blind holes, perhaps several in one plane
            continue
        if not walls or walled < (WALLED if block.graph.noise_mm <= 0 else SCANNED) * rim:
            continue
        upright = with_walls_behind(block, floor, walls)
        # What stands within, an island or a rib, is lower than the pocket is deep.
        own = [wall for wall in upright if wall.id not in found_before] or upright
        tops = [top_mm(floor, wall) for wall in own]
        deep = depth_of(block, floor, own) or min((top for top in tops if top > 1e-6), default=0.0)
        if deep <= 0:
            continue
        long, wide = in_plane(floor)
        between = spans_of(upright)
        if block.graph.noise_mm > 0 and len(between) == 2 and len(upright) >= 4:
            wide, long = between  # a scan's floor ends at its rounded foot
        u_mm = plane_u_mm(block.graph, floor)
        feature = feature_of(
            "pocket",
            [floor, *(wall for wall in walls if wall.id not in taken)],
            [exact("depth_mm", deep, u_mm), exact("width_mm", wide, u_mm), exact("length_mm", long, u_mm)],
            axis=floor.axis,
            at_mm=floor.point,
            through=False,
            inside=True,
        )
        yield Draft(feature, f"pocket {floor.id}"), {floor.id, *(wall.id for wall in walls)}


def with_walls_behind(block: Block, floor: Patch, walls: Sequence[Patch]) -> list[Patch]:
    """The walls, and for a rounded foot the wall that stands on it."""
    behind = [p for wall in walls if wall.kind != "plane" for j, p in block.joints_at(wall) if j.kind == "smooth"]
    upright = [p for p in behind if p.kind == "plane" and abs(dot(p.axis, floor.axis)) < SQUARE]
    return [*(wall for wall in walls if wall.kind == "plane" or not behind), *upright]


def top_mm(floor: Patch, wall: Patch) -> float:
    """How high a wall stands over a floor."""
    if wall.points is None or not len(wall.points):
        return 0.0
    return float(((wall.points - np.array(floor.point)) @ np.array(floor.axis)).max())


def channels(block: Block, taken: set[int]) -> Found:
    """Two walls that face each other, square to a floor that both meet in an inner corner."""
    for floor in block.planes(taken):
        if floor.id in taken:
            continue
        walls = [
            p
            for j, p in block.joints_at(floor)
            if j.kind == "concave" and p.kind == "plane" and p.id not in taken and abs(dot(p.axis, floor.axis)) < SQUARE
        ]
        for i, a in enumerate(walls):
            b = next((w for w in walls[i + 1 :] if dot(a.axis, w.axis) < -1 + SQUARE**2), None)
            if b is None or (width := dot(minus(b.point, a.point), a.axis)) <= 0:
                continue
            along = unit(cross(floor.axis, a.axis))
            length = float(np.ptp(floor.points @ np.array(along))) if floor.points is not None else 0.0
            u_mm = plane_u_mm(block.graph, a) * math.sqrt(2)
            deep = depth_of(block, floor, (a, b)) or min(top_mm(floor, a), top_mm(floor, b))
            sizes = [
                exact("width_mm", width, u_mm),
                exact("depth_mm", deep, math.hypot(u_mm, plane_u_mm(block.graph, floor))),
                exact("length_mm", length, u_mm),
            ]
            ends = [w for w in walls if abs(dot(w.axis, along)) > 1 - SQUARE**2]
            feature = feature_of(
                "slot",
                [floor, a, b, *ends],
                sizes,
                axis=floor.axis,
                at_mm=floor.point,
                through=False,
                inside=True,
                why=(because("features.slot_one_end"),) if ends else (),
            )
            yield Draft(feature, f"channel {floor.id}"), {floor.id, a.id, b.id, *(w.id for w in ends)}
            break


def corners(block: Block, taken: set[int]) -> Found:
    """Two walls square to each other that meet in an inner corner over a floor: a pocket open on its two other sides.

    Only where joints are exact: in a scan they are too ragged to tell it from a step.
    """
    if block.graph.noise_mm > 0:
        return
    for floor in block.planes(taken):
        if floor.id in taken:
            continue
        meets = block.joints_at(floor)
        walls = [p for j, p in meets if j.kind == "concave"]
        if len({w.id for w in walls}) != 2 or any(w.kind != "plane" or w.id in taken for w in walls):
            continue
        a, b = walls[0], next(w for w in walls if w.id != walls[0].id)
        meet = any(j.kind == "concave" and p.id == b.id for j, p in block.joints_at(a))
        if not meet or max(abs(dot(a.axis, b.axis)), *(abs(dot(w.axis, floor.axis)) for w in (a, b))) > SQUARE:
            continue
        deep = depth_of(block, floor, (a, b)) or min(top_mm(floor, a), top_mm(floor, b))
        if deep <= 0 or floor.points is None:
            continue
        wide, long = sorted(float(np.ptp(floor.points @ np.array(w.axis))) for w in (a, b))
        sizes = [exact("depth_mm", deep), exact("width_mm", wide), exact("length_mm", long)]
        why = (because("features.pocket_open", sides=2.0),)
        feature = feature_of(
            "pocket", [floor, a, b], sizes, axis=floor.axis, at_mm=floor.point, through=False, inside=True, why=why
        )
        yield Draft(feature, f"corner {floor.id}"), {floor.id, a.id, b.id}


def passages(block: Block, taken: set[int]) -> Found:
    """Rings of walls along one direction, each meeting the next in an inner corner, and no floor."""
    walls = [
        p
        for p in block.graph.patches
        if p.id not in taken and (p.kind == "plane" or (p.kind == "cylinder" and p.inside)) and p.points is not None
    ]
    used: set[int] = set()
    for direction in corner_directions(block, {p.id: p for p in walls}):
        along = [p for p in walls if p.id not in used and runs_along(p, direction)]
        for ring in rings_in(block, along):
            if len(ring) < 3 or any(not is_open(block, p, direction) for p in ring):
                continue
            used |= {p.id for p in ring}
            points = np.vstack([p.points for p in ring if p.points is not None])
            length = float(np.ptp(points @ np.array(direction)))
            long, wide = box_across(points, direction)
            apart = widths_between(ring)
            if block.graph.noise_mm > 0 and len(apart) == 2:
                wide, long = apart
            x, y, z = (float(c) for c in points.mean(axis=0))
            feature = feature_of(
                "pocket",
                ring,
                [exact("width_mm", wide), exact("length_mm", long), exact("depth_mm", length)],
                axis=direction,
                at_mm=(x, y, z),
                through=True,
                inside=True,
            )
            yield Draft(feature, f"passage {ring[0].id}"), {p.id for p in ring}


def corner_directions(block: Block, walls: dict[int, Patch]) -> list[Vec3]:
    """The directions of inner corners, each once."""
    found: list[Vec3] = []
    for joint in block.graph.joints:
        a, b = walls.get(joint.a), walls.get(joint.b)
        if a is None or b is None or joint.kind == "convex":
            continue
        edge = cross(a.axis, b.axis) if a.kind == b.kind == "plane" else a.axis if a.kind == "cylinder" else b.axis
        if norm(edge) < SQUARE:
            continue
        direction = as_drawn(unit(edge))
        if not any(angle_between_lines(direction, other) < SQUARE for other in found):
            found.append(direction)
    return found


def runs_along(wall: Patch, direction: Vec3) -> bool:
    if wall.kind == "plane":
        return abs(dot(wall.axis, direction)) < SQUARE
    return angle_between_lines(wall.axis, direction) < SQUARE


def rings_in(block: Block, walls: Sequence[Patch]) -> Iterator[list[Patch]]:
    """Closed rings of walls: each meets exactly two others in an inner corner or smoothly."""
    by_id = {p.id: p for p in walls}
    beside = {p.id: [q.id for j, q in block.joints_at(p) if q.id in by_id and j.kind != "convex"] for p in walls}
    left = set(by_id)
    while left:
        start = min(left)
        ring, queue = set[int](), [start]
        while queue:
            wall = queue.pop()
            if wall not in ring:
                ring.add(wall)
                queue.extend(beside[wall])
        left -= ring
        if all(len(set(beside[wall])) == 2 for wall in ring):
            yield [by_id[wall] for wall in sorted(ring)]


def is_open(block: Block, wall: Patch, direction: Vec3) -> bool:
    """Whether no floor stands on a wall."""
    return not any(
        j.kind == "concave" and p.kind == "plane" and angle_between_lines(p.axis, direction) < SQUARE
        for j, p in block.joints_at(wall)
    )


def in_plane(plane: Patch) -> tuple[float, float]:
    """Length and width of a plane patch: of the smallest box round it."""
    assert plane.points is not None
    return box_across(plane.points, plane.axis)


def box_across(points: np.ndarray[tuple[int, int], np.dtype[np.float64]], axis: Vec3) -> tuple[float, float]:
    """Length and width of the smallest box round (m, 3) points seen along an axis, turned by degrees."""
    seed = (1.0, 0.0, 0.0) if abs(axis[0]) < 0.7 else (0.0, 1.0, 0.0)
    e1 = np.array(unit(cross(axis, seed)))
    flat = (points - points.mean(axis=0)) @ np.stack([e1, np.cross(np.array(axis), e1)]).T
    turns = np.radians(np.arange(0.0, 90.0))
    c, s = np.cos(turns), np.sin(turns)
    along, across = (np.ptp(flat @ np.stack(way), axis=0).tolist() for way in ((c, s), (-s, c)))
    best, least = (0.0, 0.0), math.inf
    for one, other in zip(along, across, strict=True):
        if one * other < least * (1 - 1e-9):
            least, best = one * other, (max(one, other), min(one, other))
    return best
