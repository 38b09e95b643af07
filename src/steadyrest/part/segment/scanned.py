"""A scan's patches: the turned surface first, then planes and holes in what is left, then wear, then joints."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Sphere, Turned
from steadyrest.part.fit.solve import spread
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.segment import box
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.invented import invented_points
from steadyrest.part.segment.joints import joints_of, spread_labels
from steadyrest.part.segment.noise import correlation, first_noise
from steadyrest.part.segment.patches import Scan, free_patch, patch_of
from steadyrest.part.segment.prismatic_scan import regions
from steadyrest.part.segment.prismatic_scan.beside import cones_beside, cones_on_lines, walls_beside
from steadyrest.part.segment.prismatic_scan.drilled import drilled
from steadyrest.part.segment.prismatic_scan.inner import placed_inside
from steadyrest.part.segment.prismatic_scan.nested import without_nested
from steadyrest.part.segment.prismatic_scan.prismatic import surfaces_of
from steadyrest.part.segment.prismatic_scan.reunited import reunited
from steadyrest.part.segment.prismatic_scan.settled import settled
from steadyrest.part.segment.prismatic_scan.squared import squared
from steadyrest.part.segment.prismatic_scan.worn_rounds import levels_before_wear
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan import turned
from steadyrest.part.segment.turned_scan.bolt_circles import on_circles
from steadyrest.part.segment.turned_scan.lobes import crest_of, lobes_of, one_stretch, rough_bands
from steadyrest.part.segment.turned_scan.profile import Band
from steadyrest.part.segment.turned_scan.steps import steps_of
from steadyrest.part.segment.turned_scan.turned import Spun
from steadyrest.part.triangles.bodies import bodies_of
from steadyrest.part.triangles.mesh import Mesh
from steadyrest.part.wear.worn import Seat, Unworn, unworn

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]
SCANNED_SMOOTH_RAD = 0.3  # a scan's surfaces do not end quite where they touch
ASTRAY_MM = (0.15, 0.06, 0.06, 0.03)  # how far a worn seat may have drawn the axis off, by how many place it; judgement
RINGS = 4  # how far labels grow over rounded edges before joints are looked for


@dataclass(frozen=True, slots=True)
class Sorted:
    """Every find with its wear, and what the scan was like."""

    found: tuple[Found, ...]
    before: tuple[Unworn | None, ...]
    spun: Spun | None
    noise_mm: float
    correlation_mm: float
    invented: BoolArray


def graph_of(mesh: Mesh, skin: Skin, at: Callable[[str, float], None]) -> PatchGraph:
    """The patch graph of a scan.

    Args:
        mesh: cleaned. skin: made ready. at: told the stage, stops the work.
    Returns: the graph.
    """
    got = sorted_surface(skin, at)
    at("joints", 0.85)
    scan = Scan(skin, got.noise_mm, got.correlation_mm, got.spun.axis if got.spun else None)
    label = facet_labels(skin, got.found)
    patches: list[Patch] = []
    for number, (found, before) in enumerate(zip(got.found, got.before, strict=True)):
        facets = np.flatnonzero(label == number)
        made_up = float(got.invented[found.members].mean()) if len(found.members) else 0.0
        patches.append(patch_of(number, found, facets, scan=scan, before=before, invented=made_up))
    grown = spread_labels(label.astype(np.int32), skin.beside, RINGS)
    for piece in free_pieces(skin, grown):
        grown[piece] = len(patches)
        invented = float(got.invented[skin.facets[piece]].mean())
        patches.append(free_patch(len(patches), piece, skin, invented))
    surfaces = (*got.found, *(None for _ in range(len(patches) - len(got.found))))
    joints = joints_of(skin, grown, surfaces, least_mm=3 * skin.spacing_mm, smooth_rad=SCANNED_SMOOTH_RAD)
    area = float(skin.facet_areas.sum())
    low_high = box.corners(skin.points)
    spun = got.spun
    return PatchGraph(
        patches=tuple(patches), joints=joints, scan=True, box_mm=low_high, area_mm2=area, volume_mm3=mesh.volume,
        solids=max(1, len(bodies_of(mesh))) if mesh.volume is not None else None,
        noise_mm=got.noise_mm, correlation_mm=got.correlation_mm,
        axis=(box.vec(spun.axis.point), box.vec(spun.axis.direction)) if spun else None,
        turned_share=_turned_share(skin, got) if spun else 0.0, broken=_broken(skin, got) if spun else False,
        steps=steps_of(skin, spun, ~got.invented) if spun else (),
    )  # fmt: skip


def sorted_surface(skin: Skin, at: Callable[[str, float], None]) -> Sorted:
    """Every surface of a scan, found and judged.

    Args:
        skin: made ready. at: told the stage, stops the work.
    Returns: finds with wear, noise, correlation.
    """
    at("noise", 0.15)
    made_up = invented_points(skin)
    usable = ~made_up & ~skin.rim if (~made_up & ~skin.rim).any() else np.ones(len(skin.points), dtype=np.bool_)
    noise_mm = max(first_noise(skin), 1e-6 * skin.size_mm)
    at("axis", 0.25)
    spun = turned.turned_surface(skin, usable, noise_mm=noise_mm)
    free = np.ones(len(skin.points), dtype=np.bool_)
    if spun is None:
        at("surfaces", 0.4)
        free &= ~made_up
        found = surfaces_of(skin, free, noise_mm=noise_mm)
        noise_mm = _heard(skin, found) or noise_mm
        far = _correlation(skin, found)
        found = squared(skin, found, ~made_up, limits=regions.limits_of(skin, noise_mm), correlation_mm=far)
        before = levels_before_wear(skin, found, noise_mm=noise_mm, correlation_mm=far, seen=~made_up)
        return Sorted(tuple(found), before, None, noise_mm, far, made_up)
    noise_mm = spun.noise_mm
    limits = regions.limits_of(skin, noise_mm)
    for members in (*spun.members, *(found.members for found in (*spun.faces, *spun.arcs))):
        free[members] = False
    zones = turned.worn_zone(spun, free, noise_mm=noise_mm)
    zone = np.zeros(len(free), dtype=np.bool_)
    for members in zones:
        zone[members] = True
    free &= ~turned.ringed(spun, free, spacing_mm=skin.spacing_mm) | zone
    at("flats and keyways", 0.5)
    free &= ~made_up
    beside = [f for f in regions.surfaces(skin, free, ("plane",), limits=limits) if _is_flat(skin, f, spun)]
    at("holes", 0.6)
    taken = np.zeros(len(free), dtype=np.bool_)
    for f in beside:
        taken[f.members] = True
    rest = free & ~zone & ~taken & ~made_up
    beside += regions.surfaces(skin, rest, ("plane", "cylinder", "cone"), limits=limits)
    beside = settled(skin, reunited(skin, beside, limits=limits), limits=limits)
    with_faces = drilled(skin, _left_over(spun, [], made_up), [*spun.faces, *beside], limits=limits)
    beside = [f for f in with_faces if not f.coaxial]
    beside = on_circles(skin, _left_over(spun, [], made_up), beside, spun.axis, limits=limits)
    beside = cones_on_lines(skin, rest, beside, limits=limits)
    beside += cones_beside(skin, rest, beside, limits=limits)
    beside += walls_beside(skin, _left_over(spun, beside, made_up), beside, spun.axis.direction, limits=limits)
    beside = without_nested(beside, (), skin.points)
    beside = [placed_inside(skin, f, limits=limits) for f in beside]
    spun, beside = turned.with_late_bands(spun, beside, skin.points)
    zones += [np.empty(0, dtype=np.int64)] * (len(spun.bands) - len(zones))
    for f in beside:
        taken[f.members] = True
    at("wear", 0.7)
    return _with_wear(skin, spun, zones, taken, tuple(beside), made_up)


def _left_over(spun: Spun, beside: list[Found], made_up: BoolArray) -> BoolArray:
    """Points that were seen and lie on nothing found."""
    left = ~made_up
    for members in (*spun.members, *(found.members for found in (*spun.faces, *spun.arcs, *beside))):
        left[members] = False
    return left


def _with_wear(
    skin: Skin, spun: Spun, zones: list[IntArray], taken: BoolArray, beside: tuple[Found, ...], made_up: BoolArray
) -> Sorted:
    """Every stretch with its worn points, its plain fit and its level before wear."""
    far = _turned_correlation(skin, spun)
    edges = _within(skin, taken, 2)
    seen = ~made_up & ~skin.rim & ~edges
    found, before = list[Found](), list[Unworn | None]()
    straight = sum(band.slope == 0 for band in spun.bands)
    rough = rough_bands(skin, spun.rim, spun.bands, seen)
    for band, members, zone, knurled in zip(spun.bands, spun.members, zones, rough, strict=True):
        whole = np.sort(np.concatenate((members, zone[~taken[zone]])))
        inner = _inner(skin, spun, band, whole[~made_up[whole] & ~skin.rim[whole] & ~edges[whole]], whole)
        surface = turned.band_surface(band, spun.axis, skin.points[inner], noise_mm=spun.noise_mm)
        stretch = one_stretch(band, spun.bands, spacing_mm=skin.spacing_mm)
        lobes = lobes_of(spun.rim, stretch, seen, noise_mm=spun.noise_mm, spacing_mm=skin.spacing_mm) or int(knurled)
        crest = crest_of(spun.rim, band, seen, lobes, spacing_mm=skin.spacing_mm)
        found.append(Found(surface, whole, band.sign < 0, True, band.radius_mm, lobes, crest))
        if band.slope != 0 or lobes:
            before.append(Unworn(float(band.radius_mm), spun.noise_mm, None) if lobes else None)
            continue
        before.append(unworn(Seat(
            angle=spun.rim.angle[inner], along=spun.rim.along[inner], radius=spun.rim.radius[inner], sign=band.sign,
            noise_mm=spun.noise_mm, correlation_mm=far, lone=straight < 2,
            astray_mm=ASTRAY_MM[min(straight, len(ASTRAY_MM)) - 1],
        )) if len(inner) else None)  # fmt: skip
    found += [*spun.faces, *spun.arcs, *beside]
    before += [None] * (len(spun.faces) + len(spun.arcs) + len(beside))
    near = _turned_correlation(skin, spun, drifts=True)
    return Sorted(tuple(found), tuple(before), spun, spun.noise_mm, near, made_up)


def _turned_correlation(skin: Skin, spun: Spun, *, drifts: bool = False) -> float:
    """How far the noise hangs together, on the calmest stretch that is large enough: wear hangs together farther."""
    sizes = [len(members) if band.slope == 0 else 0 for band, members in zip(spun.bands, spun.members, strict=True)]
    large = [k for k, many in enumerate(sizes) if many > 0 and many >= 0.25 * max(sizes)]
    off = {k: spun.rim.radius[spun.members[k]] - spun.bands[k].radius_mm for k in large}
    calmest = min(large, key=lambda k: spread(off[k]))
    return correlation(skin.points[spun.members[calmest]], off[calmest], skin.spacing_mm, drifts=drifts)


def _within(skin: Skin, marked: BoolArray, steps: int) -> BoolArray:
    """Points within so many steps of marked ones: where a keyway or a hole begins, the edge is rounded."""
    out = marked.copy()
    for _ in range(steps):
        out[skin.facets[out[skin.facets].any(axis=1)]] = True
    return out


def _inner(skin: Skin, spun: Spun, band: Band, seen: IntArray, whole: IntArray) -> IntArray:
    """The points of a stretch away from its ends, where edges are rounded and chamfers begin."""
    edge = min(1.6 * skin.spacing_mm, 0.2 * (band.to_mm - band.from_mm))
    along = spun.rim.along[seen]
    inner = seen[(along > band.from_mm + edge) & (along < band.to_mm - edge)]
    return inner if len(inner) > 20 else seen if len(seen) > 20 else whole


def _is_flat(skin: Skin, found: Found, spun: Spun) -> bool:
    """Whether a plane on a turned part is one: worn surface still bends round the axis, a flat does not."""
    if not isinstance(found.surface, Plane):
        return True
    points = skin.points[found.members]
    normal = found.surface.normal
    if abs(normal @ spun.axis.direction) > 0.5:
        return True
    side = np.cross(spun.axis.direction, normal)
    side /= np.linalg.norm(side)
    x = (points - found.surface.point) @ side
    height = found.surface.distances(points)
    left = np.stack((np.ones_like(x), x, x * x), axis=1)
    bend = -2 * float(np.linalg.lstsq(left, height, rcond=None)[0][2])
    radius = float(np.median(spun.rim.radius[found.members]))
    return abs(bend) * radius < 0.35


def _heard(skin: Skin, found: list[Found]) -> float:
    """Noise from the residuals of the largest finds."""
    large = sorted(found, key=lambda f: -len(f.members))[:6]
    scatter = [spread(f.surface.distances(skin.points[f.members])) for f in large if len(f.members) > 60]
    return float(np.median(scatter)) if scatter else 0.0


def _correlation(skin: Skin, found: list[Found]) -> float:
    if not found:
        return skin.spacing_mm
    largest = max(found, key=lambda f: len(f.members))
    points = skin.points[largest.members]
    return correlation(points, largest.surface.distances(points), skin.spacing_mm, drifts=True)


def facet_labels(skin: Skin, found: tuple[Found, ...]) -> npt.NDArray[np.int64]:
    """Which find each facet lies on: where at least two of its corners do.

    Args:
        skin: made ready. found: the finds; a point belongs to the first that has it.
    Returns: (m,) index into found, or -1.
    """
    whose = np.full(len(skin.points), -1, dtype=np.int64)
    for number in range(len(found) - 1, -1, -1):
        whose[found[number].members] = number
    a, b, c = (whose[skin.facets[:, k]] for k in range(3))
    return np.where((a == b) | (a == c), a, np.where(b == c, b, -1))


def free_pieces(skin: Skin, label: npt.NDArray[np.int32]) -> list[IntArray]:
    """Connected facets without a label, larger than an edge's rounding.

    Args:
        skin: made ready. label: (m,) after spreading.
    Returns: (k,) facets each, largest first.
    """
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
    links = coo_array((np.ones(len(f)), (f, g)), shape=(len(loose), len(loose)))
    count, piece = connected_components(links, directed=False)
    area = np.bincount(piece, weights=skin.facet_areas[loose], minlength=count)
    order = [int(k) for k in np.argsort(-area, kind="stable") if area[k] > 12 * skin.spacing_mm**2]
    return [loose[piece == k] for k in order[:200]]


def _turned_share(skin: Skin, got: Sorted) -> float:
    """Share of the whole surface that is turned about the axis: stretches, faces square to it, rounded edges."""
    assert got.spun is not None
    rim = got.spun.rim
    on = rim.miss < 0.2
    for found in got.found:
        if not found.coaxial:
            on[found.members] = False
        elif isinstance(found.surface, Turned):
            on[found.members] = True
    return float(skin.areas[on | (np.abs(rim.up) > 0.95)].sum() / skin.areas.sum())


def _closes(found: Found, spun: Spun, end_mm: float, sign: float, reach_mm: float) -> bool:
    """Whether a find closes an end of a turned part: a face there that looks out, or a ball or dome."""
    along = spun.rim.along[found.members]
    if isinstance(found.surface, Plane):
        looks = found.surface.normal @ spun.axis.direction * sign > 0.9
        return bool(looks and abs(float(np.median(along)) - end_mm) < reach_mm)
    return isinstance(found.surface, Sphere) and found.coaxial and float(np.abs(along - end_mm).min()) < reach_mm


def _broken(skin: Skin, got: Sorted) -> bool:
    """Whether an end of a turned part has no face: open there, or neither flat nor turned."""
    spun = got.spun
    assert spun is not None
    outside = [band for band in spun.bands if band.sign > 0]
    if not outside:
        return False
    low, high = float(spun.rim.along.min()), float(spun.rim.along.max())
    for end, band, sign in ((low, outside[0], -1.0), (high, outside[-1], 1.0)):
        reach = max(0.25 * band.radius_mm, 6 * skin.spacing_mm)
        near = np.abs(spun.rim.along - end) < reach
        faces = sum(float(skin.areas[f.members].sum()) for f in got.found if _closes(f, spun, end, sign, reach))
        hollow = min(
            (b.radius_mm for b in spun.bands if b.sign < 0 and near[spun.members[spun.bands.index(b)]].any()),
            default=0.0,
        )
        whole = np.pi * max(band.radius_mm**2 - hollow**2, 0.0)
        if faces < 0.2 * whole and whole > 60 * skin.spacing_mm**2:
            return True
    return False
