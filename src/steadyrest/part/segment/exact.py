"""A mesh made from a solid: few exact triangles, whose corners lie on the true surfaces and whose faces are chords.

A *flat* is a set of triangles in one plane: a true plane, or one strip of something round. Strips follow one another
over *soft* edges; three of them propose a cylinder or a cone, whose corners must all lie on it to rounding. A hexagon's
corners lie on a cylinder too: so fewer than ten strips to the round (36 degrees each) are left as planes.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.flat import circle_by_algebra
from steadyrest.part.fit.round import Ring, Sphere, Turned
from steadyrest.part.fit.solve import across, spread, tukey, unit
from steadyrest.part.mesh import Mesh
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.segment import box, coaxial
from steadyrest.part.segment.flats import Flats, flats_of
from steadyrest.part.segment.found import Found, Surface, outward
from steadyrest.part.segment.joints import joints_of
from steadyrest.part.segment.noise import first_noise
from steadyrest.part.segment.patches import Scan, free_patch, patch_of, plane_through
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

COPLANAR_SHARE = 0.3  # of the area that lies beside something coplanar: a scan has next to none
SHALLOWEST, STEEPEST = 0.002, np.radians(37.0)  # rad between strips of one round surface
TOLERANCE = 4e-6  # of the size, for corners that should lie on a surface exactly; rounding of the file comes on top
BALLS = 300  # strips tried for rings and balls
FAILURES = 300  # seeds in vain; each find buys some back
PLANE_RATIO = 8.0  # a flat so much larger than the strips beside it is a plane
SURE_STRIPS, LEAST_STRIPS = 5, 3  # first pass; second, when rings and balls are known
SURE_ARC, LEAST_ARC = 0.3, 0.6  # rad that so many strips must reach round
ROUGH, ROUGH_ROUND = (
    5e-4,
    3e-3,
)  # of the size, of the radius: some exporters move corners a little where surfaces cut each other
WHOLE_ARC = 2.0  # rad that such a rough piece must reach round to be believed
STEEPEST_CONE = np.radians(80.0)


def looks_made(skin: Skin) -> bool:
    """Whether a mesh was made from a solid rather than scanned.

    Args:
        skin: the mesh made ready.
    Returns: true if much of it is coplanar with its neighbour, or if it is smoother than any scanner.
    """
    beside = np.zeros(len(skin.facets), dtype=np.bool_)
    for k in range(3):
        other = skin.beside[:, k]
        fine = np.flatnonzero(other >= 0)
        cosine = np.einsum("ij,ij->i", skin.facet_normals[fine], skin.facet_normals[other[fine]])
        beside[fine[cosine > 1 - 5e-7]] = True
    total = float(skin.facet_areas.sum())
    if total > 0 and float(skin.facet_areas[beside].sum()) > COPLANAR_SHARE * total:
        return True
    return first_noise(skin) < 1e-4 * skin.spacing_mm


def graph_of(mesh: Mesh, skin: Skin, at: Callable[[str, float], None]) -> PatchGraph:
    """The patch graph of a mesh made from a solid.

    Args:
        mesh: cleaned. skin: made ready. at: told the stage, stops the work.
    Returns: the graph; its noise is nought.
    """
    tolerance = tolerance_of(skin)
    flats = flats_of(skin, tolerance)
    at("round surfaces", 0.4)
    found, whose = round_surfaces(skin, flats, tolerance, at)
    at("planes", 0.75)
    label = _with_planes(skin, flats, found, whose)
    found, label = coaxial.merged(skin, found, label, tolerance)
    found, label = coaxial.rings_of_cones(skin, found, label, tolerance)
    axis, share = coaxial.common_axis(skin, found, label)
    if axis is not None:
        found = [coaxial.aligned(f, axis, tolerance) for f in found]
    at("joints", 0.9)
    scan = Scan(skin, 0.0, 0.0, axis)
    patches: list[Patch] = [
        patch_of(number, one, np.flatnonzero(label == number), scan=scan) for number, one in enumerate(found)
    ]
    for piece in _free_pieces(skin, label):
        label[piece] = len(patches)
        patches.append(free_patch(len(patches), piece, skin))
    surfaces = (*found, *(None for _ in range(len(patches) - len(found))))
    joints = joints_of(skin, label.astype(np.int32), surfaces, least_mm=1e-4 * skin.size_mm)
    return PatchGraph(
        patches=tuple(patches), joints=joints, scan=True, box_mm=box.corners(skin.points),
        area_mm2=float(skin.facet_areas.sum()), volume_mm3=mesh.volume,
        solids=mesh.shells if mesh.volume is not None else None,
        axis=(box.vec(axis.point), box.vec(axis.direction)) if axis else None, turned_share=share if axis else 0.0,
    )  # fmt: skip


def tolerance_of(skin: Skin) -> float:
    """How far a corner of an exact mesh may lie off its surface: its size, and the digits that the file kept.

    Args:
        skin: the mesh made ready.
    Returns: tolerance in the file's unit.
    """
    some = skin.points[:: max(1, len(skin.points) // 3000)].reshape(-1)
    largest = float(np.abs(some).max())
    quantum = 6e-8 * largest  # single precision
    for digits in range(1, 7):
        scaled = some * 10.0**digits
        if np.abs(scaled - np.round(scaled)).max() < 1e-7 * largest * 10.0**digits:
            quantum = max(quantum, 0.5 * 10.0**-digits)
            break
    return min(TOLERANCE * skin.size_mm + 2 * quantum, 1e-4 * skin.size_mm)


def round_surfaces(
    skin: Skin, flats: Flats, tolerance: float, at: Callable[[str, float], None]
) -> tuple[list[Found], IntArray]:
    """Cylinders, cones, spheres and rings among the flats.

    Args:
        skin: made ready. flats: its coplanar pieces. tolerance: how far corners may lie off. at: told the stage.
    Returns: finds; (flats,) which find each flat belongs to, -1 for none.
    """
    whose = np.full(len(flats.area), -1, dtype=np.int64)
    found: list[Found] = []
    at("round surfaces", 0.45)
    _strips(skin, flats, found, whose, tolerance, SURE_STRIPS)
    at("rings", 0.55)
    _rings_and_balls(skin, flats, found, whose, tolerance)
    at("small round surfaces", 0.65)
    _whole_pieces(skin, flats, found, whose)
    _strips(skin, flats, found, whose, tolerance, LEAST_STRIPS)
    return found, whose


def _whole_pieces(skin: Skin, flats: Flats, found: list[Found], whose: IntArray) -> None:
    """Smooth pieces left over that are cylinders but for an exporter's small errors; found and whose grow in place."""
    seen = whose >= 0
    for seed in np.argsort(-flats.area, kind="stable").tolist():
        if seen[seed]:
            continue
        piece, queue = [seed], [seed]
        seen[seed] = True
        while queue:
            for k in flats.soft(queue.pop()):
                if not seen[k] and whose[k] < 0:
                    seen[k] = True
                    piece.append(k)
                    queue.append(k)
        if len(piece) < 12:
            continue
        normals = flats.normal[piece] * np.sqrt(flats.area[piece])[:, None]
        members = flats.corners_of(piece)
        points = skin.points[members]
        start = _through(points, np.linalg.eigh(normals.T @ normals)[1][:, 0])
        if not np.isfinite(start.radius_mm) or not 0 < start.radius_mm < 2 * skin.size_mm:
            continue
        w = tukey(start.distances(points), 6 * spread(start.distances(points)) + 0.2 * ROUGH * skin.size_mm)
        if np.count_nonzero(w) < 12:
            continue
        surface = rounds.cylinder(points, start, w, rounds=25)
        lies = _on(skin, flats, surface, min(ROUGH * skin.size_mm, ROUGH_ROUND * surface.radius_mm))
        good = [k for k in piece if lies(k)]
        if flats.area[good].sum() > 0.6 * flats.area[piece].sum():
            turn = flats.normal[good] @ flats.normal[good].T
            if float(np.arccos(np.clip(turn.min(), -1, 1))) > WHOLE_ARC:
                whose[good] = len(found)
                found.append(Found(surface, flats.corners_of(good), _hollow(flats, good[0], surface)))


def _strips(skin: Skin, flats: Flats, found: list[Found], whose: IntArray, tolerance: float, least: int) -> None:
    """Cylinders and cones of at least so many strips; found and whose grow in place."""
    failures = 0
    # Large strips first: they settle an axis best; equal ones in the order of the file.
    for seed in np.argsort(-flats.area, kind="stable"):
        if whose[seed] >= 0 or failures > FAILURES:
            continue
        soft = [k for k in flats.soft(int(seed)) if whose[k] < 0]
        if not soft:
            continue
        grown = _grown_from(skin, flats, int(seed), soft, whose, tolerance, least)
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
        members, inside = _gathered(skin, flats, seed, surface, whose, 3 * tolerance)
        if len(members) < least:
            continue
        points = skin.points[flats.corners_of(members)]
        fit = rounds.cone if surface.half_angle_rad else rounds.cylinder
        refined = fit(points, surface, rounds=15)
        again, inside = _gathered(skin, flats, seed, refined, whose, tolerance)
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
        start = _through(points, turn / size)
        if np.isfinite(start.radius_mm) and np.abs(start.distances(points)).max() < 3 * tolerance:
            out.append(start)
            continue
        if a == b:
            continue
        axis = np.cross(normals[a] - normals[seed], normals[b] - normals[seed])
        size = float(np.linalg.norm(axis))
        if size < 1e-9:
            continue
        axis = axis / size
        planes = normals[[seed, a, b]]
        if abs(np.linalg.det(planes)) < 1e-9:
            continue
        apex = np.linalg.solve(planes, np.einsum("ij,ij->i", planes, flats.point[[seed, a, b]]))
        middle = points.mean(axis=0)
        axis = axis if (middle - apex) @ axis > 0 else -axis
        height = float((middle - apex) @ axis)
        heights = (points - apex) @ axis
        wide = np.linalg.norm(np.cross(points - apex, axis), axis=1)
        reach = float(wide.sum() / heights.sum()) if heights.sum() > 0 else 0.0
        if not 2e-3 < reach < 20 or len(points) < 6:
            continue
        start = Turned(apex + height * axis, axis, height * reach, float(np.arctan(reach)))
        if np.abs(start.distances(points)).max() > 0.004 * float(np.ptp(points, axis=0).max()):
            continue
        start = rounds.cone(points, start, rounds=6)
        if np.abs(start.distances(points)).max() < 3 * tolerance and abs(start.half_angle_rad) > 2e-3:
            out.append(start)
    return out


def _through(points: FloatArray, axis: FloatArray) -> Turned:
    """The cylinder along an axis through points that lie on one exactly."""
    u, v = across(axis)
    middle = points.mean(axis=0)
    flat = np.stack(((points - middle) @ u, (points - middle) @ v), axis=1)
    tube = circle_by_algebra(flat)
    return Turned(middle + tube.centre[0] * u + tube.centre[1] * v, axis, tube.radius_mm)


def _gathered(
    skin: Skin, flats: Flats, seed: int, surface: Surface, whose: IntArray, tolerance: float
) -> tuple[list[int], bool]:
    """Strips that lie on a surface with all of their corners, reached over soft edges; and whether it is hollow."""
    lies = _on(skin, flats, surface, tolerance)
    hollow = _hollow(flats, seed, surface)
    members, queue, known = [seed], [seed], {seed}
    while queue:
        here = queue.pop()
        for k in flats.soft(here):
            if k in known or whose[k] >= 0:
                continue
            known.add(k)
            if lies(k) and _hollow(flats, k, surface) == hollow:
                members.append(k)
                queue.append(k)
    return members, hollow


def _on(skin: Skin, flats: Flats, surface: Surface, tolerance: float) -> Callable[[int], bool]:
    def lies(k: int) -> bool:
        points = skin.points[flats.corners_of([k])]
        if float(np.abs(surface.distances(points)).max()) > tolerance:
            return False
        normal = outward(surface, False, flats.point[k][None])[0]
        return abs(float(normal @ flats.normal[k])) > 0.8

    return lies


def _hollow(flats: Flats, k: int, surface: Surface) -> bool:
    return float(outward(surface, False, flats.point[k][None])[0] @ flats.normal[k]) < 0


def _rings_and_balls(skin: Skin, flats: Flats, found: list[Found], whose: IntArray, tolerance: float) -> None:
    """Spheres, and rings about axes already known, among strips left over; found and whose grow in place."""
    axes = [f.surface for f in sorted(found, key=lambda f: -len(f.members)) if isinstance(f.surface, Turned)][:24]
    tried: set[int] = set()
    for seed in np.argsort(-flats.area, kind="stable"):
        k = int(seed)
        if whose[k] >= 0 or k in tried:
            continue
        near = [j for j in flats.soft(k) if whose[j] < 0]
        tried.add(k)
        if len(near) < 2 or len(tried) > BALLS:
            continue
        points = skin.points[flats.corners_of([k, *near])]
        proposed = _ball_or_ring(points, axes, tolerance) if len(near) > 2 and len(points) > 6 else []
        for surface in (*_cone_between_rims(points, axes, tolerance), *proposed):
            members, inside = _gathered(skin, flats, k, surface, whose, tolerance)
            if len(members) >= 4:
                whose[members] = len(found)
                found.append(Found(surface, flats.corners_of(members), inside))
                break
        else:
            tried.update(near)


def _cone_between_rims(points: FloatArray, axes: list[Turned], tolerance: float) -> list[Surface]:
    """A cone of which only the two rims have corners, about an axis already known: a countersink on its hole."""
    if len(points) < 5:
        return []
    for axis in axes:
        rho, along = axis.local(points)
        low = along < (along.min() + along.max()) / 2
        rims = [(float(r.mean()), float(np.ptp(r))) for r in (rho[low], rho[~low])] if low.any() else []
        ends = [(float(t.mean()), float(np.ptp(t))) for t in (along[low], along[~low])] if low.any() else []
        if not rims or max(off for _, off in (*rims, *ends)) > 2 * tolerance:
            continue
        rise, run = rims[1][0] - rims[0][0], ends[1][0] - ends[0][0]
        if abs(rise) < 20 * tolerance or run < 20 * tolerance:
            continue
        middle = axis.point + (ends[0][0] + ends[1][0]) / 2 * axis.axis
        return [Turned(middle, axis.axis, (rims[0][0] + rims[1][0]) / 2, float(np.arctan2(rise, run)))]
    return []


def _ball_or_ring(points: FloatArray, axes: list[Turned], tolerance: float) -> list[Surface]:
    ball = rounds.sphere_by_algebra(points)
    if ball.radius_mm > 0 and np.abs(ball.distances(points)).max() < tolerance:
        better = rounds.sphere(points, start=ball)
        if np.abs(better.distances(points)).max() < tolerance:
            return [Sphere(better.centre, better.radius_mm)]
    out: list[Surface] = []
    for axis in axes:
        rho, along = axis.local(points)
        flat = np.stack((rho, along), axis=1)
        if len(np.unique(np.round(flat / (4 * tolerance)), axis=0)) < 3:
            continue
        tube = circle_by_algebra(flat)
        if tube.radius_mm < 0.02 * np.ptp(flat, axis=0).max() or np.abs(tube.distances(flat)).max() > tolerance:
            continue
        if tube.centre[0] > 0.2 * tube.radius_mm and tube.radius_mm < 5 * float(rho.max()):
            centre = axis.point + tube.centre[1] * axis.axis
            out.append(Ring(centre, unit(axis.axis), float(tube.centre[0]), tube.radius_mm))
            break
    return out


def _with_planes(skin: Skin, flats: Flats, found: list[Found], whose: IntArray) -> IntArray:
    """Flats that are planes become finds; returns the find of each facet, -1 for none."""
    for k in np.argsort(-flats.area, kind="stable"):
        k = int(k)
        if whose[k] >= 0:
            continue
        rivals = [flats.area[j] for j in flats.soft(k) if whose[j] < 0]
        if rivals and flats.area[k] < PLANE_RATIO * max(rivals):
            continue
        if flats.area[k] < 1e-6 * skin.size_mm**2:
            continue
        members = flats.corners_of([k])
        whose[k] = len(found)
        found.append(Found(plane_through(skin.points[members], flats.normal[k]), members))
    # What hangs between planes only now has no soft neighbours left over: it gets a second hearing.
    for k in np.argsort(-flats.area, kind="stable"):
        k = int(k)
        free = [j for j in flats.soft(k) if whose[j] < 0]
        if whose[k] < 0 and not free and flats.area[k] > 1e-6 * skin.size_mm**2:
            members = flats.corners_of([k])
            whose[k] = len(found)
            found.append(Found(plane_through(skin.points[members], flats.normal[k]), members))
    return whose[flats.label]


def _free_pieces(skin: Skin, label: IntArray) -> list[IntArray]:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    loose = np.flatnonzero(label < 0)
    if not len(loose):
        return []
    place = np.full(len(label), -1, dtype=np.int64)
    place[loose] = np.arange(len(loose))
    f, k = np.nonzero(skin.beside[loose] >= 0)
    g = place[skin.beside[loose][f, k]]
    f, g = f[g >= 0], g[g >= 0]
    count, piece = connected_components(coo_array((np.ones(len(f)), (f, g)), shape=(len(loose),) * 2), directed=False)
    area = np.bincount(piece, weights=skin.facet_areas[loose], minlength=count)
    total = float(skin.facet_areas.sum())
    return [loose[piece == k] for k in np.argsort(-area, kind="stable")[:500] if area[k] > 1e-7 * total]
