"""Small holes of a scan that is not turned, measured square to the face into which they open.

A scanner sees a small hole a diameter deep from either mouth, and its program hangs skin across the rest. Found from
its own points alone, a hole comes askew, in pieces, or too small, or not at all. Its face knows its direction; both
ends of its wall are one cylinder; and skin lies inside the wall, so that of several walls the best held one is meant.
What its own points say clearly against being square, and what is large and whole, keeps its own fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across, tukey
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.mouths import Mouth, mouths_of
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.prismatic_scan.settled import is_hollow
from steadyrest.part.segment.prismatic_scan.upright import ROUNDED_MM, Upright, inner_part, sectors, upright_of
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

NARROWEST, WIDEST = 0.6, 1.12  # of a mouth's radius: where its wall may stand; a rim is wider than its hole
DEEP = 2.0  # of a mouth's radius: how deep a wall is first looked for
WIDTH = 6.0  # sigmas within which a point pulls: deep in a hole a scan is twice as rough
LEAST_POINTS = 18
LEAST_SECTORS, LEAST_ROUND = 9, 12  # of 16 that a wall must fill: under a round rim; else, that it is no slot's end
TOGETHER = 10.0  # points that share one value of the noise, roughly
LOOSE = 3.0  # sigmas by which a wall's points may scatter
OWN_LENGTH, OWN_POINTS = 0.85, 0.9  # of the wall: a find that has so much of it and goes all round speaks for itself
WHOLE = 0.93  # of a wall's cells: of less, what was not seen may pass for wear
SMALL = 1000  # points of a wall of its own on which that may happen
KNOWN = 300  # points of a piece that has a say
WORSE = 1.3  # by which pieces may fit together worse than apart: a worn bore's pieces do not lie on one wall
ON_LINE, ALIKE = 0.5, 0.25  # of the radius: between a hole and finds that are pieces of it, or skin in it


@dataclass(frozen=True, slots=True)
class Circle:
    """A wall seen along its line. held: the sum of its points' weights."""

    x: float
    y: float
    radius_mm: float
    held: float


def drilled(skin: Skin, seen: BoolArray, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """The finds, holes that open into flat faces measured square to them, those missed put in.

    Args:
        skin: the mesh made ready. seen: (n,) points that were seen. found: finds of a scan without an axis of its own.
        limits: what counts.
    Returns: finds; holes measured here are last, and pieces of their walls that were found apart are gone.
    """
    out = list(found)
    holes: list[Found] = []
    walls: list[Found] = []
    known: list[tuple[FloatArray, Upright]] = []
    for mouth in mouths_of(skin, found, limits=limits):
        if any(opens_into(mouth, wall) for wall in walls):
            continue
        around = next((s for axis, s in known if float(axis @ mouth.axis) > 1 - 1e-12), None)
        if around is None:
            around = upright_of(skin, seen, mouth.axis)
            known.append((mouth.axis, around))
        hole = hole_at(around, mouth, limits=limits)
        if hole is None or any(is_same(hole, other) for other in holes):
            continue
        walls.append(hole)
        pieces = [f for f in out if is_piece(skin, f, hole)]
        own = [f for f in pieces if speaks_for_itself(skin, f, hole)]
        if own and hole.part_seen:
            small = [f for f in own if len(f.members) < SMALL]
            out = [replace(f, part_seen=True) if any(f is one for one in small) else f for f in out]
        if own or fits_worse(skin, hole, pieces):
            continue
        if stands_askew(skin, hole, limits=limits):
            continue
        out = [f for f in out if all(f is not piece for piece in pieces)]
        holes.append(hole)
    taken = np.zeros(len(skin.points), dtype=np.bool_)
    for hole in holes:
        taken[hole.members] = True
    left = (f if not taken[f.members].any() else without(f, taken) for f in out)
    return [f for f in left if len(f.members) >= LEAST_POINTS] + holes


def opens_into(mouth: Mouth, wall: Found) -> bool:
    """Whether a mouth is one of a wall that was looked at before."""
    hole = wall.surface
    assert isinstance(hole, Turned)
    q = mouth.at - hole.point
    beside = float(np.linalg.norm(q - (q @ hole.axis) * hole.axis))
    like = 0.8 < mouth.radius_mm / hole.radius_mm < 1.2 + ROUNDED_MM / hole.radius_mm
    return like and beside < 0.3 * hole.radius_mm and abs(float(mouth.axis @ hole.axis)) > 0.999


def without(found: Found, taken: BoolArray) -> Found:
    """A find without points that a hole has."""
    return replace(found, members=found.members[~taken[found.members]])


def hole_at(around: Upright, mouth: Mouth, *, limits: Limits) -> Found | None:
    """The hole that opens at a mouth, along the face's normal; None where too little of a wall is there."""
    u, v = across(mouth.axis)
    first = (float(mouth.at @ u), float(mouth.at @ v))
    face = float(mouth.at @ mouth.axis)
    width = WIDTH * limits.noise_mm + 1e-9
    outer = WIDEST * mouth.radius_mm + 0.1
    ring = around.about(*first, NARROWEST * mouth.radius_mm, outer)
    ring &= np.abs(around.z - face) < DEEP * mouth.radius_mm + 2 * ROUNDED_MM
    wall = best_circle(around.x[ring], around.y[ring], first, mouth.radius_mm, width)
    if wall is None:
        return None
    on = ring
    for _ in range(2):
        on = around.about(wall.x, wall.y, NARROWEST * wall.radius_mm, wall.radius_mm + max(2 * width, 0.1))
        close = on & (np.abs(np.hypot(around.x - wall.x, around.y - wall.y) - wall.radius_mm) < width)
        if np.count_nonzero(close) < LEAST_POINTS:
            return None
        low, high = inner_part(around.z[close])
        on &= (around.z > low) & (around.z < high)
        again = best_circle(around.x[on], around.y[on], (wall.x, wall.y), wall.radius_mm, width)
        if again is None:
            return None
        wall = again
    off = np.hypot(around.x - wall.x, around.y - wall.y) - wall.radius_mm
    held = on & (np.abs(off) < width)
    if not NARROWEST < wall.radius_mm / mouth.radius_mm < WIDEST:
        return None
    few = np.count_nonzero(held) < LEAST_POINTS
    least = LEAST_SECTORS if mouth.is_rim else LEAST_ROUND
    if few or sectors(around.x[held] - wall.x, around.y[held] - wall.y) < least:
        return None
    if float(np.sqrt(np.mean(np.square(off[held])))) > LOOSE * limits.noise_mm:
        return None
    at = wall.x * u + wall.y * v + float(around.z[held].mean()) * mouth.axis
    share = share_seen(around.x[held] - wall.x, around.y[held] - wall.y, around.z[held])
    surface = Turned(at, mouth.axis, wall.radius_mm)
    return Found(surface, around.some[held], inside=True, part_seen=share < WHOLE)


def share_seen(x: FloatArray, y: FloatArray, z: FloatArray) -> float:
    """Share of a wall, in 8 slices of 16 sectors, that holds a point, of what so many points would fill by chance."""
    sector = ((np.arctan2(y, x) / (2 * np.pi) + 0.5) * 16).astype(np.int64) % 16
    low, high = float(z.min()), float(z.max())
    part = np.clip(((z - low) / max(high - low, 1e-9) * 8).astype(np.int64), 0, 7)
    return len(np.unique(part * 16 + sector)) / (128 * (1 - float(np.exp(-len(z) / 128))))


def best_circle(
    x: FloatArray, y: FloatArray, first: tuple[float, float], radius_mm: float, width: float
) -> Circle | None:
    """The circle on which most points agree, from several starts, wide first."""
    if len(x) < LEAST_POINTS:
        return None
    rho = np.hypot(x - first[0], y - first[1])
    best: Circle | None = None
    for start in (radius_mm, *(float(q) for q in np.quantile(rho, (0.5, 0.65, 0.8)))):
        here: Circle | None = Circle(*first, start, 0.0)
        for wide in (max(0.2 * radius_mm, width), max(0.08 * radius_mm, width), width):
            here = here and closer(x, y, here, wide)
        if here is not None and (best is None or here.held > 1.001 * best.held):
            best = here
    return best


def closer(x: FloatArray, y: FloatArray, start: Circle, width: float) -> Circle | None:
    """The circle that points within a width of it agree on; None if it ran away."""
    px, py, radius = start.x, start.y, start.radius_mm
    for _ in range(8):
        dx, dy = x - px, y - py
        rho = np.maximum(np.hypot(dx, dy), 1e-9)
        w = tukey(rho - radius, width)
        if np.count_nonzero(w) < LEAST_POINTS // 2:
            return None
        rows = np.stack((dx / rho, dy / rho, np.ones_like(rho)))
        pulled = rows * w
        change = np.linalg.lstsq(pulled @ rows.T, pulled @ (rho - radius), rcond=1e-12)[0]
        px, py, radius = px + float(change[0]), py + float(change[1]), radius + float(change[2])
        if not 0.5 < radius / start.radius_mm < 2:
            return None
        if float(np.abs(change).max()) < 1e-5:
            break
    held = float(tukey(np.hypot(x - px, y - py) - radius, width).sum())
    return Circle(px, py, radius, held)


def is_same(a: Found, b: Found) -> bool:
    """Whether two holes share most of their points: seen from either mouth."""
    shared = len(np.intersect1d(a.members, b.members))
    return shared > 0.3 * min(len(a.members), len(b.members))


def is_piece(skin: Skin, found: Found, hole: Found) -> bool:
    """Whether a find is a piece of a hole's wall."""
    one, wall = found.surface, hole.surface
    assert isinstance(wall, Turned)
    if not is_hollow(found) or not isinstance(one, Turned) or abs(float(one.axis @ wall.axis)) < 0.9:
        return False
    if abs(one.radius_mm - wall.radius_mm) > ALIKE * wall.radius_mm:
        return False
    points = skin.points[found.members]
    middle = points.mean(axis=0)
    at = one.point + float((middle - one.point) @ one.axis) * one.axis - wall.point
    beside = float(np.linalg.norm(at - (at @ wall.axis) * wall.axis))
    own, whole = ((skin.points[f.members] - wall.point) @ wall.axis for f in (found, hole))
    reach = wall.radius_mm + ROUNDED_MM
    along = float(np.median(own))
    return beside < ON_LINE * wall.radius_mm and float(whole.min()) - reach < along < float(whole.max()) + reach


def speaks_for_itself(skin: Skin, found: Found, hole: Found) -> bool:
    """Whether a find is the whole wall already, seen all round."""
    one, wall = found.surface, hole.surface
    assert isinstance(one, Turned)
    assert isinstance(wall, Turned)
    spans = [float(np.ptp(np.quantile((skin.points[f.members] - wall.point) @ wall.axis, (0.02, 0.98))))
             for f in (found, hole)]  # fmt: skip
    if spans[0] < OWN_LENGTH * spans[1] or len(found.members) < OWN_POINTS * len(hole.members):
        return False
    u, v = across(one.axis)
    q = skin.points[found.members] - one.point
    z = q @ one.axis
    both = (z < np.median(z), z >= np.median(z))
    return all(sectors(q[half] @ u, q[half] @ v) == 16 for half in both)


def fits_worse(skin: Skin, hole: Found, pieces: Sequence[Found]) -> bool:
    """Whether the pieces of a wall fit clearly worse together than each alone."""

    known = [f for f in pieces if len(f.members) >= KNOWN]  # a few points always agree with a wall of their own
    if not known:
        return False

    def square_sum(*, whole: bool) -> float:
        surfaces = ((hole if whole else f).surface.distances(skin.points[f.members]) for f in known)
        return sum(float(np.sum(np.square(off))) for off in surfaces)

    return square_sum(whole=True) > WORSE**2 * square_sum(whole=False)


def stands_askew(skin: Skin, hole: Found, *, limits: Limits) -> bool:
    """Whether a hole's own points say clearly that it is not square to its face."""
    wall = hole.surface
    assert isinstance(wall, Turned)
    points = skin.points[hole.members]
    off = wall.distances(points)
    own = rounds.cylinder(points, wall, tukey(off, WIDTH * limits.noise_mm + 1e-9), rounds=12)
    sigma = max(limits.noise_mm, float(np.sqrt(np.mean(off * off))))
    gain = float(np.sum(np.square(off)) - np.sum(np.square(own.distances(points)))) / sigma**2 / TOGETHER
    return gain > 2 * float(np.log(len(points))) + 6
