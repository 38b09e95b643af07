"""Equal holes on a circle about the axis: measured together, and looked for again where the circle has a gap.

One small hole of a scan says little: its wall is seen a diameter deep from either mouth, and what is stretched across
the rest bends off the wall too gently to be told from it. Six equal ones, parallel to the axis and equally spaced, say
where the wall ends and how large it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across, tukey
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.prismatic_scan.settled import is_hollow
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

FEWEST, MOST = 3, 16  # holes of a circle
TURNS = (8, 6, 5, 4, 3)  # holes of the circles that one hole alone may be of; common practice, no source
ALIKE = 0.12  # of the radius, between finds that may be equal holes; skin makes them look smaller
ALIKE_CIRCLE_MM = 0.5  # between their distances from the axis: a half seen hole is found a little beside itself
PARALLEL = 0.98  # cosine
IN_PLACE_MM = 0.5  # round the circle, between a hole and where equal spacing puts it
INWARD = 0.8  # part of a point's normal that looks to the hole's line
UPRIGHT = 0.35  # part of it along the line: a countersink has more
SLICES = 8
TOGETHER = 10.0  # points that share one value of the noise, roughly
LEAST_OFF_MM = 0.008  # between the wall's slices: less is the scan's drift
ROUNDED = 0.6  # spacings at either mouth, where the edge is rounded
LEAST_POINTS, LEAST_SECTORS = 40, 9  # of 16: what a hole must show
STEPS = 4


@dataclass(frozen=True, slots=True)
class _Hole:
    """A hole: its place in the plane across the axis, and the points about its wall. known: as found, or None."""

    x: float
    y: float
    some: IntArray
    known: Found | None


def on_circles(skin: Skin, free: BoolArray, found: Sequence[Found], axis: Axis, *, limits: Limits) -> list[Found]:
    """The finds, equal holes on circles about the axis measured together and those missed put in.

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing turned and were seen. found: finds beside
            the turned surface. axis: the part's. limits: what counts.
    Returns: finds; those of a circle are last, and pieces of their walls that were found apart are gone.
    """
    out = list(found)
    for group in _groups(skin, out, axis):
        if any(all(f is not g for g in out) for f in group):
            continue  # pieces of what an earlier circle explained
        holes = _measured(skin, free, group, axis, limits=limits)
        if holes is None:
            continue
        out = [f for f in out if not any(_belongs(skin, f, hole, axis) for hole in holes)]
        out += holes
    return out


def _groups(skin: Skin, found: Sequence[Found], axis: Axis) -> list[list[Found]]:
    """Hollow cylinders along the axis, alike in radius and in distance from it, those of a whole circle first."""
    u, v = across(axis.direction)
    left = [
        f
        for f in found
        if is_hollow(f) and isinstance(f.surface, Turned) and abs(f.surface.axis @ axis.direction) > PARALLEL
    ]
    left.sort(key=lambda f: -len(f.members))
    groups: list[list[Found]] = []
    while left:
        first = left.pop(0)
        assert isinstance(first.surface, Turned)
        at = _place(skin, first, axis, u, v)
        away = float(np.hypot(*at))
        if away < 1.2 * first.surface.radius_mm:
            continue
        group, places = [first], [at]
        for f in list(left):
            assert isinstance(f.surface, Turned)
            place = _place(skin, f, axis, u, v)
            same = abs(float(np.hypot(*place)) - away) < ALIKE_CIRCLE_MM
            same &= abs(f.surface.radius_mm - first.surface.radius_mm) < ALIKE * first.surface.radius_mm
            apart = all(float(np.hypot(*(place - p))) > 2 * first.surface.radius_mm for p in places)
            if same and apart:
                group.append(f)
                places.append(place)
                left = [g for g in left if g is not f]
        groups.append(group)
    return sorted(groups, key=lambda group: -min(len(group), FEWEST))


def _place(skin: Skin, found: Found, axis: Axis, u: FloatArray, v: FloatArray) -> FloatArray:
    """(2,) where a hole's line passes its middle, across the axis."""
    surface = found.surface
    assert isinstance(surface, Turned)
    middle = skin.points[found.members].mean(axis=0)
    at = surface.point + float((middle - surface.point) @ surface.axis) * surface.axis - axis.point
    return np.array([at @ u, at @ v])


def _measured(skin: Skin, free: BoolArray, group: list[Found], axis: Axis, *, limits: Limits) -> list[Found] | None:
    """The holes of one circle by all their walls together; None if they do not agree."""
    u, v = across(axis.direction)
    q = skin.points - axis.point
    x, y, z = q @ u, q @ v, q @ axis.direction
    spans = np.array([np.quantile(z[f.members], (0.02, 0.98)) for f in group])
    low, high = float(np.median(spans[:, 0])), float(np.median(spans[:, 1]))
    edge = min(ROUNDED * skin.spacing_mm, 0.15 * (high - low))
    first = max(f.surface.radius_mm for f in group if isinstance(f.surface, Turned))
    taken = free.copy()
    for f in group:
        taken[f.members] = True
    lean = skin.normals @ axis.direction
    ready = taken & (z > low + edge) & (z < high - edge) & (np.abs(lean) < UPRIGHT)
    nx, ny = skin.normals @ u, skin.normals @ v

    def about(px: float, py: float) -> IntArray:
        rho = np.hypot(x - px, y - py)
        some = ready & (rho > (1 - 2 * ALIKE) * first) & (rho < first + max(0.1, 4 * limits.noise_mm))
        inward = -(nx * (x - px) + ny * (y - py)) > INWARD * rho
        return np.flatnonzero(some & inward)

    places = [_place(skin, f, axis, u, v) for f in group]
    holes = [_Hole(float(p[0]), float(p[1]), about(*p), f) for f, p in zip(group, places, strict=True)]
    missed = list[_Hole]()
    for rest in [_gaps(np.array(places))] if len(group) >= FEWEST else _turns(np.array(places)):
        there = [_Hole(px, py, about(px, py), None) for px, py in rest]
        missed = [hole for hole in there if _shows(x[hole.some] - hole.x, y[hole.some] - hole.y)]
        if len(group) >= FEWEST or len(missed) == len(there):
            break
        missed = []
    holes += missed
    if len(holes) < FEWEST:
        return None
    width = 4.5 * limits.noise_mm + 1e-9
    radius = first
    wall = np.ones(SLICES, dtype=np.bool_)
    for _ in range(STEPS):
        holes = [_centred(h, x, y, radius, width, z, wall, low + edge, high - edge) for h in holes]
        off = np.concatenate([np.hypot(x[h.some] - h.x, y[h.some] - h.y) for h in holes])
        where = np.concatenate([_slice(z[h.some], low + edge, high - edge) for h in holes])
        wall, radius = _wall(off, where, radius, limits.noise_mm)
        if not wall.any():
            return None
    out: list[Found] = []
    for h in holes:
        rho = np.hypot(x[h.some] - h.x, y[h.some] - h.y)
        on = h.some[(np.abs(rho - radius) < width) & wall[_slice(z[h.some], low + edge, high - edge)]]
        if len(on) < LEAST_POINTS or not _shows(x[on] - h.x, y[on] - h.y):
            if h.known is not None:
                return None
            continue
        own = float(np.median(np.hypot(x[on] - h.x, y[on] - h.y)))
        if abs(own - radius) > 3 * limits.noise_mm * np.sqrt(TOGETHER / len(on)) + 2 * LEAST_OFF_MM:
            return None  # not equal after all
        at = axis.point + h.x * u + h.y * v + float(z[on].mean()) * axis.direction
        out.append(Found(Turned(at, axis.direction, radius), on, inside=True))
    return out


def _slice(z: FloatArray, low: float, high: float) -> IntArray:
    return np.clip(((z - low) / max(high - low, 1e-9) * SLICES).astype(np.int64), 0, SLICES - 1)


def _shows(dx: FloatArray, dy: FloatArray) -> bool:
    """Whether points lie far enough round a line to be the wall of a hole."""
    sector = ((np.arctan2(dy, dx) / (2 * np.pi) + 0.5) * 16).astype(np.int64) % 16
    return len(dx) >= LEAST_POINTS and len(np.unique(sector)) >= LEAST_SECTORS


def _centred(
    hole: _Hole, x: FloatArray, y: FloatArray, radius: float, width: float, z: FloatArray, wall: BoolArray,
    low: float, high: float,
) -> _Hole:  # fmt: skip
    """The hole's place again, by the points of its wall, its radius known."""
    some = hole.some[wall[_slice(z[hole.some], low, high)]]
    px, py = hole.x, hole.y
    for _ in range(3):
        dx, dy = x[some] - px, y[some] - py
        rho = np.maximum(np.hypot(dx, dy), 1e-9)
        w = tukey(rho - radius, width)
        if np.count_nonzero(w) < LEAST_POINTS / 2:
            return hole
        rows = np.stack((dx / rho, dy / rho), axis=1)
        change = np.linalg.lstsq(rows * w[:, None], (rho - radius) * w, rcond=1e-6)[0]
        px, py = px + float(change[0]), py + float(change[1])
    return replace(hole, x=px, y=py)


def _wall(off: FloatArray, where: IntArray, radius: float, noise_mm: float) -> tuple[BoolArray, float]:
    """Which slices along the holes show wall, and its radius: those that lie as far out as the outermost."""
    level, u = np.full(SLICES, -np.inf), np.full(SLICES, np.inf)
    near = np.abs(off - radius) < 6 * noise_mm + 0.1
    for k in range(SLICES):
        some = off[near & (where == k)]
        if len(some) >= LEAST_POINTS:
            level[k] = float(np.median(some))
            u[k] = max(noise_mm, float(np.median(np.abs(some - level[k])))) * np.sqrt(TOGETHER / len(some))
    if not np.isfinite(level).any():
        return np.zeros(SLICES, dtype=np.bool_), radius
    sure = np.where(np.isfinite(level), level - u, -np.inf)
    # What is stretched across lies inside the wall, never outside: all that is clearly lower is that.
    top = int(np.argmax(sure))
    wall = np.isfinite(level) & (level > level[top] - np.hypot(u, u[top]) - LEAST_OFF_MM)
    weight = np.where(wall, 1 / np.square(u), 0.0)
    return wall, float(weight @ np.where(wall, level, 0.0)) / float(weight.sum())


def _gaps(places: FloatArray) -> list[tuple[float, float]]:
    """Where equal spacing wants holes that were not found; at least half of a circle must have been."""
    angle, away = np.arctan2(places[:, 1], places[:, 0]), float(np.median(np.hypot(places[:, 0], places[:, 1])))
    for many in range(len(places), min(2 * len(places), MOST) + 1):
        turn = float(np.angle(np.exp(1j * many * angle).sum())) / many
        number = np.round((angle - turn) * many / (2 * np.pi))
        beside = np.abs(angle - turn - number * 2 * np.pi / many) * away
        taken = set((number.astype(np.int64) % many).tolist())
        if float(beside.max()) < IN_PLACE_MM and len(taken) == len(places):
            rest = [turn + 2 * np.pi * k / many for k in range(many) if k not in taken]
            return [(away * float(np.cos(a)), away * float(np.sin(a))) for a in rest]
    return []


def _turns(places: FloatArray) -> list[list[tuple[float, float]]]:
    """Where circles of one or two holes that were found want the others, the most holes first.

    Each of them must show its wall, else there is no circle: a single hole has no others.
    """
    angle, away = np.arctan2(places[:, 1], places[:, 0]), float(np.median(np.hypot(places[:, 0], places[:, 1])))
    out: list[list[tuple[float, float]]] = []
    for many in TURNS:
        number = np.round((angle - angle[0]) * many / (2 * np.pi))
        beside = np.abs(angle - angle[0] - number * 2 * np.pi / many) * away
        taken = set((number.astype(np.int64) % many).tolist())
        if float(beside.max()) < IN_PLACE_MM and len(taken) == len(places):
            rest = [angle[0] + 2 * np.pi * k / many for k in range(many) if k not in taken]
            out.append([(away * float(np.cos(a)), away * float(np.sin(a))) for a in rest])
    return out


def _belongs(skin: Skin, found: Found, hole: Found, axis: Axis) -> bool:
    """Whether a find is that hole, or a piece of what is stretched across it."""
    one, other = found.surface, hole.surface
    assert isinstance(other, Turned)
    if not found.inside or not isinstance(one, Turned) or one.half_angle_rad:
        return False
    middle = skin.points[found.members].mean(axis=0)
    beside = float(np.linalg.norm(np.cross(one.point + float((middle - one.point) @ one.axis) * one.axis - other.point,
                                           axis.direction)))  # fmt: skip
    return beside < 0.5 * other.radius_mm and one.radius_mm < (1 + ALIKE) * other.radius_mm
