"""From finds to patches: extent, arc, area, what was really seen, how well each is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import flat
from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Ring, Sphere, Turned, turned_slopes
from steadyrest.part.fit.solve import across, covariance, heard
from steadyrest.part.patch import Patch
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.corners import CORE
from steadyrest.part.segment.skin import Skin
from steadyrest.part.wear.worn import Unworn
from steadyrest.shop.part import Vec3

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

SLOPES_OF = 6000  # points that an uncertainty looks at
DRIFT_MM = 0.006  # slow drift between two sides of a scan, which no averaging takes away; common practice, no source
PULLS = 6.0  # sigmas within which a point pulls at a fit
KEPT = 0.12  # of the noise: what no averaging takes away
FULL_ROUND = 0.66  # rad: a gap up to 37 degrees between strips is none


@dataclass(frozen=True, slots=True)
class Scan:
    """What the patches of one scan share. noise_mm, correlation_mm: 0 for a mesh made from a solid."""

    skin: Skin
    noise_mm: float
    correlation_mm: float
    axis: Axis | None


def patch_of(
    number: int,
    found: Found,
    facets: IntArray,
    *,
    scan: Scan,
    before: Unworn | None = None,
    invented: float = 0.0,
) -> Patch:
    """The patch of a find.

    Args:
        number: its id. found: surface and points. facets: (k,) its triangles. scan: what all share.
        before: its level before wear, where that was judged. invented: share of it that nobody saw.
    Returns: the patch.
    """
    skin = scan.skin
    points = skin.points[found.members]
    area = float(skin.facet_areas[facets].sum())
    rms = float(np.sqrt(np.mean(np.square(found.surface.distances(points)))))
    shared = _shared(area, len(points), scan)
    facets = facets.copy()
    facets.setflags(write=False)
    match found.surface:
        case Plane():
            u_axis = _plane_tilt(points, scan.noise_mm, shared)
            patch = Patch(
                number, "plane", _vec(_on_plane(found.surface, points)), _vec(found.surface.normal), area_mm2=area,
                rms_mm=rms, u_axis_rad=u_axis, facets=facets, invented=invented,
            )  # fmt: skip
        case Turned() as surface if surface.half_angle_rad == 0.0:
            patch = _cylinder(number, found, points, area, rms, shared, facets, scan, before, invented)
        case Turned() as surface:
            patch = _cone(number, found, points, area, rms, shared, facets, scan, invented)
        case Sphere() as surface:
            u = scan.noise_mm * float(np.sqrt(shared / len(points))) * 2
            if found.coaxial:
                u = _arc_u(points - surface.centre, scan, shared, ball=True)
            patch = Patch(
                number, "sphere", _vec(surface.centre), (0.0, 0.0, 1.0), surface.radius_mm, inside=found.inside,
                arc_rad=2 * np.pi, area_mm2=area, u_radius_mm=u, unworn_mm=surface.radius_mm, u_unworn_mm=u,
                seen=min(1.0, area / (4 * np.pi * surface.radius_mm**2)), invented=invented, rms_mm=rms, facets=facets,
            )  # fmt: skip
        case Ring() as surface:
            u = scan.noise_mm * float(np.sqrt(shared / len(points))) * 3
            if found.coaxial:
                q = points - surface.centre
                out = q - np.outer(q @ surface.axis, surface.axis)
                out *= (1 - surface.radius_mm / np.maximum(np.linalg.norm(out, axis=1), 1e-12))[:, None]
                u = _arc_u(out + np.outer(q @ surface.axis, surface.axis), scan, shared, ball=False)
            patch = Patch(
                number, "torus", _vec(surface.centre), _vec(surface.axis), surface.radius_mm, surface.minor_mm,
                inside=found.inside, arc_rad=_around(surface.centre, surface.axis, points)[0], area_mm2=area,
                u_radius_mm=u, unworn_mm=surface.radius_mm, u_unworn_mm=u, invented=invented, rms_mm=rms, facets=facets,
            )  # fmt: skip
    return patch


def free_patch(number: int, facets: IntArray, skin: Skin, invented: float = 0.0) -> Patch:
    """Surface that nothing here describes: its best plane, for where it is.

    Args:
        number: its id. facets: (k,) triangles. skin: the mesh made ready. invented: share of it that nobody saw.
    Returns: a patch of kind "free".
    """
    areas = skin.facet_areas[facets]
    normal = areas @ skin.facet_normals[facets]
    size = float(np.linalg.norm(normal))
    middle = skin.points[skin.facets[facets]].mean(axis=1)
    centre = areas @ middle / areas.sum() if areas.sum() > 0 else middle.mean(axis=0)
    facets = facets.copy()
    facets.setflags(write=False)
    direction = normal / size if size > 1e-12 else np.array([0.0, 0.0, 1.0])
    rms = float(np.sqrt(np.mean(np.square((middle - centre) @ direction))))
    return Patch(
        number, "free", _vec(centre), _vec(direction), area_mm2=float(areas.sum()), rms_mm=rms, invented=invented,
        facets=facets,
    )  # fmt: skip


def _cylinder(
    number: int, found: Found, points: FloatArray, area: float, rms: float, shared: float, facets: IntArray, scan: Scan,
    before: Unworn | None, invented: float,
) -> Patch:  # fmt: skip
    surface = found.surface
    assert isinstance(surface, Turned)
    # A hole that fits worse than the noise is known worse; a stretch's misfit is its wear, which is judged apart.
    own = scan.noise_mm
    if scan.noise_mm > 0 and not found.coaxial:
        own = max(own, heard(surface.distances(points), PULLS * scan.noise_mm))
    cov = covariance(_some_slopes(surface, points, 5), own, _thinned(shared, len(points)))
    u_radius, u_axis = float(np.sqrt(cov[4, 4])), float(np.sqrt(max(cov[2, 2], cov[3, 3])))
    if found.tangent is not None and scan.noise_mm > 0:
        u_radius = tangent_u_mm(surface, found.tangent, points, own, shared)
    axis, at = surface.axis, surface.point
    if found.coaxial and scan.axis is not None:
        axis, at = scan.axis.direction, scan.axis.point
    middle, low, high = _extent(at, axis, points)
    arc, seen = _around(middle, axis, points, low=low, high=high, exact=scan.noise_mm == 0)
    if scan.noise_mm > 0 and not found.coaxial:
        u_radius = float(np.hypot(u_radius, radius_drift_mm(arc)))
    best = before or Unworn(surface.radius_mm, u_radius, None)
    if (
        not found.coaxial and not best.depth_mm and not best.proud_mm
    ):  # alone and even: the plain fit knows more than the cells do
        best = Unworn(surface.radius_mm, u_radius, best.depth_mm)
    where = best.along_mm
    if where is not None:
        shift = float((middle - at) @ axis)
        where = (where[0] - shift, where[1] - shift)
    return Patch(
        number, "cylinder", _vec(middle), _vec(axis), surface.radius_mm, inside=found.inside, along_mm=(low, high),
        arc_rad=arc, area_mm2=area, u_radius_mm=u_radius, u_axis_rad=u_axis, unworn_mm=best.radius_mm,
        u_unworn_mm=best.u_mm, wear_mm=best.depth_mm, wear_along_mm=where, worn_share=best.share, seen=seen,
        invented=invented, rms_mm=rms, facets=facets, proud_mm=best.proud_mm, lobes=found.lobes,
        crest_mm=found.crest_mm, below_mm=best.below_mm or 0.0, u_below_mm=best.u_below_mm,
    )  # fmt: skip


def tangent_u_mm(surface: Turned, way: FloatArray, points: FloatArray, own_mm: float, shared: float) -> float:
    """One sigma of the radius of a round between two planes, whose middle runs along `way` as it grows.

    Its middle points tell it (`corners.CORE`); drift between it and the planes grows as the noise does.
    """
    away = points - surface.point
    away -= np.outer(away @ surface.axis, surface.axis)
    away /= np.maximum(np.linalg.norm(away, axis=1), 1e-12)[:, None]
    lean = away @ way
    turn = float(np.arccos(np.clip(2 / float(way @ way) - 1, -1, 1)))
    told = np.abs(lean) > np.linalg.norm(way) * np.cos(CORE * turn)
    slope = lean[told] + 1
    steep = float(np.sqrt(np.mean(slope * slope))) if told.any() else 0.0
    if steep < 1e-6:
        return float("inf")
    independent = max(1.0, np.count_nonzero(told) / max(shared, 1e-9))
    return float(np.hypot(own_mm / np.sqrt(independent), DRIFT_MM) / steep)


def radius_drift_mm(arc_rad: float) -> float:
    """What slow drift leaves of a radius: seen all the way round it is off by half of what two sides are off."""
    return DRIFT_MM * (0.5 if arc_rad > 2 * np.pi - FULL_ROUND else 1.0)


def _cone(
    number: int, found: Found, points: FloatArray, area: float, rms: float, shared: float, facets: IntArray, scan: Scan,
    invented: float,
) -> Patch:  # fmt: skip
    surface = found.surface
    assert isinstance(surface, Turned)
    cov = covariance(_some_slopes(surface, points, 6), scan.noise_mm, _thinned(shared, len(points)))
    u_radius, u_axis = float(np.sqrt(cov[4, 4])), float(np.sqrt(max(cov[2, 2], cov[3, 3])))
    apex = surface.apex
    into = surface.axis if surface.half_angle_rad > 0 else -surface.axis
    along = (points - apex) @ into
    low, high = float(np.quantile(along, 0.005)), float(np.quantile(along, 0.995))
    arc, seen = _around(apex, into, points, low=low, high=high, exact=scan.noise_mm == 0)
    return Patch(
        number, "cone", _vec(apex), _vec(into), half_angle_rad=abs(surface.half_angle_rad), inside=found.inside,
        along_mm=(low, high), arc_rad=arc, area_mm2=area, u_radius_mm=u_radius, u_axis_rad=u_axis, seen=seen,
        u_unworn_mm=u_radius, invented=invented, rms_mm=rms, facets=facets, lobes=found.lobes,
    )  # fmt: skip


def _on_plane(plane: Plane, points: FloatArray) -> FloatArray:
    """The middle of points, put onto their plane."""
    middle = points.mean(axis=0)
    return middle - float(plane.distances(middle[None])[0]) * plane.normal


def _shared(area: float, count: int, scan: Scan) -> float:
    """How many points share one value of the noise."""
    if area <= 0 or scan.noise_mm == 0:
        return 1.0
    return max(1.0, count / area * 2 * np.pi * scan.correlation_mm**2)


def _thinned(shared: float, count: int) -> float:
    """The same for slopes taken of a part of the points only."""
    return max(shared * min(1.0, SLOPES_OF / max(count, 1)), min(1.0, SLOPES_OF / max(count, 1)))


def _some_slopes(surface: Turned, points: FloatArray, many: int) -> FloatArray:
    step = max(1, -(-len(points) // SLOPES_OF))
    return turned_slopes(surface, points[::step])[1][:, :many]


def _arc_u(away: FloatArray, scan: Scan, shared: float, *, ball: bool) -> float:
    """One sigma of the radius of an arc about a known axis: a short one mixes its radius with its middle's place.

    What no averaging takes away bends the arc as well, and grows by as much.
    """
    assert scan.axis is not None or scan.noise_mm == 0
    if scan.noise_mm == 0 or scan.axis is None or len(away) < 8:
        return 0.0
    far = np.maximum(np.linalg.norm(away, axis=1), 1e-12)
    along = away @ scan.axis.direction / far
    out = np.sqrt(np.maximum(1 - along * along, 0.0))
    # A ring's normals look away from the axis or to it; a ball's middle lies on it.
    columns = (along, np.ones_like(along)) if ball else (along, out, np.ones_like(along))
    slopes = np.stack(columns, axis=1)
    grows = np.sqrt(len(away) * np.linalg.pinv(slopes.T @ slopes)[-1, -1])
    return float(scan.noise_mm * grows * np.sqrt(shared / len(away) + KEPT**2))


def _plane_tilt(points: FloatArray, noise_mm: float, shared: float) -> float:
    if noise_mm == 0 or len(points) < 4:
        return 0.0
    spreads = np.linalg.eigvalsh(np.cov(points.T))
    return float(noise_mm * np.sqrt(shared / len(points)) / np.sqrt(max(spreads[1], 1e-12)))


def _extent(at: FloatArray, axis: FloatArray, points: FloatArray) -> tuple[FloatArray, float, float]:
    """Middle of a patch on its axis, and its ends from there; stray points at the ends are not heard."""
    along = (points - at) @ axis
    trim = 0.002 if len(points) > 1000 else 0.0
    low, high = float(np.quantile(along, trim)), float(np.quantile(along, 1 - trim))
    return at + (low + high) / 2 * axis, (low - high) / 2, (high - low) / 2


def _around(
    at: FloatArray, axis: FloatArray, points: FloatArray, *, low: float = 0.0, high: float = 0.0, exact: bool = False
) -> tuple[float, float]:
    """How far round the points reach, and the share of the full surround that holds points."""
    u, v = across(axis)
    q = points - at
    x, y = q @ u, q @ v
    angle = np.arctan2(y, x) / (2 * np.pi) + 0.5
    if exact or len(points) < 300:
        ordered = np.sort(angle)
        gap = float(np.max(np.diff(ordered, append=ordered[0] + 1.0)))
        arc = 2 * np.pi * (1.0 if gap < FULL_ROUND / (2 * np.pi) else 1.0 - gap)
    else:
        present = np.bincount((angle * 72).astype(np.int64) % 72, minlength=72) > 0
        arc = 2 * np.pi * (1 - _longest_gap(present) / 72)
    if high <= low or exact:
        return arc, 1.0
    radius = float(np.hypot(x, y).mean())
    cells = max(1.0, len(points) / 6)
    rows = int(np.clip(np.sqrt(cells * (high - low) / (2 * np.pi * radius + 1e-12)), 1, 400))
    columns = int(np.clip(cells / rows, 8, 400))
    row = np.clip(((q @ axis - low) / (high - low) * rows).astype(np.int64), 0, rows - 1)
    hit = np.zeros((rows, columns), dtype=np.bool_)
    hit[row, (angle * columns).astype(np.int64) % columns] = True
    return arc, float(hit.mean())


def _longest_gap(present: npt.NDArray[np.bool_]) -> int:
    if present.all():
        return 0
    doubled = np.concatenate((present, present))
    at = np.flatnonzero(doubled)
    return int(np.diff(at).max() - 1) if len(at) > 1 else len(present) - 1


def plane_through(points: FloatArray, outward_hint: FloatArray) -> Plane:
    """The plane through points whose normal looks out of the material.

    Args:
        points: (n, 3). outward_hint: (3,) roughly outward.
    Returns: the plane.
    """
    fitted = flat.plane(points)
    return fitted if fitted.normal @ outward_hint > 0 else Plane(fitted.point, -fitted.normal)


def _vec(array: FloatArray) -> Vec3:
    return (float(array[0]), float(array[1]), float(array[2]))
