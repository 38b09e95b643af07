"""Flats on a turned part, and a hexagon: planes along the axis that look away from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.part.features.frame import Frame, angle_between_lines, cross, dot, minus, unit
from steadyrest.part.features.turned import Slack, loose_angle, reach
from steadyrest.part.patch import Patch, PatchGraph

PARALLEL_RAD = math.radians(3)
ROUND_IT_RAD = math.radians(190)  # a milled flat's round end goes half way


@dataclass(frozen=True, slots=True)
class Flats:
    """One flat, two opposite, or six round a hexagon. across_mm: over two opposite, 0 for a single one."""

    planes: tuple[Patch, ...]
    across_mm: float
    height_mm: float
    low_mm: float
    high_mm: float

    @property
    def is_hexagon(self) -> bool:
        return len(self.planes) == 6


def flats_of(graph: PatchGraph, frame: Frame, slack: Slack, taken: set[int]) -> tuple[Flats, ...]:
    """Flats in order along the axis.

    Args:
        graph, frame, slack: all patches, the axis, how exactly they are known.
        taken: ids of patches that belong to keyways.
    Returns: hexagons (six planes), pairs, and single flats.
    """
    sides: list[tuple[float, float, float, float, Patch]] = []
    gap_floors = floors_of_gaps(graph, frame)
    e1 = unit(cross(frame.axis, (1.0, 0.0, 0.0) if abs(frame.axis[0]) < 0.7 else (0.0, 1.0, 0.0)))
    e2 = cross(frame.axis, e1)
    for plane in graph.patches:
        if plane.kind != "plane" or plane.id in taken or plane.area_mm2 <= slack.least_mm2:
            continue
        tilt = abs(math.pi / 2 - angle_between_lines(plane.axis, frame.axis))
        # From the axis beside it, not from the far end: a plane's small tilt must not count along the whole part.
        height = dot(minus(plane.point, frame.at(frame.along_of(plane.point))), plane.axis)
        if tilt < PARALLEL_RAD + loose_angle(plane, slack) and height > 0 and faces_out(plane, frame):
            if plane.id in gap_floors:
                continue
            turn = math.atan2(dot(plane.axis, e2), dot(plane.axis, e1))
            low, high = reach(plane, frame, slack)
            sides.append((low, high, height, turn, plane))
    groups: list[list[tuple[float, float, float, float, Patch]]] = []
    for side in sorted(sides, key=lambda s: (s[0], s[2], s[4].id)):
        home = next((g for g in groups if alike(g[0], side)), None)
        home.append(side) if home is not None else groups.append([side])
    found = [flats for group in groups for flats in flats_in(group)]
    return tuple(sorted(found, key=lambda f: (f.low_mm, -f.across_mm)))


def floors_of_gaps(graph: PatchGraph, frame: Frame) -> set[int]:
    """Ids of planes that rise again beside them, round the axis or all round: the floor between two teeth is no flat,
    nor is that of a blind cross hole.

    Only where joints are exact: what a scan shows of a narrow corner is not to be relied on.
    """
    if graph.noise_mm > 0:
        return set()
    patches = {p.id: p for p in graph.patches}
    out: set[int] = set()
    for joint in graph.joints:
        for own, other in ((joint.a, joint.b), (joint.b, joint.a)):
            beside = patches[other]
            rises = joint.kind == "concave" or (joint.kind == "smooth" and beside.inside)
            if patches[own].kind != "plane" or not rises:
                continue
            if runs_along(beside, frame) or is_holes_wall(beside, patches[own]):
                out.add(own)
    return out


def is_holes_wall(wall: Patch, floor: Patch) -> bool:
    """Whether a cylinder stands square on a plane and goes round it: a hole's wall on its floor."""
    square = wall.kind == "cylinder" and wall.inside and angle_between_lines(wall.axis, floor.axis) < PARALLEL_RAD
    return square and wall.arc_rad > ROUND_IT_RAD


def runs_along(patch: Patch, frame: Frame) -> bool:
    """Whether a plane or a cylinder goes on along the axis, as a tooth's side does; a flat's end does not."""
    turn = angle_between_lines(patch.axis, frame.axis)
    if patch.kind == "plane":
        return abs(math.pi / 2 - turn) < PARALLEL_RAD
    return patch.kind == "cylinder" and turn < PARALLEL_RAD


def faces_out(plane: Patch, frame: Frame) -> bool:
    """Whether a plane's middle lies in front of the axis: a flat's does, a keyway wall's or a boss's side does not."""
    if plane.points is None or not len(plane.points):
        return True
    side = cross(plane.axis, frame.axis)
    along = (plane.points - np.array(frame.origin)) @ np.array(side)
    return float(along.min()) < 0 < float(along.max())


def alike(a: tuple[float, float, float, float, Patch], b: tuple[float, float, float, float, Patch]) -> bool:
    """Whether two sides stand at the same height along the same stretch."""
    overlap = min(a[1], b[1]) - max(a[0], b[0])
    return overlap > 0.7 * max(a[1] - a[0], b[1] - b[0]) and abs(a[2] - b[2]) <= 0.03 * a[2] + 0.05


def flats_in(group: Sequence[tuple[float, float, float, float, Patch]]) -> list[Flats]:
    """A group at one height as a hexagon, pairs and singles."""
    if len(group) == 6 and evenly([side[3] for side in group], 6):
        return [made(group, across=2 * sum(s[2] for s in group) / 6)]
    left = list(group)
    found: list[Flats] = []
    while left:
        side = left.pop(0)
        twin = next((other for other in left if abs(turned_apart(side[3], other[3]) - math.pi) < PARALLEL_RAD), None)
        if twin is None:
            found.append(made([side], across=0.0))
        else:
            left.remove(twin)
            found.append(made([side, twin], across=side[2] + twin[2]))
    return found


def made(group: Sequence[tuple[float, float, float, float, Patch]], *, across: float) -> Flats:
    return Flats(
        planes=tuple(side[4] for side in group),
        across_mm=across,
        height_mm=min(side[2] for side in group),
        low_mm=min(side[0] for side in group),
        high_mm=max(side[1] for side in group),
    )


def turned_apart(a: float, b: float) -> float:
    """Between two directions round the axis, 0 to pi."""
    return abs((a - b + math.pi) % (2 * math.pi) - math.pi)


def evenly(turns: Sequence[float], count: int) -> bool:
    """Whether directions stand evenly round the axis."""
    ordered = sorted(turn % (2 * math.pi) for turn in turns)
    steps = [b - a for a, b in zip(ordered, [*ordered[1:], ordered[0] + 2 * math.pi], strict=True)]
    return len(turns) == count and all(abs(step - 2 * math.pi / count) < PARALLEL_RAD for step in steps)
