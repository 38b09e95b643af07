"""The turned surface of a scan: its axis, its round and tapered stretches, its faces, and which points lie on each.

Worn surface lies below its stretch's level and is kept apart at first (`worn_zone`): flats and keyways are looked for
in it before it is given to the stretch as wear.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import flat
from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across, spread, tukey
from steadyrest.part.segment.axis import Axis, shared_axis, turned_axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.profile import Band, Rim, bands_of
from steadyrest.part.segment.regions import BULGE, arc_of, bulge_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

LEAST_SHARE = 0.5  # of the surface not square to the axis that must be turned round it
SLICE = 0.5  # of the spacing
LOUDEST = 1.8  # of the first guess: what scatters more is wear or thread, not noise
FLATTISH = 0.12  # typical sine between normals and the plane through the axis, beyond which a ring is none
SHALLOW = 0.45  # slope up to which the way down from unworn to worn surface goes
LONG_TAPER = 20  # spacings from which a taper helps to place the axis
STEEP = 0.8  # mean slope of a hollow's sides from which they are a tool's
NO_NECK_MM = 0.3  # nobody turns a neck this shallow; common practice, no source
LEAST_HOLLOW_MM = 4.0  # narrower may be the groove of a small ring
WEAR_MOST = 0.06  # of the radius: deeper than that it is another surface
ROUND_ENOUGH = 0.12  # share of the round that a stretch must cover to be one


@dataclass(frozen=True, slots=True)
class Spun:
    """The turned surface.

    axis: refined. rim: all points about it. bands: its stretches. members: points of each at its level.
    faces: finds square to the axis. noise_mm: 1 sigma, from how the calmest stretches scatter.
    """

    axis: Axis
    rim: Rim
    bands: tuple[Band, ...]
    members: tuple[IntArray, ...]
    faces: tuple[Found, ...]
    noise_mm: float


def turned_surface(skin: Skin, usable: BoolArray, *, noise_mm: float) -> Spun | None:
    """The turned surface of a scan, if most of it is one.

    Args:
        skin: the mesh made ready. usable: (n,) points that were really seen. noise_mm: 1 sigma.
    Returns: axis, stretches, faces and their points; None if the part is not turned.
    """
    axis = turned_axis(skin)
    if axis is None or axis.share < LEAST_SHARE:
        return None
    bands: list[Band] = []
    weights = skin.areas[usable]
    roughest = LOUDEST * noise_mm
    for _ in range(4):
        rim = rim_about(skin, axis)
        bands = bands_of(_only(rim, usable), weights, noise_mm=noise_mm, slice_mm=SLICE * skin.spacing_mm)
        bands = _hollows_filled(bands, rim, skin.areas, noise_mm=noise_mm, spacing_mm=skin.spacing_mm)
        bands, cores = _supported(skin, rim, usable, bands, noise_mm=noise_mm)
        sharper = _sharper_axis(skin, rim, bands, cores, axis, noise_mm=noise_mm)
        if sharper is None:
            return None
        moved = np.linalg.norm(np.cross(sharper.point - axis.point, axis.direction))
        turned = np.linalg.norm(sharper.direction - axis.direction) * skin.size_mm
        heard = _noise(rim, bands, cores)
        still = moved + turned < 0.3 * noise_mm and abs(heard - noise_mm) < 0.1 * noise_mm
        axis, noise_mm = sharper, min(heard, roughest) or noise_mm
        if still:
            break
    rim = rim_about(skin, axis)
    bands, cores = _supported(skin, rim, usable, bands, noise_mm=noise_mm)
    if not any(band.slope == 0 for band in bands):
        return None
    taken = np.zeros(len(skin.points), dtype=np.bool_)
    for core in cores:
        taken[core] = True
    faces = _faces(skin, rim, usable & ~taken, axis, noise_mm=noise_mm)
    return Spun(axis, rim, tuple(bands), tuple(cores), tuple(faces), noise_mm)


def _hollows_filled(
    bands: list[Band], rim: Rim, areas: FloatArray, *, noise_mm: float, spacing_mm: float
) -> list[Band]:
    """Seats that are worn all round somewhere made one: same level on both sides, and a shallow way down between.

    A groove has steep walls and stays; a seat that runs into a shoulder on one side may be a true step and stays too.
    """
    out: list[Band] = []
    under = [b for b in bands if any(_covers(a, b) for a in bands)]
    for band in sorted((b for b in bands if b not in under), key=lambda b: (-b.sign, b.from_mm)):
        out.append(band)
        for k in range(len(out) - 2, -1, -1):
            first, between = out[k], out[k + 1 : -1]
            if first.slope != 0 or band.slope != 0 or first.sign != band.sign:
                continue
            level = (first.radius_mm + band.radius_mm) / 2
            if abs(first.radius_mm - band.radius_mm) > 3 * noise_mm or not between:
                if 0 < first.sign * (band.radius_mm - first.radius_mm) < WEAR_MOST * level:
                    continue  # lower: it may be the bottom of a hollow that ends here
                break
            depths = [first.sign * (level - b.radius_mm) for b in between]
            whole = all(b.from_mm - a.to_mm < 4 * spacing_mm for a, b in zip(out[k:-1], out[k + 1 :], strict=True))
            bounded = whole and all(-2 * noise_mm < d < WEAR_MOST * level for d in depths)
            if bounded and _way_is_shallow(first, between, band, rim, areas, spacing_mm=spacing_mm):
                a, b = first.to_mm - first.from_mm, band.to_mm - band.from_mm
                radius = (a * first.radius_mm + b * band.radius_mm) / (a + b)
                out[k:] = [Band(first.sign, first.from_mm, band.to_mm, radius, 0.0)]
            break
    return out + under


def _covers(a: Band, b: Band) -> bool:
    """Whether a stretch lies over another along all its length: that is then the floor of a cut in it."""
    return (
        a.sign == b.sign and a.from_mm <= b.from_mm and b.to_mm <= a.to_mm
        and a.sign * (a.radius_mm - b.radius_mm) > 0
    )  # fmt: skip


def _way_is_shallow(
    first: Band, between: list[Band], last: Band, rim: Rim, areas: FloatArray, *, spacing_mm: float
) -> bool:
    """Whether a hollow's sides slope as wear's do and no tool's would.

    Tapered pieces on the way tell at once. Where the mesh is too coarse to show any, the surface between a quarter and
    three quarters of the depth does: a wall has next to none.
    """
    if any(b.slope != 0 for b in between):
        return all(abs(b.slope) < SHALLOW for b in between)
    level = (first.radius_mm + last.radius_mm) / 2
    depth = max(first.sign * (level - b.radius_mm) for b in between)
    wide = between[-1].to_mm - between[0].from_mm
    if wide < max(LEAST_HOLLOW_MM, 4 * spacing_mm):
        return False
    if depth < NO_NECK_MM:
        return True
    below = first.sign * (level - rim.radius)
    on_the_way = (
        (rim.along > first.to_mm - 2 * spacing_mm) & (rim.along < last.from_mm + 2 * spacing_mm)
        & (first.sign * rim.out > 0.3) & (below > 0.25 * depth) & (below < 0.75 * depth)
    )  # fmt: skip
    sides_mm = float(areas[on_the_way].sum()) / (2 * np.pi * level)
    return 2 * 0.5 * depth < STEEP * sides_mm


def _noise(rim: Rim, bands: list[Band], cores: list[IntArray]) -> float:
    """Scatter of a point about its stretch: of the calmer half of the larger stretches, by area of points."""
    scatter = [
        (spread(rim.radius[core] - band.radius_mm), len(core))
        for band, core in zip(bands, cores, strict=True)
        if band.slope == 0 and len(core) > 100
    ]
    if not scatter:
        return 0.0
    scatter.sort()
    shares = np.cumsum([many for _, many in scatter])
    return scatter[int(np.searchsorted(shares, shares[-1] / 3))][0]


def rim_about(skin: Skin, axis: Axis) -> Rim:
    """All points in the axis' own coordinates.

    Args:
        skin: the mesh made ready. axis: about which.
    Returns: along, radius, angle and parts of the normals.
    """
    u, v = across(axis.direction)
    q = skin.points - axis.point
    x, y = q @ u, q @ v
    radius = np.hypot(x, y)
    safe = np.maximum(radius, 1e-12)
    nx, ny = skin.normals @ u, skin.normals @ v
    return Rim(
        along=q @ axis.direction, radius=radius, out=(nx * x + ny * y) / safe, up=skin.normals @ axis.direction,
        miss=np.abs(ny * x - nx * y) / safe, angle=np.arctan2(y, x),
    )  # fmt: skip


def worn_zone(spun: Spun, free: BoolArray, *, noise_mm: float) -> list[IntArray]:
    """Free points below the level of each round stretch that may be its worn surface.

    Args:
        spun: the turned surface. free: (n,) points that belong to nothing. noise_mm: 1 sigma.
    Returns: for each band, indices (none for tapers).
    """
    rim, zones = spun.rim, list[IntArray]()
    left = free & (rim.miss < 0.45)
    for band in spun.bands:
        if band.slope != 0:
            zones.append(np.empty(0, dtype=np.int64))
            continue
        below = band.sign * (band.radius_mm - rim.radius)
        chosen = (
            left & (rim.along >= band.from_mm) & (rim.along <= band.to_mm) & (band.sign * rim.out > 0.8)
            & (below > -3 * noise_mm) & (below < WEAR_MOST * band.radius_mm)
        )  # fmt: skip
        zones.append(np.flatnonzero(chosen))
        left &= ~chosen
    return zones


def _only(rim: Rim, usable: BoolArray) -> Rim:
    return Rim(*(getattr(rim, name)[usable] for name in ("along", "radius", "out", "up", "miss", "angle")))


def _sharper_axis(
    skin: Skin, rim: Rim, bands: list[Band], cores: list[IntArray], axis: Axis, *, noise_mm: float
) -> Axis | None:
    groups, radii, tapers = list[FloatArray](), list[float](), list[float]()
    edge = 0.8 * skin.spacing_mm
    for band, core in zip(bands, cores, strict=True):
        long = band.to_mm - band.from_mm
        steep = band.slope != 0 and (long < LONG_TAPER * skin.spacing_mm or abs(band.slope) > SHALLOW)
        if steep or long < 5 * skin.spacing_mm:
            continue
        along = rim.along[core]
        chosen = core[(along > band.from_mm + edge) & (along < band.to_mm - edge)]
        if len(chosen) > 30:
            groups.append(skin.points[chosen[:: max(1, len(chosen) // 5000)]])
            radii.append(band.radius_mm)
            tapers.append(band.slope)
    if not groups:
        return axis if bands else None
    sharper = shared_axis(groups, np.array(radii), axis, noise_mm=noise_mm, tapers=np.array(tapers))[0]
    # The origin along the axis stays where it was: the bands are counted from it.
    back = float((axis.point - sharper.point) @ sharper.direction)
    return replace(sharper, point=sharper.point + back * sharper.direction)


def _supported(
    skin: Skin, rim: Rim, usable: BoolArray, bands: list[Band], *, noise_mm: float
) -> tuple[list[Band], list[IntArray]]:
    """Bands that reach far enough round, settled at their level, and the points that lie there."""
    kept, cores = list[Band](), list[IntArray]()
    left = usable & (rim.miss < 0.4)
    for band in sorted(bands, key=lambda b: (b.slope != 0, b.from_mm - b.to_mm)):
        inside = (rim.along >= band.from_mm) & (rim.along <= band.to_mm)
        cos, sin = 1 / np.hypot(1, band.slope), band.slope / np.hypot(1, band.slope)
        agrees = band.sign * (rim.out * cos - rim.up * sin) > (0.9 if band.slope == 0 else 0.85)
        maybe = np.flatnonzero(left & inside & agrees)
        if len(maybe) < 12:
            continue
        width = 4.5 * noise_mm + 0.03 * skin.spacing_mm
        off = (rim.radius[maybe] - band.radius_at(rim.along[maybe])) * cos
        shift = -band.sign * noise_mm
        for _ in range(6):
            w = tukey(off - shift, width)
            if w.sum() < 5:
                break
            shift = float(w @ off) / float(w.sum())
        settled = replace(band, radius_mm=band.radius_mm + shift / cos)
        core = maybe[np.abs(off - shift) < width]
        sectors = np.bincount(((rim.angle[core] / (2 * np.pi) + 0.5) * 48).astype(np.int64) % 48, minlength=48)
        if len(core) < 12 or np.count_nonzero(sectors) < ROUND_ENOUGH * 48:
            continue
        if float(np.median(rim.miss[core])) > FLATTISH:
            continue  # six flats share a level too, but their normals turn away from the axis
        if float(skin.areas[core].sum()) < 0.08 * 2 * np.pi * abs(band.radius_mm) * (band.to_mm - band.from_mm):
            continue
        kept.append(settled)
        cores.append(core)
        left[core] = False
    order = sorted(range(len(kept)), key=lambda k: (-kept[k].sign, kept[k].from_mm))
    return [kept[k] for k in order], [cores[k] for k in order]


def ringed(spun: Spun, free: BoolArray, *, spacing_mm: float) -> BoolArray:
    """Free points that lie on the turned surface though on no stretch: chamfers, rounded edges, small grooves.

    Args:
        spun: the turned surface. free: (n,) points that belong to nothing. spacing_mm: of the mesh.
    Returns: (n,) true where points of the same place in the profile are found most of the way round.
    """
    rim = spun.rim
    cell = 2.0 * spacing_mm
    a, b = (rim.along / cell).astype(np.int64), (rim.radius / cell).astype(np.int64)
    key = (a - a.min()) * (b.max() + 2) + b
    sector = ((rim.angle / (2 * np.pi) + 0.5) * 24).astype(np.int64) % 24
    turned = rim.miss < 0.25
    known, place = np.unique(key, return_inverse=True)
    seen = np.zeros((len(known), 24), dtype=np.bool_)
    seen[place[turned], sector[turned]] = True
    # Six flats fill up to three quarters of the sectors near their corners.
    return free & turned & (seen.sum(axis=1)[place] >= 19)


def with_late_bands(spun: Spun, found: list[Found], points: FloatArray) -> tuple[Spun, list[Found]]:
    """Cylinders found beside the turned surface that share its axis after all, made stretches of it.

    Args:
        spun: the turned surface. found: finds elsewhere. points: all, (n, 3).
    Returns: the turned surface with them; the finds left. Pieces that lie along the axis and round it but are neither
        centred on it nor nearly whole are worn or half seen pieces of a stretch, fitted for themselves: they go.
    """
    left, bands, members = list[Found](), list(spun.bands), list(spun.members)
    for f in found:
        surface = f.surface
        if not isinstance(surface, Turned) or abs(surface.axis @ spun.axis.direction) < 0.95:
            left.append(f)
            continue
        away = float(np.linalg.norm(np.cross(surface.point - spun.axis.point, spun.axis.direction)))
        arc = arc_of(surface, points[f.members])
        if surface.half_angle_rad == 0 and away < 8 * spun.noise_mm and arc > 3.5:
            along = spun.rim.along[f.members]
            sign = -1 if f.inside else 1
            bands.append(Band(sign, float(along.min()), float(along.max()), surface.radius_mm, 0.0))
            members.append(f.members)
        elif away > 0.5 * surface.radius_mm or arc > 5.5:
            left.append(f)
    return replace(spun, bands=tuple(bands), members=tuple(members)), left


def _faces(skin: Skin, rim: Rim, free: BoolArray, axis: Axis, *, noise_mm: float) -> list[Found]:
    """Faces square to the axis: places along it where much surface looks the same way along."""
    found = list[Found]()
    for sign in (1, -1):
        chosen = np.flatnonzero(free & (sign * rim.up > 0.9))
        if len(chosen) < 12:
            continue
        width = max(noise_mm, 0.2 * skin.spacing_mm)
        low = float(rim.along[chosen].min())
        place = ((rim.along[chosen] - low) / width).astype(np.int64)
        heap = np.bincount(place, weights=skin.areas[chosen])
        smooth = np.convolve(heap, np.ones(5), mode="same")
        left = np.ones(len(chosen), dtype=np.bool_)
        while True:
            peak = int(np.argmax(smooth))
            if smooth[peak] < 25 * skin.spacing_mm**2:
                break
            near = left & (np.abs(place - peak) <= 3)
            smooth[max(0, peak - 5) : peak + 6] = 0
            if near.sum() < 12:
                continue
            height = float(np.median(rim.along[chosen[near]]))
            near = left & (np.abs(rim.along[chosen] - height) < 4 * noise_mm + 0.1 * skin.spacing_mm)
            left &= ~near
            found += _rings(skin, rim, chosen[near], axis, sign=sign, noise_mm=noise_mm)
    return found


def _rings(skin: Skin, rim: Rim, members: IntArray, axis: Axis, *, sign: int, noise_mm: float) -> list[Found]:
    """Points of one height parted where the radius has a gap, each fitted as a plane that looks along the axis."""
    order = members[np.argsort(rim.radius[members], kind="stable")]
    steps = np.flatnonzero(np.diff(rim.radius[order]) > 3 * skin.spacing_mm) + 1
    found = list[Found]()
    for ring in np.split(order, steps):
        if len(ring) < 12 or float(skin.areas[ring].sum()) < 12 * skin.spacing_mm**2:
            continue
        radius = float(rim.radius[ring].mean())
        sectors = np.bincount(((rim.angle[ring] / (2 * np.pi) + 0.5) * 24).astype(np.int64) % 24, minlength=24)
        if np.count_nonzero(sectors) < 8 and radius > 3 * skin.spacing_mm:
            continue
        points = skin.points[ring]
        plane = flat.plane(points, tukey(_off(points, axis), 6 * _off_spread(points, axis)))
        normal = plane.normal if plane.normal @ axis.direction * sign > 0 else -plane.normal
        if bulge_of(_seen_flat(points, normal)) > BULGE * noise_mm:
            continue  # a strip of a cross hole's wall
        found.append(Found(replace(plane, normal=normal), ring, coaxial=True))
    return found


def _seen_flat(points: FloatArray, normal: FloatArray) -> FloatArray:
    """Points along and across their own spread in a plane, and off it."""
    some = points[:: max(1, len(points) // 2000)]
    some = some - some.mean(axis=0)
    off = some @ normal
    _, _, turn = np.linalg.svd(some - np.outer(off, normal), full_matrices=False)
    return np.stack((some @ turn[0], some @ turn[1], off), axis=1)


def _off(points: FloatArray, axis: Axis) -> FloatArray:
    along = (points - axis.point) @ axis.direction
    return along - np.median(along)


def _off_spread(points: FloatArray, axis: Axis) -> float:
    return float(1.5 * np.median(np.abs(_off(points, axis)))) + 1e-9


def band_surface(band: Band, axis: Axis, points: FloatArray, *, noise_mm: float) -> Turned:
    """The plain fit of a stretch: of a round one with an axis of its own, all of its points, worn ones too.

    Args:
        band: the stretch. axis: the part's. points: (n, 3). noise_mm: 1 sigma.
    Returns: cylinder or cone, its axis the same way along as the part's.
    """
    some = points[:: max(1, len(points) // 20_000)]
    start = Turned(
        axis.point + band.middle_mm * axis.direction, axis.direction, band.radius_mm, float(np.arctan(band.slope))
    )
    if band.slope != 0:
        return _taper(band, axis, some, noise_mm=noise_mm)
    fitted = rounds.cylinder(some, start, rounds=20)
    sane = 0.5 < fitted.radius_mm / band.radius_mm < 2 and fitted.axis @ axis.direction > 0.9
    return fitted if sane else start


def _taper(band: Band, axis: Axis, points: FloatArray, *, noise_mm: float) -> Turned:
    """The taper about the part's axis: on a short one an axis of its own would wander."""
    q = points - axis.point
    along = q @ axis.direction - band.middle_mm
    radius = np.linalg.norm(q - np.outer(q @ axis.direction, axis.direction), axis=1)
    level, slope = band.radius_mm, band.slope
    for _ in range(8):
        w = tukey(radius - level - slope * along, 8 * noise_mm + 1e-9)
        if np.count_nonzero(w) < 20:
            break
        mean = float(w @ along) / float(w.sum())
        slope = float((w * (along - mean)) @ radius) / float((w * (along - mean)) @ (along - mean))
        level = float(w @ (radius - slope * along)) / float(w.sum())
    middle = axis.point + band.middle_mm * axis.direction
    return Turned(middle, axis.direction, level, float(np.arctan(slope)))
