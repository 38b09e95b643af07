"""The holes of a turned part that do not lie on its axis, as cylinders to cut: cross holes, bolt holes.

They stand where they were read, along the axis moved with the nominal profile, a blind one with the drill's point that
was read at its end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.outline import Segment
from steadyrest.shop.part import Feature, Part, Profile, Vec3

FloatArray = npt.NDArray[np.float64]
SQUARE = 0.1  # cosine to the part's axis below which a hole is a cross hole
OFF_LINE = 0.03  # of its diameter, that a drill's point may lie off a hole's axis and end
OVER = 0.25  # of an axial hole's length, that its cut stands out of an open mouth


@dataclass(frozen=True, slots=True)
class HoleCut:
    """A cylinder to cut, in the frame that is handed over: z along the part, x through the first keyway.

    start: where it begins, outside of the part. direction: unit vector into the part. length_mm: how far it goes.
    point_mm: how far a drill's point goes beyond that; 0 for none.
    """

    feature: str
    diameter_mm: float
    start: Vec3
    direction: Vec3
    length_mm: float
    point_mm: float = 0.0


def hole_cuts(part: Part, profile: Profile) -> tuple[HoleCut, ...]:
    """The off-axis holes of a turned part at nominal size.

    Args:
        part: with its features, and the profile as measured.
        profile: the nominal one.
    Returns: one cut a hole whose axis lies along the part's or square to it; others are left out.
    """
    measured = part.profile
    if measured is None:
        return ()
    holes = off_axis_holes(part)
    frame = handed_over_frame(part, measured, holes)
    found = ((hole, cut_of(hole, measured, profile, frame)) for hole in holes)
    return tuple(replace(cut, point_mm=point_of(hole, part, cut)) for hole, cut in found if cut is not None)


def off_axis_holes(part: Part) -> list[Feature]:
    """The holes that neither the profile nor a recess of it shows."""
    profile = part.profile
    named = (
        {s.feature for s in (*profile.outside, *profile.inside, *profile.recesses)} if profile else set[str | None]()
    )
    return [f for f in part.features if f.kind == "bore" and f.id not in named and f.size("diameter_mm")]


def handed_over_frame(part: Part, measured: Profile, holes: list[Feature]) -> FloatArray:
    """(3, 3) rows x, y, z of the handed-over frame in the file's: x through the first keyway, else the first hole."""
    z = np.array(measured.axis)
    keyway = next((f for f in part.features if f.kind == "keyway"), None)
    sides = [np.array(keyway.axis)] if keyway is not None else []
    for hole in holes:
        sides += [np.array(hole.at_mm) - np.array(measured.origin_mm), np.array(hole.axis)]
    sides += [np.eye(3)[int(np.argmin(np.abs(z)))]]
    x = next(s for s in (side - (side @ z) * z for side in sides) if np.linalg.norm(s) > 1e-3)
    x = x / np.linalg.norm(x)
    return np.stack([x, np.cross(z, x), z])


def cut_of(hole: Feature, measured: Profile, profile: Profile, frame: FloatArray) -> HoleCut | None:
    """One hole as a cut, or None where it lies askew."""
    into = frame @ np.array(hole.axis)
    middle = frame @ (np.array(hole.at_mm) - np.array(measured.origin_mm))
    diameter, depth = hole.size("diameter_mm"), hole.size("depth_mm") or hole.size("length_mm")
    if diameter is None or depth is None:
        return None
    wide, deep = named_mm(diameter, diameter.estimate), named_mm(depth, depth.estimate)
    reach = 2 * profile.largest_mm
    if abs(into[2]) < SQUARE:
        into = np.array([into[0], into[1], 0.0]) / math.hypot(into[0], into[1])
        middle[2] = along_nominal(float(middle[2]), measured, profile)
        # A blind one keeps its bottom where it was read; a through one goes all the way.
        bottom = middle + into * (depth.estimate / 2 + (deep - depth.estimate))
        start = middle - into * reach
        length = 2 * reach if hole.through else float((bottom - start) @ into)
    elif abs(into[2]) > 1 - SQUARE:
        way = 1.0 if into[2] > 0 else -1.0
        into = np.array([0.0, 0.0, way])
        ends = [along_nominal(float(middle[2]) + side * depth.estimate / 2, measured, profile) for side in (-way, way)]
        over = OVER * deep
        start = np.array([middle[0], middle[1], ends[0] - way * over])
        length = over + (abs(ends[1] - ends[0]) + over if hole.through else deep)
    else:
        return None
    return HoleCut(hole.id, wide, as_vec(start), as_vec(into), length)


def point_of(hole: Feature, part: Part, cut: HoleCut) -> float:
    """How far the drill's point at a blind hole's end goes, by a hollow cone on the hole's axis; 0 without one."""
    diameter, depth = hole.size("diameter_mm"), hole.size("depth_mm")
    if hole.through or diameter is None or depth is None:
        return 0.0
    at, into = np.array(hole.at_mm), np.array(hole.axis)
    for cone in part.surfaces:
        if cone.kind != "cone" or not cone.inside or float(np.dot(cone.axis, into)) > -1 + SQUARE**2:
            continue
        off = np.array(cone.point_mm) - at
        along = float(off @ into)
        beside = float(np.linalg.norm(off - along * into))
        tip = diameter.estimate / 2 / math.tan(cone.half_angle_rad)
        if (
            beside < OFF_LINE * diameter.estimate
            and abs(along - depth.estimate / 2 - tip) < OFF_LINE * diameter.estimate
        ):
            return cut.diameter_mm / 2 / math.tan(cone.half_angle_rad)
    return 0.0


def along_nominal(at_mm: float, measured: Profile, profile: Profile) -> float:
    """Where a place along the measured part lies on the nominal one."""
    old = [measured.outside[0].from_mm, *(s.to_mm for s in measured.outside)]
    new = [profile.outside[0].from_mm, *(s.to_mm for s in profile.outside)]
    if len(old) != len(new) or not old[0] <= at_mm <= old[-1]:
        return at_mm
    return float(np.interp(at_mm, old, new))


def as_vec(v: FloatArray) -> Vec3:
    return float(v[0]), float(v[1]), float(v[2])


def seen_from_its_mouth(cut: HoleCut) -> tuple[Segment, ...]:
    """A cross hole as the drawing shows it, x along the part: its circle on the centre line; none for an axial hole."""
    if abs(cut.direction[2]) >= SQUARE:
        return ()
    z, half = cut.start[2], cut.diameter_mm / 2
    return (
        Segment((z - half, 0.0), (z + half, 0.0), (z, 0.0), left=True),
        Segment((z + half, 0.0), (z - half, 0.0), (z, 0.0), left=True),
    )
