"""Keyways of which a scan shows a floor and one wall, or a floor alone.

The scanner looks steeply into a keyway and often sees neither wall. A floor between two round ends is one all the same;
so is a floor with one wall, for the axis lies half way; and so is a floor beside which the shaft goes on round, where a
flat would have cut it away.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from steadyrest.part.features.frame import Frame, cross, dot, minus
from steadyrest.part.features.keyway import FACING_RAD, OFF_CENTRE, Keyway, carrier
from steadyrest.part.features.profile import Piece
from steadyrest.part.features.turned import Slack, loose_angle, reach
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.shop.part import Vec3

NARROW = 0.75  # of the chord in which a flat as deep would meet the shaft
GOES_ON = 6  # points of the shaft to each side, over the floor's height, that no flat leaves


def keyway_on(
    graph: PatchGraph,
    frame: Frame,
    slack: Slack,
    floor: Patch,
    planes: Sequence[Patch],
    outside: Sequence[Piece],
) -> Keyway | None:
    """The keyway on a scanned floor with a round end at each side of it, one wall or none seen."""
    height = dot(minus(floor.point, frame.at(frame.along_of(floor.point))), floor.axis)
    if height <= 0:
        return None
    ends = [
        p
        for p in graph.patches
        if p.kind == "cylinder"
        and p.inside
        and abs(dot(p.axis, floor.axis)) > math.cos(2 * FACING_RAD + loose_angle(p, slack))
        and dot(minus(p.point, frame.origin), floor.axis) > 0
        and abs(dot(minus(p.point, frame.origin), cross(floor.axis, frame.axis))) < 0.3 * p.radius_mm
    ]
    if len(ends) != 2 or abs(ends[0].radius_mm - ends[1].radius_mm) > 0.15 * ends[0].radius_mm:
        return None
    side = cross(floor.axis, frame.axis)
    radius = (ends[0].radius_mm + ends[1].radius_mm) / 2
    walls = [
        p
        for p in planes
        if abs(dot(p.axis, side)) > math.cos(FACING_RAD)
        and abs(abs(dot(minus(p.point, frame.origin), side)) - radius) < 0.15 * radius
        and dot(minus(p.point, frame.origin), floor.axis) > 0
    ][:1]
    width = 2 * abs(dot(minus(walls[0].point, frame.origin), side)) if walls else 2 * radius
    centres = sorted(frame.along_of(end.point) for end in ends)
    low, high = centres[0] - width / 2, centres[1] + width / 2
    on = carrier(outside, low, high)
    if on is None or not 0 < height < max(on.low_radius_mm, on.high_radius_mm):
        return None
    return Keyway(tuple(walls), floor, tuple(ends), width, height, low, high, floor.axis, on, inside=False)


def keyway_by_one_wall(
    graph: PatchGraph, frame: Frame, slack: Slack, floor: Patch, planes: Sequence[Patch], inside: Sequence[Piece]
) -> Keyway | None:
    """The keyway in a scanned bore of which a floor and one wall were seen: the axis lies half way between both."""
    out: Vec3 = (-floor.axis[0], -floor.axis[1], -floor.axis[2])
    height = dot(minus(floor.point, frame.at(frame.along_of(floor.point))), out)
    if graph.noise_mm <= 0 or height <= 0 or floor.points is None:
        return None
    side = cross(floor.axis, frame.axis)
    beside = (floor.points - np.array(frame.origin)) @ np.array(side)
    reaches = sorted(abs(float(q)) for q in np.quantile(beside, [0.03, 0.97]))
    half = reaches[-1]
    low, high = reach(floor, frame, slack)
    on = carrier(inside, low, high)
    if on is None or not 0.8 < max(on.low_radius_mm, on.high_radius_mm) / height < 1 or reaches[0] < 0.5 * half:
        return None
    walls = [
        p
        for p in planes
        if abs(dot(p.axis, side)) > math.cos(FACING_RAD + loose_angle(p, slack))
        and abs(abs(dot(minus(p.point, frame.origin), side)) - half) < 0.25 * half
        and 0 < dot(minus(p.point, frame.origin), out) < height
    ]
    if not walls:
        return None
    wall = max(walls, key=lambda p: p.area_mm2)
    width = 2 * abs(dot(minus(wall.point, frame.origin), side))
    return Keyway((wall,), floor, (), width, height, low, high, out, on, inside=True)


def keyway_by_floor(
    graph: PatchGraph, frame: Frame, slack: Slack, floor: Patch, planes: Sequence[Patch], outside: Sequence[Piece]
) -> Keyway | None:
    """The keyway in a scanned shaft of which a floor and at most one wall were seen, told from a flat by what is
    left of the shaft beside it.

    Its width is twice as far as the wall stands off the axis; without a wall, that of the floor.
    """
    out = floor.axis
    height = dot(minus(floor.point, frame.at(frame.along_of(floor.point))), out)
    if graph.noise_mm <= 0 or height <= 0 or floor.points is None:
        return None
    low, high = reach(floor, frame, slack)
    on = carrier(outside, low, high)
    if on is None or on.ring is None or on.ring.main.kind == "plane":
        return None
    surface = max(on.low_radius_mm, on.high_radius_mm)
    if not 0.5 * surface < height < surface - slack.distance_mm:
        return None
    side = cross(out, frame.axis)
    beside = (floor.points - np.array(frame.origin)) @ np.array(side)
    left, right = (float(q) for q in np.quantile(beside, [0.02, 0.98]))
    half = (right - left) / 2
    chord = math.sqrt(surface**2 - height**2)
    if abs(left + right) / 2 > 2 * OFF_CENTRE * half or half > NARROW * chord:
        return None
    if min(left_beside(on, frame, side, out, height + slack.distance_mm, (low, high))) < GOES_ON:
        return None
    walls = [
        p
        for p in planes
        if abs(dot(p.axis, side)) > math.cos(FACING_RAD + loose_angle(p, slack))
        and half - slack.distance_mm < abs(dot(minus(p.point, frame.origin), side)) < half + slack.rounding_mm
        and height < dot(minus(p.point, frame.origin), out) < surface
        and min(high, reach(p, frame, slack)[1]) - max(low, reach(p, frame, slack)[0]) > 0.3 * (high - low)
    ]
    wall = max(walls, key=lambda p: p.area_mm2, default=None)
    width = 2 * abs(dot(minus(wall.point, frame.origin), side)) if wall is not None else 2 * half
    return Keyway((wall,) if wall is not None else (), floor, (), width, height, low, high, out, on, inside=False)


def left_beside(
    on: Piece, frame: Frame, side: Vec3, out: Vec3, over_mm: float, stretch: tuple[float, float]
) -> tuple[int, int]:
    """How many points of a shaft a scan shows to either side of the middle, higher than a flat would have left it."""
    counts = [0, 0]
    for patch in on.ring.patches if on.ring is not None else ():
        if patch.points is None or not len(patch.points):
            continue
        q = patch.points - np.array(frame.origin)
        along = frame.along(patch.points)
        high = (q @ np.array(out) > over_mm) & (along > stretch[0]) & (along < stretch[1])
        beside = q[high] @ np.array(side)
        counts[0] += int(np.count_nonzero(beside < 0))
        counts[1] += int(np.count_nonzero(beside > 0))
    return counts[0], counts[1]
