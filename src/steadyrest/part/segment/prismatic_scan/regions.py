"""Planes, cylinders, cones and spheres anywhere on a scan, by consensus that grows from calm places.

A *seed* is a calm point; its surroundings propose a surface of each kind; each proposal gathers the connected points
that agree in place and direction; the simplest that gathers nearly the most is refined and kept. A find must be bounded
by edges: where the surface goes on smoothly beyond it, it was only a strip of something else.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import flat
from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Sphere, Turned
from steadyrest.part.fit.solve import across, covariance, spread, tukey, unit
from steadyrest.part.segment.found import Found, Surface
from steadyrest.part.segment.prismatic_scan.bulge import (
    BULGE,
    NO_ROUND,
    SOFT_BULGE,
    bend_radius_of,
    bulge_of,
    core_bulge_of,
)
from steadyrest.part.segment.prismatic_scan.walks import border_of, gather, pieces_of, surroundings_of, unrest_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]
Kind = Literal["plane", "cylinder", "cone", "sphere"]

SURROUNDINGS = (25, 90, 350)
SMOOTH = 0.9  # cosine between neighbours' normals below which an edge lies between them
COARSE = 0.65  # the same, once only small rounds are left: a hole few triangles round
AGREES = 0.93  # cosine between a point's normal and the surface's
FAILURES = 10  # seeds in vain before a smooth piece of skin is left as free
DEAREST = 4000  # points that a fit looks at
SHARED = 12.0  # points that share one noise value, roughly, while the noise is not yet known
LEAST_BALL = 0.03  # share of a whole sphere that must be there
SIMPLER = {"plane": 1.0, "cylinder": 1.1, "sphere": 1.25, "cone": 1.35}
SOFT_FLAT, SOFT_ROUND, SOFT_WHOLE = 0.75, 0.6, 0.8  # most of a border that may be soft: planes, rounds, whole walls
AT_REST, STILL = 6, 0.05  # steps at most; of the noise, a step that moves nothing any more
KEEPS = 0.9  # of its points, that a find must keep while it settles
LARGE, LONG = 40.0, 0.7  # least areas, of the radius: how large and how long a wall must be to be called whole


@dataclass(frozen=True, slots=True)
class Limits:
    """What counts as lying on a surface. noise_mm: 1 sigma. reach_mm: farthest off. least_mm2: smallest find."""

    noise_mm: float
    reach_mm: float
    least_mm2: float


def limits_of(skin: Skin, noise_mm: float) -> Limits:
    """Limits for a scan of this noise and spacing.

    Args:
        skin: the mesh made ready. noise_mm: of one point, 1 sigma.
    Returns: limits.
    """
    return Limits(noise_mm, max(3.5 * noise_mm, 0.06 * skin.spacing_mm), 15 * skin.spacing_mm**2)


def surfaces(skin: Skin, free: BoolArray, kinds: tuple[Kind, ...], *, limits: Limits) -> list[Found]:
    """The surfaces of these kinds among the free points; the points found are no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet. kinds: what to look for.
        limits: what counts.
    Returns: finds, in the order of the pieces of skin that they lie on, largest piece first.
    """
    unrest = unrest_of(skin.normals, skin.start, skin.near)
    found: list[Found] = []
    fresh = free.copy()
    # What a find leaves of its piece falls apart into new pieces: a plate without its faces is so many hole walls.
    smooth = SMOOTH
    while fresh.any():
        piece, count = pieces_of(skin.normals, skin.start, skin.near, fresh, smooth)
        area = np.bincount(piece[piece >= 0], weights=skin.areas[piece >= 0], minlength=count)
        order = np.argsort(piece, kind="stable")
        ends = np.searchsorted(piece[order], np.arange(count + 1))
        fresh = np.zeros(len(free), dtype=np.bool_)
        for k in np.argsort(-area, kind="stable"):
            if area[k] < limits.least_mm2:
                break
            members = order[ends[k] : ends[k + 1]]
            seeds = members[np.argsort(unrest[members], kind="stable")]
            some = _on_piece(skin, free, seeds, kinds, limits=limits, smooth=smooth)
            found += some
            if some:
                fresh[members] = free[members]
        if smooth == SMOOTH and not fresh.any() and kinds != ("plane",):
            smooth, fresh = COARSE, free.copy()
    return found


def _on_piece(
    skin: Skin, free: BoolArray, seeds: IntArray, kinds: tuple[Kind, ...], *, limits: Limits, smooth: float
) -> list[Found]:
    found: list[Found] = []
    tried = np.zeros(len(skin.points), dtype=np.bool_)
    failures, at = 0, 0
    allowed = FAILURES + len(seeds) // 4000
    while at < len(seeds) and failures < allowed:
        seed = int(seeds[at])
        at += 1
        if tried[seed] or not free[seed]:
            continue
        surroundings = surroundings_of(skin.normals, skin.start, skin.near, free, seed, SURROUNDINGS[-1], smooth)
        best = _best_from(skin, free, surroundings, kinds, limits=limits)
        tried[surroundings[:60]] = True
        if best is None:
            failures += len(surroundings) >= SURROUNDINGS[0]  # a speck that a find left over says nothing
            continue
        found.append(best)
        free[best.members] = False
    return found


def _best_from(
    skin: Skin, free: BoolArray, surroundings: IntArray, kinds: tuple[Kind, ...], *, limits: Limits
) -> Found | None:
    best: tuple[float, Kind, Surface, bool, IntArray] | None = None
    for kind in kinds:
        champion: tuple[float, Surface, bool, IntArray] | None = None
        for many in SURROUNDINGS:
            some = surroundings[:many]
            if len(some) < min(many, 12) or (many > 25 and len(some) <= many // 3):
                break
            proposal = _proposed(skin.points[some], skin.normals[some], kind)
            if proposal is None:
                continue
            grown = gathered(skin, free, some[:8], *proposal, limits=limits, loose=1.6)
            area = float(skin.areas[grown].sum())
            if len(grown) >= 12 and (champion is None or area > champion[0]):
                champion = (area, *proposal, grown)
        if champion is None:
            continue
        area, surface, inside, grown = champion
        for _ in range(4):
            refined = refitted(skin.points[grown], surface, limits.noise_mm)
            if refined is None:
                break
            again = gathered(skin, free, surroundings[:8], refined, inside, limits=limits, loose=1.0)
            more = float(skin.areas[again].sum())
            if len(again) < 12:
                break
            surface, done = refined, abs(more - area) < 0.02 * area
            grown, area = again, more
            if done:
                break
        worth = area / SIMPLER[kind]
        if best is None or worth > best[0]:
            best = (worth, kind, surface, inside, grown)
    if best is None:
        return None
    _, kind, surface, inside, grown = best
    if kind in ("sphere", "cone"):
        kind, surface, inside, grown = _rather_cylinder(skin, free, kind, surface, inside, grown, limits=limits)
    found = come_to_rest(skin, free, Found(surface, grown, inside), limits=limits)
    return found if _stands(skin, free, found, kind, limits=limits) else None


def come_to_rest(skin: Skin, free: BoolArray, found: Found, *, limits: Limits) -> Found:
    """A find fitted to its own points: growth ends while a large round still creeps towards those taken in last.

    A boss of 43 that its web left short stood 0.07 too wide, off the middle of its points by half the noise.

    Args:
        skin: the mesh made ready. free: (n,). found: what growth left. limits: what counts.
    Returns: the find, its surface and its points settled on each other.
    """
    for _ in range(AT_REST):
        points = skin.points[found.members]
        fitted = refitted(points, found.surface, limits.noise_mm)
        if fitted is None:
            break
        crept = fitted.distances(points) - found.surface.distances(points)
        members = gathered(skin, free, found.members[:8], fitted, found.inside, limits=limits, loose=1.0)
        if len(members) < KEEPS * len(found.members):
            break
        found = Found(fitted, members, found.inside)
        if float(np.sqrt(np.mean(np.square(crept)))) < STILL * limits.noise_mm:
            break
    return found


def _rather_cylinder(
    skin: Skin, free: BoolArray, kind: Kind, surface: Surface, inside: bool, grown: IntArray, *, limits: Limits
) -> tuple[Kind, Surface, bool, IntArray]:
    """A cylinder in place of a ball or a cone that gathers no more than it: a short bore is a band of a ball too."""
    proposal = _proposed(skin.points[grown], skin.normals[grown], "cylinder")
    refined = refitted(skin.points[grown], proposal[0], limits.noise_mm) if proposal is not None else None
    if proposal is not None and refined is not None:
        again = gathered(skin, free, grown[:8], refined, proposal[1], limits=limits, loose=1.0)
        if float(skin.areas[again].sum()) > 0.95 * float(skin.areas[grown].sum()):
            better = refitted(skin.points[again], refined, limits.noise_mm) or refined
            return "cylinder", better, proposal[1], again
    return kind, surface, inside, grown


def _stands(skin: Skin, free: BoolArray, found: Found, kind: Kind, *, limits: Limits) -> bool:
    """Whether a find is large, close, well settled and bounded by edges."""
    points = skin.points[found.members]
    small = float(skin.areas[found.members].sum()) < limits.least_mm2 or len(points) < 25
    if small and not _small_round(found.surface, points, float(skin.areas[found.members].sum()), limits):
        return False
    if spread(found.surface.distances(points)) > 1.8 * limits.noise_mm + 0.02 * skin.spacing_mm:
        return False
    belongs = np.zeros(len(skin.points), dtype=np.bool_)
    belongs[found.members] = True
    hard, soft = border_of(skin.normals, skin.start, skin.near, belongs, free, found.members, 0.985)
    if soft > most_soft(skin, found, kind, limits=limits) * max(hard + soft, 1):
        return False
    if isinstance(found.surface, Plane):
        some = points[:: max(1, len(points) // 2000)] - points.mean(axis=0)
        _, spreads, turn = np.linalg.svd(some, full_matrices=False)
        wide = bool(spreads[1] / np.sqrt(len(some)) > 0.55 * skin.spacing_mm)
        # A slot's wall goes on smoothly at both ends: the more it does so, the flatter it must be. What it takes of
        # the rounds there bends its ends and not its middle; a strip of something round is bent all over.
        most = (BULGE if soft < 0.45 * (hard + soft) else SOFT_BULGE) * limits.noise_mm
        seen = some @ turn.T
        return wide and (
            bulge_of(seen) < most or core_bulge_of(seen) < most or bend_radius_of(seen) > NO_ROUND * skin.size_mm
        )
    if isinstance(found.surface, Turned):
        # A little of a cone is what any rounded corner looks like.
        little = float(skin.areas[found.members].sum()) < 20 * limits.least_mm2
        if kind == "cone" and little and sectors_of(found.surface, points, 16) < 10:
            return False
        step = max(1, len(points) // DEAREST)
        slopes = rounds.turned_slopes(found.surface, points[::step])[1][:, : 5 if kind == "cylinder" else 6]
        u_radius = float(np.sqrt(covariance(slopes, limits.noise_mm, SHARED)[4, 4]))
        return u_radius < 0.03 * found.surface.radius_mm and arc_of(found.surface, points) > 0.7
    if isinstance(found.surface, Sphere):
        return float(skin.areas[found.members].sum()) > LEAST_BALL * 4 * np.pi * found.surface.radius_mm**2
    return True


def most_soft(skin: Skin, found: Found, kind: Kind, *, limits: Limits) -> float:
    """Share of a find's border that may go on smoothly.

    A wall seen all the way round has no doubt about itself: deep in a hole a scan is rough, and every point that lies
    too far off is a border of its own.

    Args:
        skin: the mesh made ready. found, kind: what is asked about. limits: what counts.
    Returns: 0 to 1.
    """
    if kind == "plane":
        return SOFT_FLAT
    surface, points = found.surface, skin.points[found.members]
    if kind != "cylinder" or not isinstance(surface, Turned) or sectors_of(surface, points, 16) < 16:
        return SOFT_ROUND
    low, high = np.quantile((points - surface.point) @ surface.axis, (0.05, 0.95))
    large = float(skin.areas[found.members].sum()) > LARGE * limits.least_mm2
    return SOFT_WHOLE if large and float(high - low) > LONG * surface.radius_mm else SOFT_ROUND


def _small_round(surface: Surface, points: FloatArray, area_mm2: float, limits: Limits) -> bool:
    """Whether a find too small to be believed is a cylinder seen all round: a hole few triangles wide."""
    if not isinstance(surface, Turned) or surface.half_angle_rad or len(points) < 18:
        return False
    return area_mm2 > 0.8 * limits.least_mm2 and sectors_of(surface, points, 8) == 8


def sectors_of(surface: Turned, points: FloatArray, many: int) -> int:
    """How many of so many sectors round the axis hold a point."""
    u, v = across(surface.axis)
    q = points - surface.point
    sector = ((np.arctan2(q @ v, q @ u) / (2 * np.pi) + 0.5) * many).astype(np.int64) % many
    return int(np.count_nonzero(np.bincount(sector, minlength=many)))


def arc_of(surface: Turned, points: FloatArray) -> float:
    """How far round the axis points reach: the share of 72 sectors that hold one, times a full turn.

    Args:
        surface: cylinder or cone. points: (n, 3).
    Returns: rad, at most a full turn.
    """
    u, v = across(surface.axis)
    q = points - surface.point
    sector = ((np.arctan2(q @ v, q @ u) + np.pi) / (2 * np.pi) * 72).astype(np.int64) % 72
    return float(np.count_nonzero(np.bincount(sector, minlength=72)) / 72 * 2 * np.pi)


def _proposed(points: FloatArray, normals: FloatArray, kind: Kind) -> tuple[Surface, bool] | None:
    """A surface of one kind from a calm neighbourhood: directions from normals, sizes from how normals turn."""
    middle, mean = points.mean(axis=0), normals.mean(axis=0)
    if kind == "plane":
        return Plane(middle, unit(mean)), False
    if kind == "sphere":
        turn = normals - mean
        below = float(np.sum(turn * turn))
        ratio = float(np.sum((points - middle) * turn)) / below if below > 1e-9 else 0.0
        return (Sphere(middle - ratio * mean, abs(ratio)), ratio < 0) if ratio else None
    if kind == "cylinder":
        axis = np.linalg.eigh(normals.T @ normals)[1][:, 0]
        u, v = across(axis)
        p = np.stack(((points - middle) @ u, (points - middle) @ v), axis=1)
        n = np.stack((normals @ u, normals @ v), axis=1)
        turn = n - n.mean(axis=0)
        below = float(np.sum(turn * turn))
        if below < 1e-4 * len(points):
            return None  # as flat as the noise: no cylinder can be told
        ratio = float(np.sum(p * turn)) / below
        centre = -ratio * n.mean(axis=0)
        return Turned(middle + centre[0] * u + centre[1] * v, axis, abs(ratio)), ratio < 0
    turn = normals - mean
    values, vectors = np.linalg.eigh(turn.T @ turn)
    axis = vectors[:, 0]
    lean = float(mean @ axis)
    if values[1] < 1e-4 * len(points) or not 0.05 < abs(lean) < 0.98:
        return None
    apex = np.linalg.lstsq(normals, np.einsum("ij,ij->i", normals, points), rcond=None)[0]
    axis = axis if (middle - apex) @ axis > 0 else -axis
    lean = float(mean @ axis)
    half = float(np.arcsin(np.clip(abs(lean), 0, 1)))
    height = float((middle - apex) @ axis)
    return Turned(apex + height * axis, axis, height * np.tan(half), half), lean > 0


def refitted(points: FloatArray, surface: Surface, noise_mm: float) -> Surface | None:
    """The surface of the same kind through these points, outliers counted less.

    Args:
        points: (n, 3). surface: where to begin. noise_mm: 1 sigma.
    Returns: the refined surface, or None if it ran away.
    """
    some = points[:: max(1, len(points) // DEAREST)]
    w = tukey(surface.distances(some), 6 * noise_mm + 2 * spread(surface.distances(some)) + 1e-9)
    if np.count_nonzero(w) < 10:
        return None
    match surface:
        case Plane():
            fitted = flat.plane(some, w)
            return fitted if fitted.normal @ surface.normal > 0 else Plane(fitted.point, -fitted.normal)
        case Turned(half_angle_rad=0.0):
            found = rounds.cylinder(some, surface, w, rounds=12)
        case Turned():
            found = rounds.cone(some, surface, w, rounds=15)
        case Sphere():
            return rounds.sphere(some, w, surface)
        case _:
            return surface
    size = float(np.linalg.norm(np.ptp(points, axis=0)))
    return found if np.isfinite(found.radius_mm) and 0 < found.radius_mm < 8 * size else None


def gathered(
    skin: Skin, free: BoolArray, seeds: IntArray, surface: Surface, inside: bool, *, limits: Limits, loose: float
) -> IntArray:
    """The connected free points that lie on a surface.

    Args:
        skin: the mesh made ready. free: (n,). seeds: (k,) where to begin. surface, inside: what they must agree with.
        limits: what counts. loose: factor on the reach.
    Returns: (k,) indices.
    """
    p = np.zeros(8)
    match surface:
        case Plane():
            code, p[:3], p[3:6] = 0, surface.point, surface.normal
        case Turned():
            code, p[:3], p[3:6] = 1, surface.point, surface.axis
            p[6], p[7] = surface.radius_mm, surface.half_angle_rad
        case Sphere():
            code, p[:3], p[6] = 2, surface.centre, surface.radius_mm
        case _:
            return np.empty(0, dtype=np.int64)
    turn = -1.0 if inside else 1.0
    return gather(
        skin.points, skin.normals, skin.start, skin.near, free, seeds, code, p, turn, limits.reach_mm * loose, AGREES
    )
