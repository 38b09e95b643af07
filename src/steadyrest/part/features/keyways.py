"""Keyways in a turned part: two walls that face each other beside the axis, and a floor between them.

Found from the surfaces alone: a scan's joints are not to be relied on in a corner that the scanner hardly reached.
Where it did not even show both walls, a floor between two round ends is one too; its width comes from what was seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from steadyrest.part.features.frame import Frame, angle_between_lines, cross, dot, minus, norm, plus
from steadyrest.part.features.half_seen_keyways import keyway_by_floor, keyway_by_one_wall, keyway_on
from steadyrest.part.features.keyway import FACING_RAD, OFF_CENTRE, Keyway, carrier
from steadyrest.part.features.profile import Piece
from steadyrest.part.features.turned import Slack, loose_angle, plane_u_mm, reach
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.shop.part import Vec3

UNSURE_RAD = math.radians(6)  # more than that by chance is no wall
WIDEST = 0.5  # of the diameter; standard keys stay under a third
HALF_WAY_U_MM = 0.02  # how far beside the centre line a keyway may have been cut; common practice, no source


def keyways_of(
    graph: PatchGraph, frame: Frame, slack: Slack, outside: Sequence[Piece], inside: Sequence[Piece]
) -> tuple[Keyway, ...]:
    """Keyways outside and in the bore, in order along the axis.

    Args:
        graph, frame, slack: all patches, the axis, how exactly they are known.
        outside, inside: the part's line.
    Returns: keyways, none of which shares a wall with another.
    """
    planes = [
        p
        for p in graph.patches
        if p.kind == "plane"
        and abs(math.pi / 2 - angle_between_lines(p.axis, frame.axis)) < FACING_RAD + loose_angle(p, slack)
    ]
    found: list[Keyway] = []
    used: set[int] = set()
    for width, a, b in sorted(facing(planes, frame), key=lambda w: (w[0], w[1].id, w[2].id)):
        if a.id in used or b.id in used:
            continue
        keyway = keyway_between(graph, frame, slack, (a, b), width, planes, outside, inside)
        if keyway is not None:
            found.append(keyway)
            used.update(patch.id for patch in keyway.patches)
    for floor in planes if graph.scan else ():
        if floor.id in used:
            continue
        left = [p for p in planes if p.id not in used]
        keyway = keyway_on(graph, frame, slack, floor, left, outside)
        keyway = keyway or keyway_by_one_wall(graph, frame, slack, floor, left, inside)
        keyway = keyway or keyway_by_floor(graph, frame, slack, floor, left, outside)
        same = next((k for k in found if keyway is not None and one_keyway(k, keyway, slack)), None)
        if keyway is not None and same is not None:  # a scan's floor in two pieces
            low, high = min(same.low_mm, keyway.low_mm), max(same.high_mm, keyway.high_mm)
            found[found.index(same)] = replace(same, low_mm=low, high_mm=high)
            used.update(patch.id for patch in keyway.patches)
            continue
        if keyway is not None:
            found.append(keyway)
            used.update(patch.id for patch in keyway.patches)
    found.sort(key=lambda k: (k.low_mm, k.width_mm))
    return tuple(in_one_piece(found, frame, slack) if graph.noise_mm > 0 else found)


def in_one_piece(found: Sequence[Keyway], frame: Frame, slack: Slack) -> list[Keyway]:
    """A scan's keyways in order along the axis, those of one bore that a scanner showed in two pieces put together."""
    out: list[Keyway] = []
    for keyway in found:
        last = out[-1] if out else None
        if last is not None and one_keyway(last, keyway, slack) and goes_on(last, keyway, slack):
            walls = (*last.walls, *keyway.walls)
            floor = max(last.floor, keyway.floor, key=lambda p: p.area_mm2)
            out[-1] = replace(
                last, walls=walls, floor=floor, ends=(*last.ends, *keyway.ends), width_mm=apart_mm(walls, frame),
                high_mm=max(last.high_mm, keyway.high_mm),
            )  # fmt: skip
        else:
            out.append(keyway)
    return out


def goes_on(a: Keyway, b: Keyway, slack: Slack) -> bool:
    """Whether a keyway goes on in another as wide, both walls of either seen: a broach goes through in one."""
    alike = abs(a.width_mm - b.width_mm) <= 2 * slack.distance_mm and b.low_mm - a.high_mm < a.width_mm
    return alike and len(a.walls) >= 2 and len(b.walls) >= 2


def one_keyway(a: Keyway, b: Keyway, slack: Slack) -> bool:
    """Whether two are one keyway in one bore, its floor seen in pieces."""
    return (
        a.inside
        and b.inside
        and dot(a.out, b.out) > math.cos(FACING_RAD)
        and abs(a.floor_mm - b.floor_mm) <= 2 * slack.distance_mm
    )


def facing(planes: Sequence[Patch], frame: Frame) -> list[tuple[float, Patch, Patch]]:
    """Pairs of walls that look at each other across the axis's plane, with the width between them."""
    pairs: list[tuple[float, Patch, Patch]] = []
    for i, a in enumerate(planes):
        for b in planes[i + 1 :]:
            # A scan's low walls do not know their own tilt as well as that.
            unsure = min(3 * math.hypot(a.u_axis_rad, b.u_axis_rad), UNSURE_RAD)
            if dot(a.axis, b.axis) > -math.cos(FACING_RAD + unsure):
                continue
            # Weighted by area: a scan's small wall says less about the direction.
            n = along_none(unit_sum(a, b), frame)
            at_a, at_b = (dot(minus(p.point, frame.origin), n) for p in (a, b))
            # a's normal looks towards b: then b lies further along it.
            width = at_b - at_a
            if width > 0 and abs(at_a + at_b) / 2 <= OFF_CENTRE * width:
                pairs.append((width, a, b))
    return pairs


def along_none(n: Vec3, frame: Frame) -> Vec3:
    """A unit normal without its part along the axis: a keyway's walls run with it, whatever short ones seem to do."""
    flat = plus(n, frame.axis, -dot(n, frame.axis))
    length = norm(flat)
    return (flat[0] / length, flat[1] / length, flat[2] / length)


def unit_sum(a: Patch, b: Patch) -> Vec3:
    """The normal that two opposed walls share, along a's."""
    total = minus(
        plus((0.0, 0.0, 0.0), a.axis, a.area_mm2),
        plus((0.0, 0.0, 0.0), b.axis, b.area_mm2),
    )
    length = norm(total)
    return (total[0] / length, total[1] / length, total[2] / length)


def keyway_between(
    graph: PatchGraph,
    frame: Frame,
    slack: Slack,
    walls: tuple[Patch, Patch],
    width_mm: float,
    planes: Sequence[Patch],
    outside: Sequence[Piece],
    inside: Sequence[Piece],
) -> Keyway | None:
    """The keyway between two facing walls, or None if they are not one."""
    normal = unit_sum(*walls)
    side = cross(normal, frame.axis)
    heights = [dot(minus(p.point, frame.origin), side) for p in walls]
    if heights[0] * heights[1] <= 0:
        return None  # on both sides of the axis: a slot through the part
    out = side if heights[0] > 0 else (-side[0], -side[1], -side[2])
    reaches = [reach(p, frame, slack) for p in walls]
    low, high = min(r[0] for r in reaches), max(r[1] for r in reaches)
    floor = floor_between(planes, frame, slack, walls, out, (low, high), width_mm)
    wall_mm = [abs(h) for h in heights]
    floor_mm = dot(minus(floor.point, frame.origin), out) if floor else None
    in_bore = floor is not None and dot(floor.axis, out) < 0
    # A scanner that looks into a bore from both ends may show one wall from here and the other from there.
    apart = min(r[1] for r in reaches) - max(r[0] for r in reaches) < 0.3 * (high - low)
    if apart and not (graph.scan and in_bore):
        return None
    if floor is not None:
        # Round ends that were not recognised still stand on the floor.
        foot = reach(floor, frame, replace(slack, tail=0.0))
        low, high = min(low, foot[0]), max(high, foot[1])
    ends = ends_of(graph, frame, slack, out, width_mm, (low, high))
    low, high = stretched(frame, ends, low, high)
    on = carrier(inside if in_bore else outside, low, high)
    if on is None or floor_mm is None or floor is None:
        return None
    surface = max(on.low_radius_mm, on.high_radius_mm)
    sound = surface < floor_mm if in_bore else max(wall_mm) < surface + slack.distance_mm and 0 < floor_mm < surface
    if not sound or width_mm > 2 * WIDEST * surface:
        return None
    pieces = pieces_of_walls(graph, frame, slack, walls, planes, out, (low, high))
    width = width_mm if len(pieces) == 2 else apart_mm(pieces, frame)
    return Keyway(pieces, floor, ends, width, floor_mm, low, high, out, on, in_bore)


def pieces_of_walls(
    graph: PatchGraph,
    frame: Frame,
    slack: Slack,
    walls: tuple[Patch, Patch],
    planes: Sequence[Patch],
    out: Vec3,
    stretch: tuple[float, float],
) -> tuple[Patch, ...]:
    """Both walls and what else a scan shows of them: seen from either end, a wall comes in pieces."""
    if graph.noise_mm <= 0:
        return walls
    found = list(walls)
    for plane in planes:
        leaning = FACING_RAD + loose_angle(plane, slack)
        like = next((wall for wall in walls if dot(wall.axis, plane.axis) > math.cos(leaning)), None)
        if like is None or plane.id in (walls[0].id, walls[1].id):
            continue
        n = along_none(like.axis, frame)
        offset = dot(minus(plane.point, like.point), n)
        low, high = reach(plane, frame, slack)
        beside = low > stretch[0] - slack.rounding_mm and high < stretch[1] + slack.rounding_mm
        lift = dot(minus(plane.point, like.point), out)
        if abs(offset) < slack.distance_mm and beside and abs(lift) < 2 * slack.rounding_mm:
            found.append(plane)
    return tuple(found)


def apart_mm(pieces: Sequence[Patch], frame: Frame) -> float:
    """Between two walls, each piece of them counted by its area."""
    first = pieces[0]
    sides = [[p for p in pieces if dot(p.axis, first.axis) * sense > 0] for sense in (1, -1)]
    x, y, z = (
        sum(p.area_mm2 * (p.axis[i] if dot(p.axis, first.axis) > 0 else -p.axis[i]) for p in pieces) for i in range(3)
    )
    n = along_none((x, y, z), frame)
    at = [sum(p.area_mm2 * dot(minus(p.point, frame.origin), n) for p in s) / sum(p.area_mm2 for p in s) for s in sides]
    return at[1] - at[0]


def floor_between(
    planes: Sequence[Patch],
    frame: Frame,
    slack: Slack,
    walls: tuple[Patch, Patch],
    out: Vec3,
    stretch: tuple[float, float],
    width_mm: float,
) -> Patch | None:
    """The plane at the foot of two walls: square to them, on the centre line, along the same stretch.

    No farther from the middle of its walls than the keyway is wide: a flat outside lies over a keyway in a bore too.
    """
    normal = unit_sum(*walls)
    wall_mm = sum(dot(minus(p.point, frame.origin), out) for p in walls) / 2
    found: list[Patch] = []
    for plane in planes:
        low, high = reach(plane, frame, slack)
        beside = abs(dot(minus(plane.point, frame.origin), normal))
        overlap = min(high, stretch[1]) - max(low, stretch[0])
        height = dot(minus(plane.point, frame.origin), out)
        if (
            plane.id not in (walls[0].id, walls[1].id)
            and abs(dot(plane.axis, out)) > math.cos(2 * FACING_RAD)
            and beside < 0.3 * width_mm
            and overlap > 0.5 * min(high - low, stretch[1] - stretch[0])
            and height > 0
            and abs(height - wall_mm) <= width_mm
        ):
            found.append(plane)
    return max(found, key=lambda p: p.area_mm2, default=None)


def ends_of(
    graph: PatchGraph, frame: Frame, slack: Slack, out: Vec3, width_mm: float, stretch: tuple[float, float]
) -> tuple[Patch, ...]:
    """Round ends: hollow half-cylinders as wide as the keyway whose axes run through its floor."""
    return tuple(
        p
        for p in graph.patches
        if p.kind == "cylinder"
        and p.inside
        and abs(2 * p.radius_mm - width_mm) <= 0.1 * width_mm + slack.distance_mm
        and abs(dot(p.axis, out)) > math.cos(2 * FACING_RAD + loose_angle(p, slack))
        and dot(minus(p.point, frame.origin), out) > 0
        and abs(dot(minus(p.point, frame.origin), cross(out, frame.axis))) < 0.3 * width_mm
        and stretch[0] - width_mm <= frame.along_of(p.point) <= stretch[1] + width_mm
    )


def stretched(frame: Frame, ends: Sequence[Patch], low: float, high: float) -> tuple[float, float]:
    """From and to of the keyway over its round ends."""
    middle = (low + high) / 2
    for end in ends:
        centre = frame.along_of(end.point)
        if centre < middle:
            low = min(low, centre - end.radius_mm)
        else:
            high = max(high, centre + end.radius_mm)
    return low, high


def width_u_mm(graph: PatchGraph, slack: Slack, keyway: Keyway) -> float:
    """One sigma of a width: between two walls; of one wall twice, the axis half way; of round ends; of a floor."""
    if len(keyway.walls) >= 2:
        first = keyway.walls[0]
        sides = [[w for w in keyway.walls if dot(w.axis, first.axis) * sense > 0] for sense in (1, -1)]
        return math.hypot(*(side_u_mm(graph, keyway, side) for side in sides))
    if keyway.walls:
        # Square to the floor the middle is known no better than the floor's tilt, as far out as it stands.
        tilt_mm = keyway.floor.u_axis_rad * keyway.floor_mm
        return 2 * math.hypot(plane_u_mm(graph, keyway.walls[0]), HALF_WAY_U_MM, tilt_mm)
    return max((2 * end.u_radius_mm for end in keyway.ends), default=slack.ragged_mm)


def side_u_mm(graph: PatchGraph, keyway: Keyway, side: Sequence[Patch]) -> float:
    """One sigma of a wall's place from its pieces, counted by their areas."""
    total = sum(wall.area_mm2 for wall in side)
    return math.hypot(*(wall.area_mm2 / total * wall_u_mm(graph, keyway, wall) for wall in side))


def wall_u_mm(graph: PatchGraph, keyway: Keyway, wall: Patch) -> float:
    """One sigma of a wall's place: a low one's tilt carries its edges away from its middle."""
    high_mm = wall.area_mm2 / max(keyway.high_mm - keyway.low_mm, 1e-9)
    return math.hypot(plane_u_mm(graph, wall), wall.u_axis_rad * high_mm / 2 if graph.noise_mm > 0 else 0.0)
