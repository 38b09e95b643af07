"""The nominal solid of a part that is not turned, as shapes to put together: boxes between its levels, bosses and
inner rounds added, holes, countersinks, outer rounds and slants cut.

All in the part's own directions, the longest along x, its lowest corner at zero. What stands askew, and every surface
that is no plane, cylinder or cone, is left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.handover.holed import as_vec
from steadyrest.part.handover.levels import Levels, along_frame, levels_of
from steadyrest.part.handover.nominal_profile import named_mm
from steadyrest.part.handover.rounded import Corner, corners_of, masked
from steadyrest.part.handover.slanted import Slant, slants_of
from steadyrest.part.handover.stepped import Round, boxes_of
from steadyrest.shop.part import Feature, Part, Surface, Vec3
from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
NEAR_MM = 0.8  # beyond a scan's own noise: how far from its face a ragged rim ends
OVER_MM = 0.5  # that a hole's cut stands out of its mouth
LINE_SHARE = 0.02
FOOT_SHARE = 0.35  # of a boss's diameter, that its rounded foot may be high
ALL_ROUND_RAD = math.radians(300)
NOTHING = "nothing of it lies between flat faces, so there is no nominal solid."


@dataclass(frozen=True, slots=True)
class Rod:
    """A cylinder or, where the two radii differ, a cone, from a start along a direction."""

    feature: str
    start: Vec3
    direction: Vec3
    from_radius_mm: float
    to_radius_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Milled:
    """Shapes to put together: what is added first, then what is cut. features: ids of all that are drawn.

    one_body: the file has one, so that all of it hangs together.
    """

    boxes: tuple[tuple[Vec3, Vec3], ...]
    bosses: tuple[Rod, ...]
    holes: tuple[Rod, ...]
    corners: tuple[Corner, ...]
    slants: tuple[Slant, ...]
    features: frozenset[str]
    one_body: bool


def milled_of(part: Part, *, split: bool = False) -> Milled:
    """The nominal shapes of a part.

    Args:
        part: not turned, read with its cells.
        split: boxes end where a slanted face does, too: what is milled askew becomes right, at the price of more faces.
    Returns: shapes in mm.
    Raises: BadInput: it was read without its cells, or none of it lies between its faces.
    """
    grid = part.grid
    if grid is None or part.frame is None:
        what = "it was read without its cells."
        raise BadInput(where=part.name, what=what, do="Read the file again, its unit said.")
    frame = np.array(part.frame)
    low = along_frame(frame, grid.origin_mm)
    levels = levels_of(part, frame, (low, low + grid.pitch_mm * np.array(grid.shape)), split=split)
    near_mm = NEAR_MM + 2 * part.noise_mm if part.kind == "scan" else levels.slack_mm
    holes = [(f, hole_rod(f, frame, levels, near_mm)) for f in part.features if f.kind == "bore"]
    bosses = [(f, boss_rod(f, part, frame, levels, near_mm)) for f in part.features if f.kind == "boss"]
    corners = corners_of(part, frame, levels, near_mm)
    rounds = [rod_round(f, frame, filled=True) for f, rod in holes if rod is not None]
    cones = [(s, cone_rod(s, frame, levels, near_mm)) for s in part.surfaces]
    bosses_and_cones = [rod for _, rod in (*bosses, *cones) if rod is not None]
    rounds += [Round(*middle_of(rod), filled=False) for _, rod in cones if rod is not None]
    rounds += [rod_round(f, frame, filled=False) for f, rod in bosses if rod is not None]
    boxes = boxes_of(grid, levels, [*rounds, *(masked(corner) for corner in corners)])
    if not boxes:
        raise BadInput(where=part.name, what=NOTHING, do="Hand over the file as it is.")
    zero = np.min([box[0] for box in boxes], axis=0)
    sinks = [rod for s in part.surfaces if (rod := sink_rod(s, part, frame, levels, near_mm)) is not None]
    cut = (*(rod for _, rod in holes if rod is not None), *sinks)
    slants = slants_of(part, frame, levels, boxes, near_mm)
    drawn = {rod.feature for rod in (*cut, *bosses_and_cones)} | {
        one.feature for one in (*corners, *slants) if one.feature
    }
    return Milled(
        boxes=tuple((as_vec(a - zero), as_vec(b - zero)) for a, b in boxes),
        bosses=tuple(moved(rod, zero) for rod in bosses_and_cones),
        holes=tuple(moved(rod, zero) for rod in cut),
        corners=tuple(corner.moved(zero) for corner in corners),
        slants=tuple(slant.moved(zero) for slant in slants),
        features=frozenset(drawn) | between_levels(part, levels),
        one_body=(part.solids or 1) == 1,
    )


def between_levels(part: Part, levels: Levels) -> frozenset[str]:
    """Features that the boxes show: those whose planes all stand at levels."""
    placed = {name for axis in levels.axes for level in axis for name in level.features}
    askew = {
        s.feature
        for s in part.surfaces
        if s.kind == "plane" and s.feature and max(abs(c) for c in along_frame(np.array(part.frame), s.axis)) < 0.9998
    }
    kinds = ("face", "pocket", "slot", "boss")
    return frozenset(f.id for f in part.features if f.kind in kinds and f.id in placed - askew)


def hole_rod(hole: Feature, frame: FloatArray, levels: Levels, near_mm: float) -> Rod | None:
    """A hole as a cylinder to cut; a blind one from its mouth to its bottom, a through one out of both ends."""
    diameter, long = hole.size("diameter_mm"), hole.size("depth_mm") or hole.size("length_mm")
    if diameter is None or long is None:
        return None
    into = along_frame(frame, hole.axis)
    middle = placed(along_frame(frame, hole.at_mm), into, levels)
    ends = [along_frame(frame, hole.at_mm) + side * into * long.estimate / 2 for side in (-1, 1)]
    mouth, bottom = (placed_end(end, into, levels, near_mm) for end in ends)
    deep = named_mm(long, long.estimate) if not hole.through else float((bottom - mouth) @ into) + OVER_MM
    start = middle + into * float((mouth - middle) @ into) - into * OVER_MM
    radius = named_mm(diameter, diameter.estimate) / 2
    return Rod(hole.id, as_vec(start), as_vec(into), radius, radius, deep + OVER_MM)


def boss_rod(boss: Feature, part: Part, frame: FloatArray, levels: Levels, near_mm: float) -> Rod | None:
    """A round boss as a cylinder to add."""
    diameter, long = boss.size("diameter_mm"), boss.size("length_mm")
    if diameter is None or long is None:
        return None
    out = along_frame(frame, boss.axis)
    ends = [along_frame(frame, boss.at_mm) + side * out * long.estimate / 2 for side in (-1, 1)]
    low, high = (
        boss_end(end, side * out, part, levels, near_mm, diameter.estimate)
        for end, side in zip(ends, (-1, 1), strict=True)
    )
    middle = placed(along_frame(frame, boss.at_mm), out, levels)
    start = middle + out * float((low - middle) @ out)
    radius = named_mm(diameter, diameter.estimate) / 2
    return Rod(boss.id, as_vec(start), as_vec(out), radius, radius, float((high - low) @ out))


def boss_end(
    end: FloatArray, out: FloatArray, part: Part, levels: Levels, near_mm: float, wide_mm: float
) -> FloatArray:
    """Where a boss ends: at the level that it is nearest to, or beyond a rounded foot at the face it stands on."""
    k = int(np.argmax(np.abs(out)))
    if abs(out[k]) > 1 - LINE_SHARE**2 and not levels.stands_at(k, float(end[k]), within_mm=near_mm):
        feet = [
            at
            for surface in part.surfaces
            if (at := foot_mm(surface, np.array(part.frame), end, out)) is not None and at <= FOOT_SHARE * wide_mm
        ]
        if feet:
            done = end.copy()
            done[k] = levels.nominal(k, float(end[k]) + min(feet) * float(out[k]))
            return done
    return placed_end(end, out, levels, near_mm)


def foot_mm(surface: Surface, frame: FloatArray, end: FloatArray, out: FloatArray) -> float | None:
    """How far beyond a boss's end a face lies that looks at it and reaches all round it; None for another surface."""
    if surface.kind != "plane" or float(along_frame(frame, surface.axis) @ out) > -1 + LINE_SHARE**2:
        return None
    k = int(np.argmax(np.abs(out)))
    points = np.array(surface.reach_mm) @ frame.T
    across = [axis for axis in range(3) if axis != k]
    if any(not points[:, axis].min() < end[axis] < points[:, axis].max() for axis in across):
        return None
    off = float((along_frame(frame, surface.point_mm) - end) @ out)
    return off if off > 0 else None


def sink_rod(surface: Surface, part: Part, frame: FloatArray, levels: Levels, near_mm: float) -> Rod | None:
    """A hollow cone as a cone to cut: a countersink, its mouth carried on a little; a drill's point, from its rim."""
    if surface.kind != "cone" or not surface.inside:
        return None
    apex, axis = along_frame(frame, surface.point_mm), along_frame(frame, surface.axis)
    feature = next((f for f in part.features if f.id == surface.feature), None)
    along = (np.array(surface.reach_mm) @ frame.T - apex) @ axis
    low, high = max(0.0, float(along.min())), float(along.max())
    slope = math.tan(surface.half_angle_rad)
    angle = feature.size("angle_deg") if feature is not None else None
    wide = feature.size("diameter_mm") if feature is not None else None
    if feature is None or feature.kind != "cone" or wide is None or angle is None:
        low = 0.0 if low < LINE_SHARE * high else low
        return Rod(
            surface.feature or "", as_vec(apex + low * axis), as_vec(axis), low * slope, high * slope, high - low
        )
    slope = math.tan(math.radians(named_mm(angle, angle.estimate)) / 2)
    rim = placed_end(apex + axis * wide.estimate / 2 / math.tan(surface.half_angle_rad), axis, levels, near_mm)
    radius = named_mm(wide, wide.estimate) / 2
    foot = max(0.0, low * math.tan(surface.half_angle_rad))
    long = (radius - foot) / slope
    over = OVER_MM / 2
    return Rod(feature.id, as_vec(rim - axis * long), as_vec(axis), foot, radius + over * slope, long + over)


def cone_rod(surface: Surface, frame: FloatArray, levels: Levels, near_mm: float) -> Rod | None:
    """A cone that stands out, all round, as a cone to add."""
    if surface.kind != "cone" or surface.inside or surface.arc_rad < ALL_ROUND_RAD:
        return None
    apex, axis = along_frame(frame, surface.point_mm), along_frame(frame, surface.axis)
    along = (np.array(surface.reach_mm) @ frame.T - apex) @ axis
    ends = [placed_end(apex + axis * max(0.0, float(end)), axis, levels, near_mm) for end in (along.min(), along.max())]
    low, high = (float((end - apex) @ axis) for end in ends)
    slope = math.tan(surface.half_angle_rad)
    low = max(low, 0.0)
    return Rod(surface.feature or "", as_vec(apex + low * axis), as_vec(axis), low * slope, high * slope, high - low)


def middle_of(rod: Rod) -> tuple[FloatArray, FloatArray, float, float]:
    """Middle, axis, largest radius and half of the length."""
    axis = np.array(rod.direction)
    middle = np.array(rod.start) + axis * rod.length_mm / 2
    return middle, axis, max(rod.from_radius_mm, rod.to_radius_mm), rod.length_mm / 2


def rod_round(feature: Feature, frame: FloatArray, *, filled: bool) -> Round:
    """A hole or a boss as it was read, for the cells."""
    long = feature.size("depth_mm") or feature.size("length_mm")
    wide = feature.size("diameter_mm")
    assert long is not None
    assert wide is not None
    middle, axis = along_frame(frame, feature.at_mm), along_frame(frame, feature.axis)
    return Round(middle, axis, wide.estimate / 2, long.estimate / 2, filled)


def placed(point: FloatArray, axis: FloatArray, levels: Levels) -> FloatArray:
    """A point of an axis moved as the faces nearest to it were, across the axis."""
    done = point.copy()
    for k in range(3):
        if abs(axis[k]) < LINE_SHARE:
            done[k] = levels.nominal(k, float(point[k]), within_mm=0.0)
    return done


def placed_end(point: FloatArray, axis: FloatArray, levels: Levels, near_mm: float) -> FloatArray:
    """Where an end lies: at the level that it is nearest to, where its axis runs along a direction."""
    k = int(np.argmax(np.abs(axis)))
    done = point.copy()
    if abs(axis[k]) > 1 - LINE_SHARE**2:
        done[k] = levels.nominal(k, float(point[k]), within_mm=near_mm)
    return done


def moved(rod: Rod, zero: FloatArray) -> Rod:
    start = as_vec(np.array(rod.start) - zero)
    return Rod(rod.feature, start, rod.direction, rod.from_radius_mm, rod.to_radius_mm, rod.length_mm)
