"""Grooves and lands too narrow for the profile's slices: a ring's groove is often no wider than two triangles.

Of such a groove no slice along the axis holds floor enough to be a stretch of its own. But all round the part, points
lie deep at the same place along it, and between their walls a few rows of them look outward: those are its floor.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.part.segment.turned_scan.profile import Band, Rim

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

LEAST_NOISES, LEAST_MM = 6.0, 0.15  # shallower is wear or a dent
DEEPEST = 0.2  # of the radius
SECTORS, MOST_ROUND = 24, 16  # round the axis, and how many of them must be deep at one place
BIN = 0.35  # of the spacing
WIDEST = 4.0  # spacings: what is wider shows in the profile itself
BESIDE = 1.0  # spacings of seat that must stand on either side
ON_FLOOR = 0.75  # of the depth: deeper points are the floor's
LOOKS_OUT = 0.8
LEAST_FLOOR = 10  # points


@dataclass(frozen=True, slots=True)
class _Dip:
    """Where a stretch is deep all round: from, to along the axis, the floor's radius."""

    from_mm: float
    to_mm: float
    radius_mm: float


def narrow_grooves(bands: list[Band], rim: Rim, usable: BoolArray, *, noise_mm: float, spacing_mm: float) -> list[Band]:
    """The stretches with their narrow grooves cut out of them.

    Args:
        bands: of the profile. rim: all points about the axis. usable: (n,) points that were really seen.
        noise_mm: 1 sigma. spacing_mm: of the mesh.
    Returns: stretches; a grooved one as the pieces beside its grooves, and the floors.
    """
    out: list[Band] = []
    turned = usable & (rim.miss < 0.35)
    for band in bands:
        wide_enough = band.to_mm - band.from_mm > (BESIDE + 1) * spacing_mm
        dips = _dips(band, rim, turned, noise_mm, spacing_mm) if band.slope == 0 and wide_enough else []
        dips = [dip for dip in dips if not _known(dip, bands)]
        start = band.from_mm
        for dip in dips:
            if dip.from_mm > start:
                out.append(replace(band, from_mm=start, to_mm=dip.from_mm))
            out.append(Band(band.sign, dip.from_mm, dip.to_mm, dip.radius_mm, 0.0))
            start = dip.to_mm
        if start < band.to_mm:
            out.append(replace(band, from_mm=start) if dips else band)
    return _gaps_floored(out, rim, turned, noise_mm, spacing_mm)


def _gaps_floored(bands: list[Band], rim: Rim, turned: BoolArray, noise_mm: float, spacing_mm: float) -> list[Band]:
    """The stretches with the floors of narrow grooves that part two of one level: too few slices for a stretch."""
    out = list(bands)
    order = sorted((k for k, b in enumerate(out) if b.slope == 0), key=lambda k: (out[k].sign, out[k].from_mm))
    for k, j in pairwise(order):
        a, b = out[k], out[j]
        gap = b.from_mm - a.to_mm
        same = a.sign == b.sign and abs(a.radius_mm - b.radius_mm) < 3 * noise_mm
        if not same or not 0.5 * spacing_mm < gap < WIDEST * spacing_mm:
            continue
        for dip in _dips(replace(a, to_mm=b.to_mm), rim, turned, noise_mm, spacing_mm):
            over = min(dip.to_mm, b.from_mm) - max(dip.from_mm, a.to_mm)
            if over < 0.5 * gap or _known(dip, out):
                continue
            out[k] = replace(a, to_mm=min(a.to_mm, dip.from_mm))
            out[j] = replace(b, from_mm=max(b.from_mm, dip.to_mm))
            out.append(Band(a.sign, dip.from_mm, dip.to_mm, dip.radius_mm, 0.0))
            break
    return out


def narrow_lands(bands: list[Band], rim: Rim, usable: BoolArray, *, noise_mm: float, spacing_mm: float) -> list[Band]:
    """The stretches with the narrow lands that stand beyond a groove: of the same level as the seat before it.

    Args:
        bands: of the profile. rim: all points about the axis. usable: (n,) points that were really seen.
        noise_mm: 1 sigma. spacing_mm: of the mesh.
    Returns: stretches, the lands last.
    """
    out = list(bands)
    fine = usable & (rim.miss < 0.35)
    for floor in bands:
        if floor.slope != 0 or floor.to_mm - floor.from_mm > 2 * WIDEST * spacing_mm:
            continue
        for sense in (1.0, -1.0):
            seat = next((b for b in bands if _stands_before(b, floor, sense, spacing_mm)), None)
            land = _land(seat, floor, sense, rim, fine, noise_mm, spacing_mm) if seat is not None else None
            if land is not None and not any(_overlaps(land, b, spacing_mm) for b in out if b.sign == land.sign):
                out.append(land)
    return out


def _stands_before(band: Band, floor: Band, sense: float, spacing_mm: float) -> bool:
    """Whether a longer seat ends, the way of the sense, where a floor begins, and stands higher."""
    gap = floor.from_mm - band.to_mm if sense > 0 else band.from_mm - floor.to_mm
    higher = band.sign * (band.radius_mm - floor.radius_mm) > LEAST_MM
    longer = band.to_mm - band.from_mm > floor.to_mm - floor.from_mm
    return band.sign == floor.sign and band.slope == 0 and abs(gap) < spacing_mm and higher and longer


def _land(
    seat: Band, floor: Band, sense: float, rim: Rim, fine: BoolArray, noise_mm: float, spacing_mm: float
) -> Band | None:
    """What stands at the seat's level just beyond a floor, most of the way round."""
    beyond = sense * (rim.along - (floor.to_mm if sense > 0 else floor.from_mm))
    on = fine & (beyond > 0) & (beyond < WIDEST * spacing_mm) & (seat.sign * rim.out > LOOKS_OUT)
    on &= np.abs(rim.radius - seat.radius_mm) < 3 * noise_mm
    sector = ((rim.angle[on] / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64) % SECTORS
    if np.count_nonzero(on) < 2 * MOST_ROUND or len(np.unique(sector)) < MOST_ROUND:
        return None
    start, end = (float(x) for x in np.quantile(rim.along[on], [0.02, 0.98]))
    wide = end - start > 0.6 * spacing_mm
    return Band(seat.sign, start, end, seat.radius_mm, 0.0) if wide else None


def _overlaps(land: Band, band: Band, spacing_mm: float) -> bool:
    """Whether a stretch holds the land's place already."""
    return min(land.to_mm, band.to_mm) - max(land.from_mm, band.from_mm) > 0.3 * spacing_mm


def _known(dip: _Dip, bands: list[Band]) -> bool:
    """Whether a stretch of its own stands there already."""
    middle = (dip.from_mm + dip.to_mm) / 2
    return any(b.from_mm < middle < b.to_mm and abs(b.radius_mm - dip.radius_mm) < 0.1 for b in bands)


def _dips(band: Band, rim: Rim, turned: BoolArray, noise_mm: float, spacing_mm: float) -> list[_Dip]:
    """The narrow dips in a stretch or at its ends: a ring's groove stands close to a shaft's end, and the land beyond
    it is no wider than a triangle. There a stretch may end in the groove; the land must stand at its level all the
    same."""
    below = band.sign * (band.radius_mm - rim.radius)
    past = (WIDEST + 1) * spacing_mm
    start_mm, end_mm = band.from_mm - past, band.to_mm + past
    deep = turned & (rim.along > start_mm) & (rim.along < end_mm)
    deep &= (below > max(LEAST_NOISES * noise_mm, LEAST_MM)) & (below < DEEPEST * band.radius_mm)
    if np.count_nonzero(deep) < MOST_ROUND:
        return []
    along, depth, angle, out = rim.along[deep], below[deep], rim.angle[deep], band.sign * rim.out[deep]
    bins = max(1, int(np.ceil((end_mm - start_mm) / (BIN * spacing_mm))))
    place = np.minimum(((along - start_mm) / (BIN * spacing_mm)).astype(np.int64), bins - 1)
    sector = ((angle / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64) % SECTORS
    hit = np.zeros((bins + 2, SECTORS), dtype=np.bool_)
    hit[place + 1, sector] = True
    filled = (hit[:-2] | hit[1:-1] | hit[2:]).sum(axis=1) >= MOST_ROUND
    edges = np.flatnonzero(np.diff(np.concatenate(([False], filled, [False])).astype(np.int8)))
    found: list[_Dip] = []
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        low, high = start_mm + first * BIN * spacing_mm, start_mm + last * BIN * spacing_mm
        touches = low < band.to_mm and high > band.from_mm
        if not touches or high - low > WIDEST * spacing_mm:
            continue
        here = (along > low) & (along < high)
        if not here.any():  # filled by its two neighbours only, each half round
            continue
        most = float(np.quantile(depth[here], 0.95))
        floor = here & (depth > ON_FLOOR * most) & (out > LOOKS_OUT)
        if np.count_nonzero(floor) < LEAST_FLOOR or len(np.unique(sector[floor])) < LEAST_FLOOR:
            continue
        walls = along[here & (depth > 0.5 * most)]
        start, end = (float(x) for x in np.quantile(walls, [0.02, 0.98]))
        dip = _Dip(start, end, band.radius_mm - band.sign * float(np.median(depth[floor])))
        beside = ((-1.0, low - band.from_mm), (1.0, band.to_mm - high))
        sides = [sense for sense, seat_mm in beside if seat_mm <= BESIDE * spacing_mm]
        if len(sides) < 2 and all(_stands(band, dip, sense, rim, turned, noise_mm, spacing_mm) for sense in sides):
            found.append(dip)
    return found


def _stands(
    band: Band, dip: _Dip, sense: float, rim: Rim, turned: BoolArray, noise_mm: float, spacing_mm: float
) -> bool:
    """Whether a land of a stretch's level stands beyond a dip at its end."""
    floor = Band(band.sign, dip.from_mm, dip.to_mm, dip.radius_mm, 0.0)
    return _land(band, floor, sense, rim, turned, noise_mm, spacing_mm) is not None
