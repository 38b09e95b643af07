"""Bores that do not lie on the part's axis: bolt holes, cross holes, holes in a plate; and rings of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.frame import Frame, angle_between_lines, cross, dot, line_distance, minus, plus
from steadyrest.part.features.turned import Slack, best_radius_mm, loose_angle
from steadyrest.part.patch import Joint, Patch, PatchGraph
from steadyrest.shop.part import Pattern, Vec3

FloatArray = npt.NDArray[np.float64]
LEAST_ARC_RAD = math.radians(190)  # less than that is a slot's end or a corner
SCANNED_ARC_RAD = math.radians(215)  # a scan's labels run on a little where a wall leaves a round
ROUND_SHARE = 0.7  # of a full rim, for a mouth or a bottom to count


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole. at_mm: middle of its wall. bottom: the patch that closes or narrows it, None when it is through.

    length_u_mm: one sigma of its length; None where the slack says it. bottom_seen: else it is at least so deep.
    into: unit vector from the mouth into the hole (its axis, either way, when it is through).
    """

    patches: tuple[Patch, ...]
    diameter_mm: float
    length_mm: float
    at_mm: Vec3
    into: Vec3
    through: bool
    bottom: Patch | None
    length_u_mm: float | None = None
    bottom_seen: bool = True

    @property
    def main(self) -> Patch:
        return self.patches[0]


def holes_of(graph: PatchGraph, slack: Slack, taken: set[int]) -> tuple[Hole, ...]:
    """Every hollow cylinder that reaches more than half way round and is not taken, largest first.

    Args:
        graph: all patches.
        slack: how exactly they are known.
        taken: ids of patches that are something else (the part's own bore, a keyway's ends).
    Returns: holes; the two walls of a hole across a hollow part are one.
    """
    joints: dict[int, list[Joint]] = {}
    for joint in graph.joints:
        joints.setdefault(joint.a, []).append(joint)
        joints.setdefault(joint.b, []).append(joint)
    patches = {patch.id: patch for patch in graph.patches}
    found = [
        hole_at(patch, joints.get(patch.id, []), patches, scan=graph.scan)
        for patch in graph.patches
        if patch.kind == "cylinder"
        and patch.inside
        and patch.id not in taken
        and patch.arc_rad > (SCANNED_ARC_RAD if graph.noise_mm > 0 else LEAST_ARC_RAD)
        and patch.area_mm2 > slack.least_mm2
        and not (graph.scan and patch.u_radius_mm > 0.1 * patch.radius_mm)
    ]
    return tuple(sorted(found, key=lambda h: (-h.diameter_mm, h.at_mm)))


def hole_at(patch: Patch, joints: Sequence[Joint], patches: dict[int, Patch], *, scan: bool) -> Hole:
    """One hole from its wall and what the wall meets."""
    rim_mm = 2 * math.pi * patch.radius_mm
    open_mm = sum(j.length_mm for j in joints if j.kind == "convex")
    bottoms = [
        patches[j.b if j.a == patch.id else j.a]
        for j in joints
        if j.kind == "concave" and j.length_mm > ROUND_SHARE * rim_mm
    ]
    bottom = next((p for p in bottoms if closes(p, patch)), None)
    through = bottom is None and (open_mm > 1.6 * rim_mm or (not scan and not bottoms and open_mm > 0))
    low, high = patch.along_mm
    into = patch.axis
    if bottom is not None and dot(minus(tip(bottom), patch.point), patch.axis) < 0:
        into = (-into[0], -into[1], -into[2])
    return Hole(
        patches=(patch,),
        diameter_mm=2 * best_radius_mm(patch),
        length_mm=high - low,
        at_mm=plus(patch.point, patch.axis, (low + high) / 2),
        into=into,
        through=through,
        bottom=bottom,
    )


def tip(bottom: Patch) -> Vec3:
    return bottom.point


def closes(bottom: Patch, wall: Patch) -> bool:
    """Whether a patch is a hole's bottom: a disc, a counterbore's ring or a drill's point, no wider than the hole."""
    disc_mm2 = math.pi * wall.radius_mm**2
    if bottom.kind == "plane":
        return angle_between_lines(bottom.axis, wall.axis) < 0.1 and bottom.area_mm2 < 1.1 * disc_mm2
    if bottom.kind in ("cone", "sphere"):
        return bottom.inside and 0.9 * disc_mm2 < bottom.area_mm2 < 4 * disc_mm2
    return False


def across_the_part(holes: Sequence[Hole], frame: Frame, slack: Slack) -> tuple[Hole, ...]:
    """Holes of a turned part, with the two walls of one that crosses a hollow part joined."""
    done: list[Hole] = []
    for hole in holes:
        axis, radius = hole.main.axis, hole.main.radius_mm
        square = abs(math.pi / 2 - angle_between_lines(axis, frame.axis)) < 0.05
        twin = next(
            (
                i
                for i, other in enumerate(done)
                if square
                and angle_between_lines(other.main.axis, axis) < 0.02 + loose_angle(other.main, slack)
                and line_distance(other.main.point, hole.main.point, axis) < 0.05 * radius + slack.distance_mm
                and abs(other.diameter_mm - hole.diameter_mm) < 0.02 * radius + slack.distance_mm
            ),
            None,
        )
        if twin is None:
            done.append(hole)
        else:
            done[twin] = one_hole(done[twin], hole)
    return tuple(done)


def one_hole(a: Hole, b: Hole) -> Hole:
    """Two walls on one line as one hole, its length from outside to outside."""
    axis = a.main.axis
    reaches = [
        dot(minus(patch.point, a.main.point), axis) + end * (1 if dot(patch.axis, axis) > 0 else -1)
        for patch in (*a.patches, *b.patches)
        for end in patch.along_mm
    ]
    low, high = min(reaches), max(reaches)
    middle = plus(a.main.point, axis, (low + high) / 2)
    through = a.through and b.through
    return Hole((*a.patches, *b.patches), a.diameter_mm, high - low, middle, a.into, through, a.bottom or b.bottom)


def bolt_circles(
    holes: Sequence[tuple[str, Hole]], centres: Sequence[tuple[Vec3, Vec3, float]], slack: Slack
) -> tuple[Pattern, ...]:
    """Equal parallel holes evenly round a centre, some places of the circle perhaps empty; at least three holes.

    Args:
        holes: features' ids and holes.
        centres: (point, axis, diameter) of what a circle of smaller holes may stand round: a bore; the part's axis.
        slack: how exactly they are known.
    Returns: patterns P1, P2, ... largest count first.
    """
    found: list[tuple[int, float, tuple[str, ...]]] = []
    used: set[str] = set()
    for group in alike(holes, slack):
        larger = [(point, axis) for point, axis, wide in centres if wide > 1.01 * group[0][1].diameter_mm]
        free = [(name, hole) for name, hole in group if name not in used]
        at = places(free)
        for point, axis in [*larger, *own_centre([hole for _, hole in group])]:
            ring = ring_round(free, at, point, axis, slack)
            if ring is not None:
                radius, names = ring
                found.append((len(names), 2 * radius, names))
                used.update(names)
                free = [(name, hole) for name, hole in free if name not in used]
                at = places(free)
    found.sort(key=lambda f: (-f[0], -f[1], f[2]))
    return tuple(
        Pattern(f"P{i}", "bolt circle", count, round(diameter, 9), tuple(sorted(names, key=lambda name: int(name[1:]))))
        for i, (count, diameter, names) in enumerate(found, 1)
    )


def alike(holes: Sequence[tuple[str, Hole]], slack: Slack) -> list[list[tuple[str, Hole]]]:
    """Holes of one diameter and one direction together."""
    groups: list[list[tuple[str, Hole]]] = []
    for name, hole in holes:
        for group in groups:
            other = group[0][1]
            same = abs(other.diameter_mm - hole.diameter_mm) <= max(slack.distance_mm, 0.01)
            if same and angle_between_lines(other.main.axis, hole.main.axis) < 0.02 + slack.angle_rad:
                group.append((name, hole))
                break
        else:
            groups.append([(name, hole)])
    return [group for group in groups if len(group) >= 3]


def own_centre(holes: Sequence[Hole]) -> list[tuple[Vec3, Vec3]]:
    """The middle of a group of holes, as a centre that they may stand round."""
    if not holes:
        return []
    n = len(holes)
    x, y, z = (sum(hole.at_mm[i] for hole in holes) / n for i in range(3))
    return [((x, y, z), holes[0].main.axis)]


def places(group: Sequence[tuple[str, Hole]]) -> FloatArray:
    """(n, 3) where holes are."""
    return np.array([hole.at_mm for _, hole in group]).reshape(-1, 3)


def ring_round(
    group: Sequence[tuple[str, Hole]], at: FloatArray, point: Vec3, axis: Vec3, slack: Slack
) -> tuple[float, tuple[str, ...]] | None:
    """The radius and names of those of a group, at (n, 3), that stand evenly on one circle round a centre."""
    if len(group) < 3 or angle_between_lines(group[0][1].main.axis, axis) > 0.02 + slack.angle_rad:
        return None
    line = np.array(axis)
    offsets = at - np.array(point)
    offsets -= np.outer(offsets @ line, line)
    far = np.sqrt((offsets**2).sum(axis=1))
    order = np.argsort(far, kind="stable")
    order = order[far[order] >= 1e-6]
    if len(order) < 3:
        return None
    first = offsets[order.min()].tolist()
    turns = np.arctan2(offsets @ np.array(cross(axis, (first[0], first[1], first[2]))), offsets @ np.array(first))
    tried = np.unique(np.round(far[order], 3))[::-1]
    wide = np.maximum(2e-3 * tried, slack.distance_mm)
    lows = np.searchsorted(far[order], tried - wide, "left").tolist()
    highs = np.searchsorted(far[order], tried + wide, "right").tolist()
    for radius, low, high in zip(tried.tolist(), lows, highs, strict=True):
        if high - low < 3:
            continue
        on = order[low:high]
        around = sorted(turns[on].tolist())
        steps = [later - turn for turn, later in pairwise((*around, around[0] + 2 * math.pi))]
        if evenly(steps, 0.01 + 2 * slack.distance_mm / radius):
            return float(far[on].mean()), tuple(group[i][0] for i in sorted(on.tolist()))
    return None


def evenly(steps: Sequence[float], tolerance_rad: float) -> bool:
    """Whether the steps between holes are alike; of five and more, a few places of the circle may be empty.

    Fewer would make a circle of any rectangle's corners.
    """
    most = len(steps) if len(steps) < 5 else math.floor(1.35 * len(steps))
    for places in range(len(steps), most + 1):
        place = 2 * math.pi / places
        if all(abs(step - place * round(step / place)) < tolerance_rad for step in steps):
            return True
    return False
