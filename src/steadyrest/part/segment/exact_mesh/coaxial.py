"""Exact finds that belong together: one surface in several pieces, and the axis that the turned ones share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane, circle_by_algebra
from steadyrest.part.fit.round import Ring, Sphere, Turned
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found, Surface
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

PARALLEL = 1e-3  # sine between two axes that count as one direction
LEAST_SHARE = 0.5


def merged(skin: Skin, found: list[Found], label: IntArray, tolerance: float) -> tuple[list[Found], IntArray]:
    """Cylinders in several pieces made one where they share axis, radius and stretch.

    Args:
        skin: made ready. found: finds. label: (m,) find of each facet. tolerance: how far surfaces may differ.
    Returns: the finds left, and the labels for them.
    """
    into = np.arange(len(found))
    cylinders = [k for k, one in enumerate(found) if isinstance(one.surface, Turned) and not one.surface.half_angle_rad]
    for place, b in enumerate(cylinders):
        for a in cylinders[:place]:
            if into[a] == a and _one_surface(skin, found[a], found[b], 3 * tolerance):
                into[b] = a
                break
    return _put_together(found, label, into, {})


def _put_together(
    found: list[Found], label: IntArray, into: IntArray, surfaces: dict[int, Surface]
) -> tuple[list[Found], IntArray]:
    """Finds and labels after find k went into find into[k]; new surfaces for some of those left."""
    if not len(into):
        return found, label
    kept = np.flatnonzero(into == np.arange(len(found)))
    new = np.searchsorted(kept, into)
    out: list[Found] = []
    for k in kept.tolist():
        members = np.unique(np.concatenate([found[j].members for j in np.flatnonzero(into == k).tolist()]))
        out.append(replace(found[k], members=members, surface=surfaces.get(k, found[k].surface)))
    return out, np.where(label >= 0, new[label], -1)


def rings_of_cones(skin: Skin, found: list[Found], label: IntArray, tolerance: float) -> tuple[list[Found], IntArray]:
    """Rows of narrow cones that are really one ring or ball: a fillet cut into triangles is a stack of cones.

    Args:
        skin: made ready. found: finds. label: (m,) find of each facet. tolerance: how far corners may lie off.
    Returns: the finds left, and the labels for them.
    """
    into = np.arange(len(found))
    surfaces: dict[int, Surface] = {}
    links = _neighbours(skin, label, len(found))
    seen: set[int] = set()
    for seed, first in enumerate(found):
        if seed in seen or not _narrow(first):
            continue
        stack, row = [seed], [seed]
        seen.add(seed)
        while stack:
            for k in links[stack.pop()]:
                if k in seen or not _narrow(found[k]) or found[k].inside != first.inside:
                    continue
                if _round_about(found[k], *_axis_of(first), 30 * tolerance):
                    seen.add(k)
                    row.append(k)
                    stack.append(k)
        if len(row) < 3:
            continue
        members = np.unique(np.concatenate([found[k].members for k in row]))
        bent = _ring_through(skin.points[members], *_axis_of(first), 3 * tolerance)
        if bent is not None:
            into[row] = min(row)
            surfaces[min(row)] = bent
    return _put_together(found, label, into, surfaces)


def _narrow(found: Found) -> bool:
    return isinstance(found.surface, Turned) and found.surface.half_angle_rad != 0


def _axis_of(found: Found) -> tuple[FloatArray, FloatArray]:
    assert isinstance(found.surface, Turned)
    return found.surface.point, found.surface.axis


def _neighbours(skin: Skin, label: IntArray, count: int) -> list[list[int]]:
    f, k = np.nonzero(skin.beside >= 0)
    a, b = label[f], label[skin.beside[f, k]]
    pairs = np.unique(np.stack((a, b), axis=1)[(a != b) & (a >= 0) & (b >= 0)], axis=0)
    out: list[list[int]] = [[] for _ in range(count)]
    for one, other in pairs.tolist():
        out[one].append(other)
    return out


def _ring_through(points: FloatArray, point: FloatArray, axis: FloatArray, tolerance: float) -> Surface | None:
    """The ring (or ball, if its centre lies on the axis) whose tube all points lie on."""
    rho, along = Turned(point, axis, 1.0).local(points)
    flat = np.stack((rho, along), axis=1)
    tube = circle_by_algebra(flat)
    if not np.isfinite(tube.radius_mm) or np.abs(tube.distances(flat)).max() > tolerance:
        return None
    centre = point + tube.centre[1] * axis
    if abs(tube.centre[0]) < 3 * tolerance:
        return Sphere(centre, tube.radius_mm)
    return Ring(centre, axis, float(tube.centre[0]), tube.radius_mm) if tube.centre[0] > 0 else None


def _one_surface(skin: Skin, a: Found, b: Found, tolerance: float) -> bool:
    one, other = a.surface, b.surface
    assert isinstance(one, Turned)
    assert isinstance(other, Turned)
    if a.inside != b.inside or abs(one.radius_mm - other.radius_mm) > tolerance:
        return False
    if np.linalg.norm(np.cross(one.axis, other.axis)) > PARALLEL:
        return False
    if np.linalg.norm(np.cross(other.point - one.point, one.axis)) > tolerance:
        return False
    along_a = (skin.points[a.members] - one.point) @ one.axis
    along_b = (skin.points[b.members] - one.point) @ one.axis
    return bool(along_a.min() <= along_b.max() + tolerance and along_b.min() <= along_a.max() + tolerance)


def common_axis(skin: Skin, found: list[Found], label: IntArray) -> tuple[Axis | None, float]:
    """The axis that most of the turned surface shares.

    Args:
        skin: made ready. found: finds. label: (m,) find of each facet.
    Returns: the axis, if more than half of what is not square to it is turned round it; the share of the whole surface
        that is turned round it or square to it.
    """
    areas = np.bincount(label[label >= 0], weights=skin.facet_areas[label >= 0], minlength=len(found))
    total = float(skin.facet_areas.sum())
    best: tuple[float, FloatArray, FloatArray, float] | None = None
    turned = [k for k, f in enumerate(found) if isinstance(f.surface, Turned)]
    for k in sorted(turned, key=lambda k: -areas[k])[:12]:
        surface = found[k].surface
        assert isinstance(surface, Turned)
        round_, square = 0.0, 0.0
        for j, other in enumerate(found):
            if _round_about(other, surface.point, surface.axis, 1e-3 * skin.size_mm):
                round_ += areas[j]
            elif isinstance(other.surface, Plane) and abs(other.surface.normal @ surface.axis) > 1 - 1e-5:
                square += areas[j]
        if best is None or round_ > best[0] + 1e-9:
            best = (round_, surface.point, surface.axis, square)
    if best is None or total <= 0:
        return None, 0.0
    round_, point, axis, square = best
    if round_ < LEAST_SHARE * (total - square):
        return None, 0.0
    middle = (skin.points.max(axis=0) + skin.points.min(axis=0)) / 2
    ahead = axis if axis[int(np.argmax(np.abs(axis)))] > 0 else -axis
    where = point + ((middle - point) @ ahead) * ahead
    return Axis(where, ahead, round_ / (total - square)), (round_ + square) / total


def aligned(found: Found, axis: Axis, tolerance: float) -> Found:
    """A find that is turned round the shared axis, marked so and pointing the same way along.

    Args:
        found: a find. axis: the shared one. tolerance: how far it may lie off.
    Returns: the find.
    """
    if not _round_about(found, axis.point, axis.direction, max(10 * tolerance, 1e-9)):
        return found
    surface = found.surface
    if isinstance(surface, Turned) and surface.axis @ axis.direction < 0:
        surface = replace(surface, axis=-surface.axis, half_angle_rad=-surface.half_angle_rad)
    elif isinstance(surface, Ring) and surface.axis @ axis.direction < 0:
        surface = replace(surface, axis=-surface.axis)
    return replace(found, surface=surface, coaxial=True)


def _round_about(found: Found, point: FloatArray, axis: FloatArray, tolerance: float) -> bool:
    surface = found.surface
    if isinstance(surface, Turned):
        at, direction = surface.point, surface.axis
    elif isinstance(surface, Ring):
        at, direction = surface.centre, surface.axis
    else:
        return False
    return bool(
        np.linalg.norm(np.cross(direction, axis)) < PARALLEL and np.linalg.norm(np.cross(at - point, axis)) < tolerance
    )
