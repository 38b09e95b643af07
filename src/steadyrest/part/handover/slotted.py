"""Slots across an end of a turned part, such as a screw's, as something to cut and to draw."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from steadyrest.part.handover.holed import along_nominal, handed_over_frame, off_axis_holes
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.shop.part import Feature, Part, Profile, Surface, Vec3

FACING = 0.999
SQUARE = 0.05
OFF_SHARE, OFF_MM = 0.02, 0.05  # between the two walls' distance and the slot's width


@dataclass(frozen=True, slots=True)
class SlotCut:
    """A slot right across, in the frame that is handed over.

    width_mm: between its walls, whose middle lies off_mm from the axis. turn_rad: which way the walls look, round the
    axis. floor_mm, mouth_mm: along it.
    """

    feature: str
    width_mm: float
    off_mm: float
    turn_rad: float
    floor_mm: float
    mouth_mm: float


def slot_cuts(part: Part, profile: Profile) -> tuple[SlotCut, ...]:
    """The slots across the ends of a turned part at nominal size.

    Args:
        part: with its surfaces, and the profile as measured.
        profile: the nominal one.
    Returns: one cut a slot; one whose walls are not among the part's surfaces is left out.
    """
    measured = part.profile
    if measured is None:
        return ()
    frame = handed_over_frame(part, measured, off_axis_holes(part))
    found: list[SlotCut] = []
    for feature in part.features:
        width, depth = feature.size("width_mm"), feature.size("depth_mm")
        if feature.kind != "slot" or feature.along_mm is None or width is None or depth is None:
            continue
        walls = walls_of(feature, part.surfaces, measured.axis, width.estimate)
        if walls is None:
            continue
        normal = frame @ np.array(walls[0].axis)
        middle = frame @ (
            (np.array(walls[0].point_mm) + np.array(walls[1].point_mm)) / 2 - np.array(measured.origin_mm)
        )
        up = float(np.dot(feature.axis, measured.axis)) > 0
        mouth = along_nominal(feature.along_mm[1 if up else 0], measured, profile)
        deep = named_mm(depth, depth.estimate)
        found.append(
            SlotCut(
                feature=feature.id,
                width_mm=named_mm(width, width.estimate),
                off_mm=float(middle[:2] @ normal[:2]) / math.hypot(normal[0], normal[1]),
                turn_rad=math.atan2(normal[1], normal[0]),
                floor_mm=mouth - deep if up else mouth + deep,
                mouth_mm=mouth,
            )
        )
    return tuple(found)


def walls_of(
    slot: Feature, surfaces: tuple[Surface, ...], axis: Vec3, width_mm: float
) -> tuple[Surface, Surface] | None:
    """The two planes along the axis that face each other across a slot, the nearest to its middle."""
    if abs(float(np.dot(slot.axis, axis))) < FACING:
        return None
    planes = [s for s in surfaces if s.kind == "plane" and abs(float(np.dot(s.axis, axis))) < SQUARE]
    pairs: list[tuple[float, Surface, Surface]] = []
    for a, b in combinations(planes, 2):
        gap = float(np.dot(np.subtract(b.point_mm, a.point_mm), a.axis))
        if float(np.dot(a.axis, b.axis)) < -FACING and abs(gap - width_mm) < OFF_SHARE * width_mm + OFF_MM:
            middle = (np.array(a.point_mm) + np.array(b.point_mm)) / 2
            pairs.append((abs(float(np.dot(middle - np.array(slot.at_mm), axis))), a, b))
    return min(pairs, key=lambda pair: pair[0])[1:] if pairs else None
