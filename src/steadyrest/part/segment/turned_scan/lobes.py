"""Stretches that are turned only on the whole: fluted and ribbed grips, knurls, splines, necks with rounded corners.

Wear lies on one side, or on two, and ends somewhere along the seat. What rises and falls several times round and does
so alike in both halves of its length, straight or slanting as a knurl does, was made so: a diameter before wear would
be an invention there.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.solve import spread
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.profile import Band, Rim

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

SLANTS = (0.0, float(np.tan(np.radians(30.0))), -float(np.tan(np.radians(30.0))))  # of knurls to the axis, DIN 82
FINEST = 0.7  # of the spacing: width of a sector
FEWEST, MOST = 24, 1440  # sectors
IN_A_SECTOR = 8  # points, at least
LEAST_SEEN = 0.6  # of the sectors
DEEPEST = 0.15  # of the radius, that a flute may be
ALIKE = 0.55  # correlation of the two halves
LEAST_LOBES = 4  # wear on two sides and a keyway make three
SHORTEST = 6.0  # spacings: on a shorter stretch noise is alike too
BY_NOISE = 0.1  # sectors of a stretch that the halves' own differences may carry from hollow to crest
LEAST_NOISES, LEAST_MM = 3.0, 0.12  # from hollow to crest
ROUGHER, LEAST_ROUGH_MM = 2.2, 0.05  # than the calmest stretch, from point to point
ROUGH_ROUND = 0.75  # of the round that must be so rough
LEAST_ROUGH_POINTS = 40
STEEPEST = 0.3  # slope of a stretch whose points are compared
ONE_LEVEL = 0.06  # of the radius
WHOLE = 0.6  # of a stretch's surface that lies at its level, unless it is worn or fluted
CREST = 0.9  # quantile of the radii
LEAST_CREST = 8  # lobes: fewer are no teeth
PHASES = 24  # of one lobe
UPRIGHT = 0.6  # of the scatter of radii that the mean lobe must show
TOP = 0.85  # of the way from hollow to crest that is a tooth's land
LOW, HIGH = 0.3, 0.7  # of the way from hollow to crest: what lies between is neither


def lobes_of(rim: Rim, band: Band, usable: BoolArray, *, noise_mm: float, spacing_mm: float) -> int:
    """How many times round a stretch rises and falls, alike over its length; 0 where it does not.

    Args:
        rim: all points about the axis. band: the stretch. usable: (n,) points that were seen and are no cut's.
        noise_mm: 1 sigma of a point. spacing_mm: of the mesh.
    Returns: lobes, straight or slanting, at least four; else 0.
    """
    some = np.flatnonzero(_on(rim, band, usable, spacing_mm))
    off = band.sign * (rim.radius[some] - band.radius_at(rim.along[some]))
    many = min(int(2 * np.pi * abs(band.radius_mm) / (FINEST * spacing_mm)), MOST, len(some) // (2 * IN_A_SECTOR))
    if many < FEWEST or band.to_mm - band.from_mm < SHORTEST * spacing_mm:
        return 0
    along = rim.along[some]
    late = along > np.median(along)
    most = 0
    for slant in SLANTS:
        turned = rim.angle[some] - slant * (along - along.mean()) / abs(band.radius_mm)
        sector = ((turned / (2 * np.pi)) % 1.0 * many).astype(np.int64) % many
        most = max(most, _rises(sector, off, late, many, max(LEAST_NOISES * noise_mm, LEAST_MM)))
    return most if most >= LEAST_LOBES else 0


def one_stretch(band: Band, bands: Sequence[Band], *, spacing_mm: float) -> Band:
    """A round stretch with those of its own radius that go on from it: flats between corners may have broken it up.

    Args:
        band: the stretch. bands: all of them. spacing_mm: of the mesh.
    Returns: the stretch, as long as all of these together.
    """
    low, high = band.from_mm, band.to_mm
    alike = [b for b in bands if b.slope == 0 and abs(b.radius_mm - band.radius_mm) < LEAST_MM and band.slope == 0]
    for _ in alike:
        whole = Band(band.sign, low, high, band.radius_mm, band.slope)
        beside = [b for b in alike if _touch(whole, b, spacing_mm)]
        low, high = min((low, *(b.from_mm for b in beside))), max((high, *(b.to_mm for b in beside)))
    return Band(band.sign, low, high, band.radius_mm, band.slope)


def _rises(sector: IntArray, off: FloatArray, late: BoolArray, many: int, least_mm: float) -> int:
    """Lobes round one row of sectors, of which both halves of the length know."""
    halves = list[FloatArray]()
    for half in (late, ~late):
        count = np.bincount(sector[half], minlength=many)
        halves.append(np.bincount(sector[half], weights=off[half], minlength=many) / np.where(count > 2, count, np.nan))
    from scipy.special import ndtri  # late: the command's help must not wait for SciPy

    one, other = halves
    seen = np.isfinite(one) & np.isfinite(other)
    if seen.mean() < LEAST_SEEN:
        return 0
    one, other = (_centred(half, seen) for half in (one, other))
    if float(np.corrcoef(one, other)[0, 1]) < ALIKE:
        return 0
    both = (one + other) / 2
    low, high = (float(x) for x in np.quantile(both, (0.05, 0.95)))
    own = spread(one - other) / 2
    if high - low < least_mm or (HIGH - LOW) * (high - low) < -float(ndtri(BY_NOISE / many)) * own:
        return 0
    place = (both - low) / (high - low)
    states = np.where(place > HIGH, 1, np.where(place < LOW, -1, 0))
    states = states[states != 0]
    return int(np.count_nonzero((states == 1) & (np.roll(states, 1) == -1)))


def _centred(row: FloatArray, seen: BoolArray) -> FloatArray:
    """What is seen of a row of sectors without what a middle beside the axis makes of it: once round is no lobe."""
    turn = 2 * np.pi * np.flatnonzero(seen) / len(row)
    waves = np.stack((np.ones_like(turn), np.cos(turn), np.sin(turn)), axis=1)
    return row[seen] - waves @ np.linalg.lstsq(waves, row[seen], rcond=None)[0]


def crest_of(rim: Rim, band: Band, usable: BoolArray, lobes: int, *, spacing_mm: float) -> float:
    """The radius over what rises on a stretch of straight lobes, all of them laid upon each other.

    Args:
        rim, band, usable, spacing_mm: as in `lobes_of`. lobes: as it counted them.
    Returns: mm; 0 where too few were counted, or they do not stand straight and evenly.
    """
    if lobes < LEAST_CREST:
        return 0.0
    some = np.flatnonzero(_on(rim, band, usable, spacing_mm))
    place = ((rim.angle[some] * lobes / (2 * np.pi)) % 1.0 * PHASES).astype(np.int64) % PHASES
    count = np.bincount(place, minlength=PHASES)
    if len(some) == 0 or count.min() < IN_A_SECTOR:
        return 0.0
    radius = rim.radius[some]
    mean = np.bincount(place, weights=radius, minlength=PHASES) / count
    # Laid upon each other, lobes that wander or slant leave a level where straight ones leave their shape.
    spread_mm = float(np.quantile(radius, 0.9) - np.quantile(radius, 0.1))
    if float(mean.max() - mean.min()) < UPRIGHT * spread_mm:
        return 0.0
    top = mean > mean.min() + TOP * (mean.max() - mean.min())
    return float(np.median(radius[top[place]]))


def with_grips(
    skin: Skin, rim: Rim, usable: BoolArray, bands: list[Band], cores: list[IntArray], *, noise_mm: float
) -> tuple[list[Band], list[IntArray]]:
    """The stretches with what flutes or ribs broke up made one again.

    Args:
        skin: the mesh made ready. rim: its points about the axis. usable: (n,) points that were really seen.
        bands, cores: the stretches and the points of each. noise_mm: 1 sigma.
    Returns: stretches and their points; a fluted one at the level of its crests, with all of its points.
    """
    whole = [_is_whole(skin, band, core) for band, core in zip(bands, cores, strict=True)]
    out, points = list(bands), list(cores)
    sound = sorted((b for b, fine in zip(bands, whole, strict=True) if fine and b.sign > 0), key=lambda b: b.from_mm)
    ends = [float(rim.along.min()), *(x for b in sound for x in (b.from_mm, b.to_mm)), float(rim.along.max())]
    for low, high in zip(ends[::2], ends[1::2], strict=True):
        broken = [b for b in out if b.sign > 0 and b not in sound and low < (b.from_mm + b.to_mm) / 2 < high]
        if not broken or high - low < SHORTEST * skin.spacing_mm:
            continue
        on = usable & (rim.along > low) & (rim.along < high) & (rim.out > 0.2)
        crest = Band(1, low, high, float(np.quantile(rim.radius[on], CREST)) if on.any() else 0.0, 0.0)
        if not lobes_of(rim, crest, usable, noise_mm=noise_mm, spacing_mm=skin.spacing_mm):
            continue
        kept = [k for k, b in enumerate(out) if b not in broken]
        out, points = [out[k] for k in kept], [points[k] for k in kept]
        out.append(crest)
        points.append(np.flatnonzero(on & (np.abs(rim.radius - crest.radius_mm) < DEEPEST * crest.radius_mm)))
    return out, points


def _is_whole(skin: Skin, band: Band, core: IntArray) -> bool:
    """Whether a stretch is there most of the way round and long enough to be one by itself."""
    full = 2 * np.pi * abs(band.radius_mm) * (band.to_mm - band.from_mm)
    return float(skin.areas[core].sum()) > WHOLE * full


def rough_bands(skin: Skin, rim: Rim, bands: Sequence[Band], usable: BoolArray) -> list[bool]:
    """Which stretches are rough all round as no scan of a plain one is: a knurl finer than the scan shows.

    Args:
        skin: the mesh made ready. rim: its points about the axis. bands: the stretches. usable: (n,) points that were
            seen and are no cut's.
    Returns: one for each stretch; none where no calmer one tells how rough the scan itself is.
    """
    steps = rim.radius - _mean_beside(skin, rim.radius)
    own, even = np.full(len(bands), np.nan), np.zeros(len(bands))
    for k, band in enumerate(bands):
        on = _on(rim, band, usable, skin.spacing_mm)
        if np.count_nonzero(on) < LEAST_ROUGH_POINTS or abs(band.slope) > STEEPEST:
            continue
        sector = ((rim.angle[on] / (2 * np.pi) + 0.5) * FEWEST).astype(np.int64) % FEWEST
        each = [spread(steps[on][sector == j]) for j in range(FEWEST) if (sector == j).sum() > IN_A_SECTOR]
        own[k], even[k] = spread(steps[on]), float(np.quantile(each, 1 - ROUGH_ROUND)) if each else 0.0
    long = np.array([band.to_mm - band.from_mm > SHORTEST * skin.spacing_mm for band in bands]) & np.isfinite(own)
    if np.count_nonzero(long) < 2:
        return [False] * len(bands)
    least = max(ROUGHER * float(own[long].min()), LEAST_ROUGH_MM)
    rough = long & (even > least)
    for _ in bands:  # a rough stretch may fall into many: the pieces beside it are as rough
        beside = [any(rough[j] and _touch(a, b, skin.spacing_mm) for j, b in enumerate(bands)) for a in bands]
        rough |= np.array(beside) & (own > least)
    return [bool(one) for one in rough]


def _touch(a: Band, b: Band, spacing_mm: float) -> bool:
    """Whether two stretches of nearly one radius follow each other."""
    gap = max(a.from_mm, b.from_mm) - min(a.to_mm, b.to_mm)
    return a.sign == b.sign and gap < 2 * spacing_mm and abs(a.radius_mm - b.radius_mm) < ONE_LEVEL * abs(a.radius_mm)


def _on(rim: Rim, band: Band, usable: BoolArray, spacing_mm: float) -> BoolArray:
    """Points near a stretch, away from its ends."""
    edge = min(1.6 * spacing_mm, 0.2 * (band.to_mm - band.from_mm))
    near = usable & (rim.along > band.from_mm + edge) & (rim.along < band.to_mm - edge) & (band.sign * rim.out > 0.2)
    return near & (np.abs(rim.radius - band.radius_at(rim.along)) < DEEPEST * abs(band.radius_mm))


def _mean_beside(skin: Skin, values: FloatArray) -> FloatArray:
    """Each point's neighbours' mean."""
    counts = np.diff(skin.start)
    total = np.add.reduceat(np.append(values[skin.near], 0.0), np.minimum(skin.start[:-1], len(skin.near)))
    return np.where(counts > 0, total / np.maximum(counts, 1), values)
