"""Narrow surfaces beside known ones, too few points wide to be proposed from their own neighbourhood.

A countersink stands round the line of its hole, a keyway's wall square on its floor: what is known of the direction
leaves one or two numbers to find, and a strip three points wide has enough of them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import flat
from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Sphere, Turned
from steadyrest.part.fit.solve import tukey, unit
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import Limits, sectors_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

WIDEST = 2.6  # of a hole's radius: a countersink's mouth
FLATTEST, STEEPEST = 0.25, 0.97  # of a cone's normal along the axis
ASIDE = 0.4  # of a normal round the axis: more is no surface of revolution
LEAST_POINTS = 20
ROUNDED_MM = 0.9  # an edge broken by hand, as a scan shows it; common practice, no source
ROUNDED_END_MM = 0.7  # of a cone's slant at either end, where the edges that it meets are rounded
AS_MUCH = 0.75  # of a cone's surface that it must hold on its hole's line
LEAST_ROUND = 4.4  # rad that a cone's points must reach round
UPRIGHT = 0.8  # of a wall's normal square to the floor's and to the keyway's length
DEEPEST = 1.2  # of the floor's width: a keyway's wall is lower


def cones_beside(skin: Skin, free: BoolArray, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """Cones on the lines of full round cylinders; the points found are no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet. found: what is known.
        limits: what counts.
    Returns: cones, widening along their axes.
    """
    out: list[Found] = []
    for one in found:
        surface = one.surface
        if (
            not isinstance(surface, Turned)
            or surface.half_angle_rad
            or arc_of_few(surface, skin.points[one.members]) < 5
        ):
            continue
        along = (skin.points[one.members] - surface.point) @ surface.axis
        for sense, end in ((-1.0, float(along.min())), (1.0, float(along.max()))):
            if has_cone(surface, end, [*found, *out]):
                continue
            cone = cone_at(skin, free, surface, sense, end, inside=one.inside, limits=limits)
            if cone is not None:
                out.append(cone)
                free[cone.members] = False
    return out


def cones_on_lines(skin: Skin, free: BoolArray, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """The finds, with what seems a cone at the end of a full round cylinder found again on that cylinder's line.

    A countersink is too short to tell its own axis: a tilt of its axis is an error of its rim. Where the line of its
    hole explains nearly the same surface, four numbers fewer do.

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet (changed in place). found: finds.
        limits: what counts.
    Returns: finds; cones found again are last.
    """
    out = list(found)
    for one in found:
        hole = one.surface
        if not isinstance(hole, Turned) or hole.half_angle_rad or arc_of_few(hole, skin.points[one.members]) < 5:
            continue
        along = (skin.points[one.members] - hole.point) @ hole.axis
        for sense, end in ((-1.0, float(along.min())), (1.0, float(along.max()))):
            known = [f for f in out if f is not one and f.inside == one.inside and may_be_cone(skin, hole, end, f)]
            if not known:
                continue
            tried = free.copy()
            for f in known:
                tried[f.members] = True
            cone = cone_at(skin, tried, hole, sense, end, inside=one.inside, limits=limits)
            area = sum(float(skin.areas[f.members].sum()) for f in known)
            if cone is None or float(skin.areas[cone.members].sum()) < AS_MUCH * area:
                continue
            for f in known:
                free[f.members] = True
            free[cone.members] = False
            out = [f for f in out if not any(f is k for k in known)]
            out.append(cone)
    return out


def may_be_cone(skin: Skin, hole: Turned, end_mm: float, found: Found) -> bool:
    """Whether a find at the end of a hole may be its countersink or its drill's point: a cone on its line, or a band
    of a ball or of a cylinder askew, which is what a short cone looks like from its own points alone."""
    surface = found.surface
    if isinstance(surface, Turned) and surface.half_angle_rad:
        return has_cone(hole, end_mm, [found])
    if isinstance(surface, Turned):
        askew = float(np.linalg.norm(np.cross(surface.axis, hole.axis))) > 0.2
    else:
        askew = isinstance(surface, Sphere) and float(skin.areas[found.members].sum()) < np.pi * surface.radius_mm**2
    if not askew:
        return False
    q = skin.points[found.members] - hole.point
    t = q @ hole.axis
    rho = np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - t * t, 0.0))
    return float(np.quantile(rho, 0.95)) < WIDEST * hole.radius_mm and abs(float(np.median(t)) - end_mm) < (
        1.5 * hole.radius_mm
    )


def cone_at(
    skin: Skin, free: BoolArray, hole: Turned, sense: float, end: float, *, inside: bool, limits: Limits
) -> Found | None:
    """The cone that widens out of the end of a hollow cylinder (or narrows from the end of a solid one)."""
    axis = sense * hole.axis if inside else -sense * hole.axis
    q = skin.points - hole.point
    t = q @ axis
    radial = q - np.outer(t, axis)
    rho = np.linalg.norm(radial, axis=1)
    radial /= np.maximum(rho, 1e-12)[:, None]
    start = sense * end if inside else -sense * end
    reach = WIDEST * hole.radius_mm
    near = free & ((rho > 1.03 * hole.radius_mm) & (rho < reach) if inside else (rho < 0.97 * hole.radius_mm))
    near &= np.abs(t - start) < 1.5 * hole.radius_mm + 2 * skin.spacing_mm
    some = np.flatnonzero(near)
    if len(some) < LEAST_POINTS:
        return None
    lean = skin.normals[some] @ axis
    out = np.einsum("ij,ij->i", skin.normals[some], radial[some])
    aside = np.sqrt(np.maximum(1 - lean * lean - out * out, 0.0))
    turn = -1.0 if inside else 1.0
    fits = (
        (np.abs(lean) > FLATTEST) & (np.abs(lean) < STEEPEST) & (aside < ASIDE) & (turn * out > 0) & (turn * lean < 0)
    )
    some = some[fits]
    if len(some) < LEAST_POINTS:
        return None
    guess = float(np.median(np.abs(lean[fits])) / max(float(np.median(np.abs(out[fits]))), 1e-6))
    slope, level, on = line_through(t[some], rho[some], guess, limits.reach_mm)
    slope, level, on = without_ends(t[some], rho[some], slope, level, on, limits.reach_mm)
    members = some[on]
    if not 0.1 < slope < 8 or len(members) < LEAST_POINTS:
        return None
    middle = float(t[members].mean())
    surface = Turned(hole.point + middle * axis, axis, level + slope * middle, float(np.arctan(slope)))
    area = float(skin.areas[members].sum())
    low, high = np.quantile(t[members], [0.03, 0.97])
    slant = float(high - low) * float(np.hypot(1.0, slope))
    wide = slant > max(1.6 * skin.spacing_mm, 0.15 * hole.radius_mm, ROUNDED_MM)  # no rounded edge
    sound = surface.radius_mm > 0 and wide and area > 0.6 * limits.least_mm2
    return (
        Found(surface, members, inside) if sound and arc_of_few(surface, skin.points[members]) > LEAST_ROUND else None
    )


def line_through(t: FloatArray, rho: FloatArray, guess: float, reach_mm: float) -> tuple[float, float, BoolArray]:
    """Slope and level of the line rho(t) that most points lie on, and which do; normals give the first guess."""
    slope, level = guess, float(np.median(rho - guess * t))
    w = np.ones(len(t))
    for k in range(12):
        if k:
            slope, level = (float(c) for c in np.polyfit(t, rho, 1, w=np.sqrt(w) + 1e-9))
        off = (rho - level - slope * t) / np.hypot(1.0, slope)
        width = max(reach_mm, 3 * float(np.median(np.abs(off)))) if k < 8 else reach_mm
        w = tukey(off, 1.5 * width)
    off = (rho - level - slope * t) / np.hypot(1.0, slope)
    return slope, level, np.abs(off) < reach_mm


def without_ends(
    t: FloatArray, rho: FloatArray, slope: float, level: float, on: BoolArray, reach_mm: float
) -> tuple[float, float, BoolArray]:
    """The line again without the points near both of its ends, where edges are rounded; which points lie on it."""
    low, high = np.quantile(t[on], (0.02, 0.98)) if on.any() else (0.0, 0.0)
    edge = min(ROUNDED_END_MM / float(np.hypot(1.0, slope)), 0.25 * float(high - low))
    inner = on & (t > low + edge) & (t < high - edge)
    if np.count_nonzero(inner) < LEAST_POINTS:
        return slope, level, on
    for _ in range(6):
        off = (rho - level - slope * t) / np.hypot(1.0, slope)
        w = tukey(off, 1.5 * reach_mm)[inner]
        slope, level = (float(c) for c in np.polyfit(t[inner], rho[inner], 1, w=np.sqrt(w) + 1e-9))
    off = (rho - level - slope * t) / np.hypot(1.0, slope)
    return slope, level, np.abs(off) < reach_mm


def arc_of_few(surface: Turned, points: FloatArray) -> float:
    """How far round few points reach: in 16 sectors, rad."""
    return sectors_of(surface, points, 16) / 16 * 2 * np.pi


def has_cone(hole: Turned, end_mm: float, found: Sequence[Found]) -> bool:
    """Whether a cone on a hole's line is known near one of its ends: what is left there is its rounded mouth."""
    return any(
        isinstance(one.surface, Turned)
        and one.surface.half_angle_rad != 0
        and float(np.linalg.norm(np.cross(one.surface.axis, hole.axis))) < 0.1
        and float(np.linalg.norm(np.cross(one.surface.point - hole.point, hole.axis))) < 0.2 * hole.radius_mm
        and abs(float((one.surface.point - hole.point) @ hole.axis) - end_mm) < 3 * hole.radius_mm
        for one in found
    )


def walls_beside(
    skin: Skin, free: BoolArray, found: Sequence[Found], axis: FloatArray, *, limits: Limits
) -> list[Found]:
    """Walls that stand on floors along an axis; the points found are no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet. found: planes along the axis.
        axis: (3,) of the part. limits: what counts.
    Returns: planes that face the middle of the floor.
    """
    out: list[Found] = []
    for floor in found:
        if not isinstance(floor.surface, Plane) or abs(float(floor.surface.normal @ axis)) > 0.1:
            continue
        side = unit(np.cross(axis, floor.surface.normal))
        q = skin.points[floor.members] - floor.surface.point
        half = float(np.quantile(np.abs(q @ side - np.median(q @ side)), 0.98))
        low, high = np.quantile(q @ axis, [0.01, 0.99])
        p = skin.points - floor.surface.point
        up, along, beside = p @ floor.surface.normal, p @ axis, p @ side - float(np.median(q @ side))
        near = free & (up > 0) & (up < 2 * DEEPEST * half) & (along > low) & (along < high)
        near &= np.abs(np.abs(beside) - half) < 1.5 * skin.spacing_mm
        for sense in (-1.0, 1.0):
            some = np.flatnonzero(near & (sense * beside > 0) & (-sense * (skin.normals @ side) > UPRIGHT))
            wall = wall_through(skin, some, -sense * side, limits=limits)
            if wall is not None and not already(skin, wall, found):
                out.append(wall)
                free[wall.members] = False
    return out


def wall_through(skin: Skin, some: IntArray, normal: FloatArray, *, limits: Limits) -> Found | None:
    """The plane through points of a wall whose direction is known but for a little."""
    if len(some) < LEAST_POINTS:
        return None
    off = skin.points[some] @ normal
    off = off - np.median(off)
    members = some[np.abs(off) < max(limits.reach_mm, 2 * float(np.median(np.abs(off))))]
    if len(members) < LEAST_POINTS or float(np.median(np.abs(off))) > 2 * limits.noise_mm + 0.05 * skin.spacing_mm:
        return None
    plane = flat.plane(skin.points[members])
    towards = plane.normal if plane.normal @ normal > 0 else -plane.normal
    if towards @ normal < 0.97:
        towards = normal  # too narrow to tell its own tilt
    return Found(Plane(skin.points[members].mean(axis=0), towards), members)


def already(skin: Skin, wall: Found, found: Sequence[Found]) -> bool:
    """Whether a known plane is this wall."""
    assert isinstance(wall.surface, Plane)
    middle = skin.points[wall.members].mean(axis=0)
    return any(
        isinstance(one.surface, Plane)
        and one.surface.normal @ wall.surface.normal > 0.97
        and abs(float((middle - one.surface.point) @ one.surface.normal)) < 0.5 * skin.spacing_mm
        and float(np.linalg.norm(skin.points[one.members] - middle, axis=1).min()) < 4 * skin.spacing_mm
        for one in found
    )
