"""The turned surface of a scan: its axis, its round and tapered stretches, its faces, and which points lie on each.

Worn surface lies below its stretch's level and is kept apart at first (`worn_zone`): flats and keyways are looked for
in it before it is given to the stretch as wear.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across, spread, tukey
from steadyrest.part.segment.axis import Axis, shared_axis, turned_axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import arc_of
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.bowed import bowed
from steadyrest.part.segment.turned_scan.hollows import SHALLOW, WEAR_MOST, hollows_filled
from steadyrest.part.segment.turned_scan.lobes import with_grips
from steadyrest.part.segment.turned_scan.narrow import narrow_grooves, narrow_lands
from steadyrest.part.segment.turned_scan.profile import Band, Rim, bands_of
from steadyrest.part.segment.turned_scan.square import faces_square

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

LEAST_SHARE = 0.5  # of the surface not square to the axis that must be turned round it
SLICE = 0.5  # of the spacing
LOUDEST = 1.8  # of the first guess: what scatters more is wear or thread, not noise
FLATTISH = 0.12  # typical sine between normals and the plane through the axis, beyond which a ring is none
LONG_TAPER = 20  # spacings from which a taper helps to place the axis
LEAST_BORE = 1.3  # spacings that a bore's radius must have
ROUND_ENOUGH = 0.12  # share of the round that a stretch must cover to be one


@dataclass(frozen=True, slots=True)
class Spun:
    """The turned surface.

    axis: refined. rim: all points about it. bands: its stretches. members: points of each at its level.
    faces: finds square to the axis. arcs: balls and rings about it. noise_mm: 1 sigma, from how the calmest stretches
    scatter.
    """

    axis: Axis
    rim: Rim
    bands: tuple[Band, ...]
    members: tuple[IntArray, ...]
    faces: tuple[Found, ...]
    noise_mm: float
    arcs: tuple[Found, ...] = ()


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
        bands = hollows_filled(bands, rim, skin, noise_mm=noise_mm)
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
    bands = narrow_grooves(bands, rim, usable, noise_mm=noise_mm, spacing_mm=skin.spacing_mm)
    bands = narrow_lands(bands, rim, usable, noise_mm=noise_mm, spacing_mm=skin.spacing_mm)
    bands, cores = _supported(skin, rim, usable, bands, noise_mm=noise_mm)
    if not any(band.slope == 0 for band in bands):
        return None
    bands, cores = with_grips(skin, rim, usable, bands, cores, noise_mm=noise_mm)
    round_ = bowed(skin, rim, usable, bands, cores, axis, noise_mm=noise_mm)
    taken = np.zeros(len(skin.points), dtype=np.bool_)
    for members in (*round_.cores, *(arc.members for arc in round_.arcs)):
        taken[members] = True
    faces = faces_square(skin, rim, usable & ~taken, axis, noise_mm=noise_mm)
    return Spun(axis, rim, tuple(round_.bands), tuple(round_.cores), tuple(faces), noise_mm, round_.arcs)


def _noise(rim: Rim, bands: list[Band], cores: list[IntArray]) -> float:
    """Scatter of a point about its stretch: of the calmer half of the larger stretches, by area of points.

    About a middle of its own: an axis that wear pulled aside must not be heard as noise, which would excuse it.
    """
    scatter = [
        (spread(_centred(rim.radius[core] - band.radius_mm, rim.angle[core])), len(core))
        for band, core in zip(bands, cores, strict=True)
        if band.slope == 0 and len(core) > 100
    ]
    if not scatter:
        return 0.0
    scatter.sort()
    shares = np.cumsum([many for _, many in scatter])
    return scatter[int(np.searchsorted(shares, shares[-1] / 3))][0]


def _centred(off_mm: FloatArray, angle: FloatArray) -> FloatArray:
    """Distances from a stretch's level without what a shifted middle makes of them."""
    waves = np.stack((np.ones_like(angle), np.cos(angle), np.sin(angle)), axis=1)
    return off_mm - waves @ np.linalg.solve(waves.T @ waves + 1e-9 * np.eye(3), waves.T @ off_mm)


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
    order = np.argsort(rim.along)
    along = rim.along[order]
    for band in sorted(bands, key=lambda b: (b.slope != 0, b.from_mm - b.to_mm)):
        low, high = np.searchsorted(along, (band.from_mm, band.to_mm))
        maybe = np.sort(order[low:high])
        maybe = maybe[left[maybe]]
        cos, sin = 1 / np.hypot(1, band.slope), band.slope / np.hypot(1, band.slope)
        agrees = band.sign * (rim.out[maybe] * cos - rim.up[maybe] * sin) > (0.9 if band.slope == 0 else 0.85)
        maybe = maybe[agrees]
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
        if band.sign < 0 and band.radius_mm < LEAST_BORE * skin.spacing_mm:
            continue  # too few triangles round to tell a wall from the skin that closes a hole
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
