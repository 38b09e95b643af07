"""Where a thread may be: turned stretches, and stretches of nameless surface all round an axis."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, radians, tan

import numpy as np
import numpy.typing as npt

from steadyrest.part.features.frame import square_to
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.shop.part import Vec3

FloatArray = npt.NDArray[np.float64]

STEEPEST_RAD = radians(4.0)  # a pipe thread's taper is 1.8 degrees
LEAST_ARC_RAD, LEAST_HOLLOW_RAD = radians(150.0), radians(200.0)  # a hollow seen half way round is a slot's end
LEAST_LENGTH_MM = 4.0
SAME_AXIS = 0.02  # of the radius
SECTORS = 12
TRIMMED = 1.8  # over the 90th percentile of what is off: keyways and edges lie farther, valleys do not
BAND = 0.22  # of the radius: the depth of a coarse thread and what the plain fit is off


@dataclass(frozen=True, slots=True)
class Shell:
    """A stretch round an axis, `point` at its middle; inside: a bore, None where no patch tells."""

    point: FloatArray
    axis: FloatArray
    radius_mm: float
    half_mm: float
    inside: bool | None


@dataclass(frozen=True, slots=True)
class Round:
    """Points seen from an axis: along it, round it, off it, each (n,)."""

    z_mm: FloatArray
    angle_rad: FloatArray
    rho_mm: FloatArray


def shells(graph: PatchGraph) -> Iterator[Shell]:
    """Stretches to look at, largest patches first."""
    for patch in sorted(graph.patches, key=lambda p: -p.area_mm2):
        shell = shell_of(patch)
        if shell is not None:
            yield shell
    if graph.axis is not None:
        yield from nameless_shells(graph, graph.axis)


def shell_of(patch: Patch) -> Shell | None:
    """A cylinder or slender cone as a stretch, or None."""
    if patch.kind not in ("cylinder", "cone"):
        return None
    if patch.arc_rad < (LEAST_HOLLOW_RAD if patch.inside else LEAST_ARC_RAD):
        return None
    if patch.half_angle_rad > STEEPEST_RAD or patch.along_mm[1] - patch.along_mm[0] < LEAST_LENGTH_MM:
        return None
    middle = sum(patch.along_mm) / 2
    radius = patch.radius_mm if patch.kind == "cylinder" else middle * tan(patch.half_angle_rad)
    axis = np.array(patch.axis)
    half = (patch.along_mm[1] - patch.along_mm[0]) / 2
    return Shell(np.array(patch.point) + middle * axis, axis, radius, half, patch.inside)


def nameless_shells(graph: PatchGraph, axis: tuple[Vec3, Vec3]) -> Iterator[Shell]:
    """Runs of nameless surface that reach all round the part's axis: a coarse thread has no other patch."""
    free = [p.points for p in graph.patches if p.kind == "free" and p.points is not None]
    if not free:
        return
    point, direction = np.array(axis[0]), np.array(axis[1])
    seen = seen_from(np.concatenate(free), point, direction)
    bins = np.floor(seen.z_mm).astype(np.int64)
    round_it = {
        int(at)
        for at in np.unique(bins)
        if len(np.unique((seen.angle_rad[bins == at] / (2 * pi) * SECTORS).astype(np.int64))) >= SECTORS - 4
    }
    for low, high in runs(round_it):
        here = (seen.z_mm >= low) & (seen.z_mm <= high)
        if high - low >= LEAST_LENGTH_MM:
            middle = point + (low + high) / 2 * direction
            yield Shell(middle, direction, float(np.median(seen.rho_mm[here])), (high - low) / 2, None)


def runs(places: set[int]) -> Iterator[tuple[int, int]]:
    """Unbroken runs of whole numbers, as from and to (one past the last); a gap of one is bridged."""
    start: int | None = None
    last = 0
    for at in sorted(places):
        if start is not None and at > last + 2:
            yield start, last + 1
            start = at
        start = at if start is None else start
        last = at
    if start is not None:
        yield start, last + 1


def seen_from(points: FloatArray, point: FloatArray, axis: FloatArray) -> Round:
    """Points (n, 3) in cylinder coordinates about an axis; angles from 0 to 2 pi."""
    first, second = square_to((float(axis[0]), float(axis[1]), float(axis[2])))
    away = points - point
    x, y = away @ first, away @ second
    return Round(away @ axis, np.arctan2(y, x) % (2 * pi), np.hypot(x, y))


def smooth_course(seen: Round, half_length_mm: float) -> FloatArray:
    """(n,) the radius as it would be without a thread: level, taper, barrel, axis off and askew, oval."""
    z, angle = seen.z_mm / half_length_mm, seen.angle_rad
    c, s = np.cos(angle), np.sin(angle)
    terms = np.stack([np.ones_like(z), z, z * z, c, s, z * c, z * s, np.cos(2 * angle), np.sin(2 * angle)], axis=1)
    kept = np.ones(len(z), dtype=bool)
    course = np.zeros_like(z)
    for _ in range(3):
        some = terms[kept]
        square = some.T @ some + 1e-9 * len(some) * np.eye(terms.shape[1])
        course = terms @ np.linalg.solve(square, some.T @ seen.rho_mm[kept])
        off = np.abs(seen.rho_mm - course)
        kept = off <= max(TRIMMED * float(np.percentile(off, 90)), 1e-9)
        if int(kept.sum()) < 20:
            break
    return course


def point_at(point: FloatArray, axis: FloatArray, along_mm: float) -> Vec3:
    """The point so far along an axis."""
    x, y, z = (float(v) for v in point + along_mm * axis)
    return (x, y, z)
