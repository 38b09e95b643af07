"""Worn bores and pins of a scan that is not turned: round all the way, but no one radius fits them.

Wear leaves steps of a tenth and more between smooth bands, so that neither band is bounded by edges and neither is
believed. What is round all the way with every normal towards one line is one bore all the same; its radius before wear
is then judged as on a turned part (part/wear/worn.py), its own axis being the only one that there is.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across, tukey
from steadyrest.part.segment.found import Found, outward
from steadyrest.part.segment.prismatic_scan.lone_wear import lone_level
from steadyrest.part.segment.prismatic_scan.regions import SMOOTH, Limits, sectors_of
from steadyrest.part.segment.prismatic_scan.walks import pieces_of
from steadyrest.part.segment.skin import Skin
from steadyrest.part.wear.worn import Seat, Unworn, unworn

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

DEEPEST_MM = 0.5  # of wear: deeper is another shape
ON, AGREES, AGREEING = 0.9, 0.95, 0.9  # share of a piece that lies near; cosine of its normals; share that agrees
LEAST_PIECE = 25.0  # of the least area of a find
LEAST_POINTS = 300
SECTORS = 16
STILL_WALL = 0.6  # of the wall's own points to a length: fewer are its rim
MOST_THIN = 3  # stretches of fewer that the edge of the wear may leave
END_SPACINGS = 1.6  # at either end, where edges are rounded
SOUND, ONE_LINE = 1.5, 0.9998  # of the noise, that a sound round may scatter; cosine between two rounds on one line
DEAREST = 4000  # points that a fit looks at


def worn_rounds(skin: Skin, free: BoolArray, *, limits: Limits) -> list[Found]:
    """Whole smooth pieces that are round all the way though no one radius fits them; no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet. limits: what counts.
    Returns: cylinders, the largest piece first.
    """
    piece, count = pieces_of(skin.normals, skin.start, skin.near, free, SMOOTH)
    area = np.bincount(piece[piece >= 0], weights=skin.areas[piece >= 0], minlength=count)
    out: list[Found] = []
    for k in np.argsort(-area, kind="stable"):
        if area[k] < LEAST_PIECE * limits.least_mm2:
            break
        found = round_piece(skin, np.flatnonzero(piece == k))
        if found is not None:
            out.append(found)
            free[found.members] = False
    return out


def round_piece(skin: Skin, members: npt.NDArray[np.int64]) -> Found | None:
    """One piece as a cylinder, or None."""
    if len(members) < LEAST_POINTS:
        return None
    some = members[:: max(1, len(members) // DEAREST)]
    points, normals = skin.points[some], skin.normals[some]
    axis = np.linalg.eigh(normals.T @ normals)[1][:, 0]
    if float(np.quantile(np.abs(normals @ axis), 0.8)) > 0.2:
        return None
    surface = rounds.cylinder_start(points, axis)
    for _ in range(3):
        w = tukey(surface.distances(points), 2 * DEEPEST_MM)
        if np.count_nonzero(w) < LEAST_POINTS / 2:
            return None
        surface = rounds.cylinder(points, surface, w, rounds=12)
    if not 0 < surface.radius_mm < skin.size_mm:
        return None
    lean = np.einsum("ij,ij->i", outward(surface, False, points), normals)
    inside = bool(np.median(lean) < 0)
    near = np.abs(surface.distances(points)) < DEEPEST_MM
    agrees = (-lean if inside else lean) > AGREES
    if near.mean() < ON or agrees[near].mean() < AGREEING or sectors_of(surface, points[near], SECTORS) < SECTORS - 1:
        return None
    return Found(surface, members[np.abs(surface.distances(skin.points[members])) < DEEPEST_MM], inside)


def levels_before_wear(
    skin: Skin, found: Sequence[Found], *, noise_mm: float, correlation_mm: float, seen: BoolArray | None = None
) -> tuple[Unworn | None, ...]:
    """The level before wear of every full round; None where there is too little of one to judge.

    Args:
        skin: the mesh made ready. found: finds of a scan that is not turned. noise_mm, correlation_mm: of the scan.
        seen: (n,) points that the scanner saw; all if None.
    Returns: one for each find.
    """
    there = np.ones(len(skin.points), dtype=np.bool_) if seen is None else seen
    sound = [f for f in found if is_sound(skin, f, noise_mm)]
    return tuple(
        level_of(skin, one, there, noise_mm=noise_mm, correlation_mm=correlation_mm, sound=sound) for one in found
    )


def is_sound(skin: Skin, found: Found, noise_mm: float) -> bool:
    """Whether a find is a full round that fits as closely as the scanner measures: its line can be relied on."""
    surface = found.surface
    if not isinstance(surface, Turned) or surface.half_angle_rad or len(found.members) < LEAST_POINTS:
        return False
    points = skin.points[found.members]
    close = float(np.sqrt(np.mean(np.square(surface.distances(points))))) < SOUND * noise_mm
    return close and sectors_of(surface, points, SECTORS) == SECTORS


def scatter_round(skin: Skin, found: Found, noise_mm: float) -> float | None:
    """How far beyond the noise a round scatters that its find holds all round, in both halves of its length."""
    surface = found.surface
    if not isinstance(surface, Turned):
        return None
    points = skin.points[found.members]
    along = surface.local(points)[1]
    upper = along > np.median(along)
    if any(sectors_of(surface, points[half], SECTORS) < SECTORS for half in (upper, ~upper)):
        return None
    return float(np.sqrt(max(float(np.mean(np.square(surface.distances(points)))) - noise_mm**2, 0.0)))


def line_beside(skin: Skin, found: Found, sound: Sequence[Found]) -> tuple[float, float] | None:
    """Where the line of a sound round on nearly the same line runs, across a find's own; None if there is none."""
    surface = found.surface
    assert isinstance(surface, Turned)
    middle = skin.points[found.members].mean(axis=0)
    at = surface.point + float((middle - surface.point) @ surface.axis) * surface.axis
    u, v = across(surface.axis)
    for other in sorted(sound, key=lambda f: -len(f.members)):
        line = other.surface
        assert isinstance(line, Turned)
        if other is found or abs(float(line.axis @ surface.axis)) < ONE_LINE:
            continue
        q = line.point + float((at - line.point) @ line.axis) * line.axis - at
        if float(np.hypot(q @ u, q @ v)) < DEEPEST_MM:
            return float(q @ u), float(q @ v)
    return None


def level_of(
    skin: Skin, found: Found, seen: BoolArray, *, noise_mm: float, correlation_mm: float, sound: Sequence[Found] = ()
) -> Unworn | None:
    """The level before wear of one find: by its wear as one window, else by the surface that the fit itself holds."""
    if found.part_seen:
        return None
    whole = seat_of(skin, found, seen, noise_mm=noise_mm, correlation_mm=correlation_mm)
    scatter = scatter_round(skin, found, noise_mm)
    worn = lone_level(whole, line_beside(skin, found, sound), scatter) if whole is not None else None
    if worn is not None:
        return worn
    own = np.zeros(len(skin.points), dtype=np.bool_)
    own[found.members] = True
    # Dents and what a scanner hung across lie beside the wall too: they are no wear.
    seat = seat_of(skin, found, own & seen, noise_mm=noise_mm, correlation_mm=correlation_mm)
    return unworn(seat) if seat is not None else None


def seat_of(skin: Skin, found: Found, seen: BoolArray, *, noise_mm: float, correlation_mm: float) -> Seat | None:
    """A full round with the worn surface beside it that lies too deep for the fit; None where there is too little."""
    surface = found.surface
    if not isinstance(surface, Turned) or surface.half_angle_rad or len(found.members) < LEAST_POINTS:
        return None
    if sectors_of(surface, skin.points[found.members], SECTORS) < SECTORS - 1:
        return None
    radius, along = surface.local(skin.points)
    some = np.flatnonzero((np.abs(radius - surface.radius_mm) < DEEPEST_MM) & seen)
    lean = np.einsum("ij,ij->i", outward(surface, False, skin.points[some]), skin.normals[some])
    some = some[(-lean if found.inside else lean) > AGREES]
    low, high = wall_ends(along[some], along[found.members], skin.spacing_mm)
    edge = min(END_SPACINGS * skin.spacing_mm, 0.2 * float(high - low))
    some = some[(along[some] > low + edge) & (along[some] < high - edge)]
    if len(some) < LEAST_POINTS:
        return None
    u, v = across(surface.axis)
    q = skin.points[some] - surface.point
    return Seat(
        angle=np.arctan2(q @ v, q @ u), along=along[some], radius=radius[some], sign=-1 if found.inside else 1,
        noise_mm=noise_mm, correlation_mm=correlation_mm, lone=True,
    )  # fmt: skip


def wall_ends(near_mm: FloatArray, own_mm: FloatArray, spacing_mm: float) -> tuple[float, float]:
    """From where to where a wall goes: beyond the points that a fit holds as long as others lie beside it as densely.

    A fit may hold only the worn middle of a bore; what it was before stands at its ends.

    Args:
        near_mm: (n,) along the axis, of points near the wall that face as it does. own_mm: (m,) of the fit's own.
        spacing_mm: of the mesh.
    Returns: low and high along the axis, mm.
    """
    low, high = (float(x) for x in np.quantile(own_mm, (0.005, 0.995)))
    if high - low < 4 * spacing_mm:
        return low, high
    step = 1.5 * spacing_mm
    dense = STILL_WALL * np.count_nonzero((near_mm > low) & (near_mm < high)) / (high - low) * step
    farthest = high - low
    ends = [low, high]
    for k, sense in ((0, -1.0), (1, 1.0)):
        start = at = ends[k]
        thin = 0
        while abs(at - start) < farthest and thin < MOST_THIN:
            a, b = sorted((at, at + sense * step))
            at += sense * step
            thin += 1
            if np.count_nonzero((near_mm > a) & (near_mm < b)) >= dense:
                ends[k], thin = at, 0
    return ends[0], ends[1]
