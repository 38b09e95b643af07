"""Cylinders and cones of an exact mesh: strips that follow one another over soft edges and lie on one turned surface.

Three strips propose it; the corners of all that follow must lie on it to rounding. A hexagon's corners lie on a
cylinder too: so fewer than ten strips to the round (36 degrees each) are left as planes.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import circle_by_algebra
from steadyrest.part.fit.round import Ring, Sphere, Turned
from steadyrest.part.fit.solve import across
from steadyrest.part.segment.exact_mesh.flats import Flats
from steadyrest.part.segment.exact_mesh.strip_walks import reached, settled, which_lie
from steadyrest.part.segment.found import Found, Surface
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

FAILURES = 300  # seeds in vain; each find buys some back
SURE_STRIPS, LEAST_STRIPS = 5, 3  # first pass; second, when rings and balls are known
SURE_ARC, LEAST_ARC = 0.3, 0.6  # rad that so many strips must reach round
STEEPEST_CONE = np.radians(80.0)
ROUNDS = 15


def add_strips(skin: Skin, flats: Flats, found: list[Found], whose: IntArray, tolerance: float, least: int) -> None:
    """Cylinders and cones of at least so many strips; found and whose grow in place.

    Args:
        skin: made ready. flats: its coplanar pieces. found: finds so far. whose: (flats,) find of each flat, -1 none.
        tolerance: how far corners may lie off. least: strips to a find.
    """
    failures = 0
    # Large strips first: they settle an axis best; equal ones in the order of the file.
    for seed in np.argsort(-flats.area, kind="stable").tolist():
        if whose[seed] >= 0:
            continue
        if failures > FAILURES:
            break
        soft = [k for k in flats.soft(seed) if whose[k] < 0]
        if not soft:
            continue
        grown = _grown_from(skin, flats, seed, soft, whose, tolerance, least)
        if grown is None:
            failures += 1
            continue
        failures = max(0, failures - 25)
        surface, inside, members = grown
        whose[members] = len(found)
        found.append(Found(surface, flats.corners_of(members), inside))


def _grown_from(
    skin: Skin, flats: Flats, seed: int, soft: list[int], whose: IntArray, tolerance: float, least: int
) -> tuple[Surface, bool, list[int]] | None:
    """The first proposal from a strip and its neighbours that enough strips agree with."""
    for surface in _proposals(skin, flats, seed, soft, tolerance):
        members, inside = gathered(skin, flats, seed, surface, whose, 3 * tolerance)
        if len(members) < least:
            continue
        refined = refined_turned(skin.points[flats.corners_of(members)], surface, ROUNDS)
        again, inside = gathered(skin, flats, seed, refined, whose, tolerance)
        if len(again) < least or abs(refined.half_angle_rad) > STEEPEST_CONE or refined.radius_mm > 20 * skin.size_mm:
            continue
        turn = float((flats.normal[again] @ flats.normal[again[0]]).min())
        if 2 * np.arccos(np.clip(turn, -1, 1)) < (SURE_ARC if len(again) >= SURE_STRIPS else LEAST_ARC):
            continue
        return refined, inside, again
    return None


def _proposals(skin: Skin, flats: Flats, seed: int, soft: list[int], tolerance: float) -> list[Turned]:
    out: list[Turned] = []
    normals = flats.normal
    pairs = [
        (a, b)
        for k, a in enumerate(soft)
        for b in soft[k + 1 :]
        if normals[a] @ normals[b] < normals[seed] @ normals[a]
    ]
    for a, b in (*pairs[:3], *((k, k) for k in soft[:2])):
        turn = np.cross(normals[a], normals[seed] if a == b else normals[b])
        size = float(np.linalg.norm(turn))
        if size < 1e-6:
            continue
        points = skin.points[flats.corners_of([seed, a, b])]
        start = cylinder_along(points, turn / size)
        if np.isfinite(start.radius_mm) and np.abs(start.distances(points)).max() < 3 * tolerance:
            out.append(start)
        elif a != b:
            cone = _cone_on(points, flats, (seed, a, b), tolerance)
            if cone is not None:
                out.append(cone)
    return out


def _cone_on(points: FloatArray, flats: Flats, three: tuple[int, int, int], tolerance: float) -> Turned | None:
    """The cone of three strips: its apex where their planes meet."""
    seed, a, b = three
    normals = flats.normal
    axis = np.cross(normals[a] - normals[seed], normals[b] - normals[seed])
    size = float(np.linalg.norm(axis))
    planes = normals[[seed, a, b]]
    if size < 1e-9 or abs(np.linalg.det(planes)) < 1e-9:
        return None
    axis = axis / size
    apex = np.linalg.solve(planes, np.einsum("ij,ij->i", planes, flats.point[[seed, a, b]]))
    middle = points.mean(axis=0)
    axis = axis if (middle - apex) @ axis > 0 else -axis
    height = float((middle - apex) @ axis)
    heights = (points - apex) @ axis
    wide = np.linalg.norm(np.cross(points - apex, axis), axis=1)
    reach = float(wide.sum() / heights.sum()) if heights.sum() > 0 else 0.0
    if not 2e-3 < reach < 20 or len(points) < 6:
        return None
    start = Turned(apex + height * axis, axis, height * reach, float(np.arctan(reach)))
    if np.abs(start.distances(points)).max() > 0.004 * float(np.ptp(points, axis=0).max()):
        return None
    start = refined_turned(points, start, 6)
    good = np.abs(start.distances(points)).max() < 3 * tolerance and abs(start.half_angle_rad) > 2e-3
    return start if good else None


def cylinder_along(points: FloatArray, axis: FloatArray) -> Turned:
    """The cylinder along an axis through points that lie on one exactly.

    Args:
        points: (n, 3), n >= 3. axis: (3,) unit.
    Returns: the cylinder.
    """
    u, v = across(axis)
    middle = points.mean(axis=0)
    flat = np.stack(((points - middle) @ u, (points - middle) @ v), axis=1)
    tube = circle_by_algebra(flat)
    return Turned(middle + tube.centre[0] * u + tube.centre[1] * v, axis, tube.radius_mm)


def refined_turned(points: FloatArray, start: Turned, rounds: int) -> Turned:
    """The cylinder (a start without an angle) or cone of least squared distance near a start.

    Args:
        points: (n, 3), n >= 5. start: a rough one. rounds: most steps.
    Returns: the surface.
    """
    p = settled(np.ascontiguousarray(points), _numbers(start)[1], 6 if start.half_angle_rad else 5, rounds)
    return Turned(p[:3].copy(), p[3:6].copy(), float(p[6]), float(p[7]))


def gathered(
    skin: Skin, flats: Flats, seed: int, surface: Surface, whose: IntArray, tolerance: float
) -> tuple[list[int], bool]:
    """Strips that lie on a surface with all of their corners, reached over soft edges; and whether it is hollow.

    Args:
        skin: made ready. flats: its coplanar pieces. seed: where to begin. surface: round. whose: (flats,) find of each
        flat, -1 none. tolerance: how far corners may lie off.
    Returns: flats, the seed first; true if material lies outside of the surface.
    """
    code, p = _numbers(surface)
    members, hollow = reached(
        skin.points, flats.corner_start, flats.corner, flats.next_start, flats.next_flat, flats.normal, flats.point,
        whose, seed, code, p, tolerance,
    )  # fmt: skip
    return members.tolist(), bool(hollow)


def lying_on(skin: Skin, flats: Flats, some: list[int], surface: Surface, tolerance: float) -> list[int]:
    """Those of some flats that lie on a surface with all of their corners.

    Args:
        skin: made ready. flats: its coplanar pieces. some: flats to look at. surface: round. tolerance: how far off.
    Returns: flats, in their order.
    """
    code, p = _numbers(surface)
    which = np.array(some, dtype=np.int64)
    good = which_lie(
        skin.points, flats.corner_start, flats.corner, flats.normal, flats.point, which, code, p, tolerance
    )
    return which[good].tolist()


def _numbers(surface: Surface) -> tuple[int, FloatArray]:
    """A surface as the compiled loops take it."""
    p = np.zeros(8)
    match surface:
        case Turned():
            code, p[:3], p[3:6], p[6], p[7] = 1, surface.point, surface.axis, surface.radius_mm, surface.half_angle_rad
        case Sphere():
            code, p[:3], p[6] = 2, surface.centre, surface.radius_mm
        case Ring():
            code, p[:3], p[3:6], p[6], p[7] = 3, surface.centre, surface.axis, surface.radius_mm, surface.minor_mm
        case _:
            raise ValueError(surface)
    return code, p
