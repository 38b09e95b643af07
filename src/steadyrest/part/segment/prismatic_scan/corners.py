"""Rounded corners and edges between two planes of a scan: tangent to both, so that the radius alone is unknown.

A corner a few points wide does not tell its own axis, its place and its radius; its neighbours tell all but the last.
Seen along the corner, a point stands `a` off one plane and `b` off the other, q its place with q.n1 = a and q.n2 = b;
the round's middle is at r m, m = (n1 + n2) / (1 + n1.n2), and |q - r m| = r gives each point's own radius.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import tukey
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

SHARPEST, BLUNTEST = np.cos(np.radians(150.0)), np.cos(np.radians(25.0))  # between two planes' normals
LEAST_SPACINGS, LEAST_MM = 2.0, 0.4  # a smaller round is an edge broken by hand, as a scan shows it
LARGEST = 0.2  # of the part's size
LEAST_POINTS = 24
BETWEEN = 0.12  # cosine: how much nearer to both normals than a wall's own a corner's normal must be
AGREES = 0.93
CORE = 0.24  # of the turn, to either side of the middle, within which points tell the radius
SHARE = 0.45  # of the round's surface over its length that must be there
NEAR = 0.35  # of the radius: how far from a round's rim its plane may end
BEYOND = 0.05  # share of the plane's points beside the round that may lie beyond its rim
ONE_RADIUS = 0.06  # of the radius: how far the middle half of its points may disagree


@dataclass(frozen=True, slots=True)
class Corner:
    """Two planes that may meet in a round: sign +1 for an inner corner, -1 for an outer edge."""

    one: Plane
    other: Plane
    axis: FloatArray
    sign: float
    near: IntArray


def corners_beside(skin: Skin, free: BoolArray, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """Rounds between planes; the points found are no longer free (changed in place).

    Args:
        skin: the mesh made ready. free: (n,) points that belong to nothing yet. found: what is known.
        limits: what counts.
    Returns: part cylinders, tangent to both of their planes.
    """
    planes = sorted((f for f in found if isinstance(f.surface, Plane)), key=lambda f: -len(f.members))
    asked = [(a, b, sign) for a, b in pairs_near(skin, planes) for sign in (1.0, -1.0)]
    proposed: list[tuple[float, int, Found]] = []
    for number, (a, b, sign) in enumerate(asked):
        round_ = round_between(skin, free, a, b, sign, limits=limits)
        if round_ is not None:
            proposed.append((-float(skin.areas[round_.members].sum()), number, round_))
    out: list[Found] = []
    for _, number, round_ in sorted(proposed, key=lambda r: r[:2]):
        kept: Found | None = round_
        if not free[round_.members].all():  # a larger one took some of it
            kept = round_between(skin, free, *asked[number], limits=limits)
        if kept is not None:
            out.append(kept)
            free[kept.members] = False
    return out


def round_between(skin: Skin, free: BoolArray, a: Found, b: Found, sign: float, *, limits: Limits) -> Found | None:
    """The round between two planes, or None."""
    corner = corner_of(skin, free, a, b, sign)
    round_ = round_in(skin, corner, limits=limits) if corner is not None else None
    if round_ is None or not all(ends_at(skin, plane, round_) for plane in (a, b)):
        return None
    return round_


def ends_at(skin: Skin, plane: Found, round_: Found) -> bool:
    """Whether a plane ends where a round begins: it comes near that line, and does not go on beyond it."""
    surface, flat = round_.surface, plane.surface
    assert isinstance(surface, Turned)
    assert isinstance(flat, Plane)
    t = (skin.points[round_.members] - surface.point) @ surface.axis
    q = skin.points[plane.members] - surface.point
    along = q @ surface.axis
    beside = q[(along > t.min()) & (along < t.max())]
    if not len(beside):
        return False
    across = np.cross(surface.axis, flat.normal)
    middle = float(((skin.points[round_.members] - surface.point) @ across).mean())
    away = -np.sign(middle) * (beside @ across)  # from the line where it begins, into the plane
    reach = 2 * skin.spacing_mm + NEAR * surface.radius_mm
    near = np.abs(away) < reach
    return bool(near.any()) and float(np.mean(away < -reach)) < BEYOND


def pairs_near(skin: Skin, planes: Sequence[Found]) -> Iterator[tuple[Found, Found]]:
    """Planes at an angle whose boxes come near each other."""
    pad = LARGEST * skin.size_mm
    boxes = [(skin.points[f.members].min(axis=0) - pad, skin.points[f.members].max(axis=0) + pad) for f in planes]
    for i, a in enumerate(planes):
        for k in range(i + 1, len(planes)):
            b = planes[k]
            assert isinstance(a.surface, Plane)
            assert isinstance(b.surface, Plane)
            apart = (boxes[i][0] + pad > boxes[k][1]).any() or (boxes[k][0] + pad > boxes[i][1]).any()
            if not apart and SHARPEST < float(a.surface.normal @ b.surface.normal) < BLUNTEST:
                yield a, b


def corner_of(skin: Skin, free: BoolArray, a: Found, b: Found, sign: float) -> Corner | None:
    """The free points between two planes whose normals lie between theirs."""
    one, other = a.surface, b.surface
    assert isinstance(one, Plane)
    assert isinstance(other, Plane)
    axis = np.cross(one.normal, other.normal)
    axis /= np.linalg.norm(axis)
    reach = 2 * LARGEST * skin.size_mm  # the middle of a blunt corner stands that far off
    both = [(skin.points[f.members] @ axis) for f in (a, b)]
    low, high = max(t.min() for t in both), min(t.max() for t in both)
    some = np.flatnonzero(free)
    p, n = skin.points[some], skin.normals[some]
    da, db = sign * ((p - one.point) @ one.normal), sign * ((p - other.point) @ other.normal)
    t = p @ axis
    cosine = float(one.normal @ other.normal)
    least = cosine + BETWEEN * (1 - cosine)
    keep = (da > 0) & (db > 0) & (da < reach) & (db < reach) & (t > low) & (t < high)
    keep &= (n @ one.normal > least) & (n @ other.normal > least) & (np.abs(n @ axis) < 0.25)
    near = some[keep]
    return Corner(one, other, axis, sign, near) if len(near) >= LEAST_POINTS else None


def round_in(skin: Skin, corner: Corner, *, limits: Limits) -> Found | None:
    """The round on which most of a corner's points agree, or None."""
    points = skin.points[corner.near]
    n1, n2 = corner.one.normal, corner.other.normal
    cosine = float(n1 @ n2)
    a, b = (points - corner.one.point) @ n1, (points - corner.other.point) @ n2
    across = (n1 + n2) / (1 + cosine)
    # q in the plane across the corner: the combination of the normals with q.n1 = a and q.n2 = b.
    q1, q2 = (a - cosine * b) / (1 - cosine**2), (b - cosine * a) / (1 - cosine**2)
    square = q1 * a + q2 * b
    along_m = (a + b) / (1 + cosine)
    k = (1 - cosine) / (1 + cosine)
    root = along_m**2 - k * square
    own = (corner.sign * along_m + np.sqrt(np.maximum(root, 0.0))) / k
    radius = densest(own)
    least = LEAST_SPACINGS * skin.spacing_mm + LEAST_MM
    if not least < radius < LARGEST * skin.size_mm:
        return None
    turn = float(np.arccos(np.clip(cosine, -1, 1)))
    for _ in range(6):
        middle = corner.sign * radius
        off = np.sqrt(np.maximum(square - 2 * middle * along_m + middle**2 * (k + 1), 0.0)) - radius
        # Beside its rims a plane has taken the points that the noise left near it; those left over are no fair sample.
        inward = np.abs(along_m - middle * (k + 1)) / np.maximum((off + radius) * np.sqrt(k + 1), 1e-9)
        w = tukey(off, 2 * limits.reach_mm) * (inward > np.cos(CORE * turn))
        # How far the surface comes nearer as the radius grows: nothing beside the planes, most in the middle.
        slope = (middle * (k + 1) - along_m) * corner.sign / np.maximum(off + radius, 1e-9) - 1
        below = float(np.sum(w * slope * slope))
        if below < 1e-9:
            return None
        radius -= float(np.sum(w * slope * off)) / below
        if not least < radius < LARGEST * skin.size_mm:
            return None
    foot = foot_of(corner)
    at = foot + corner.sign * radius * across
    t = points @ corner.axis
    surface = Turned(at + float(np.median(t) - at @ corner.axis) * corner.axis, corner.axis, radius)
    return checked(skin, corner, surface, own, limits=limits)


def densest(values: FloatArray) -> float:
    """Where values lie closest: the middle of the shortest half, halved again while many are left."""
    left = np.sort(values)
    while len(left) > LEAST_POINTS:
        half = len(left) // 2
        k = int(np.argmin(left[half:] - left[: len(left) - half]))
        left = left[k : k + half + 1]
    return float(np.median(left))


def foot_of(corner: Corner) -> FloatArray:
    """A point on both planes."""
    rows = np.stack((corner.one.normal, corner.other.normal, corner.axis))
    heights = (corner.one.point @ corner.one.normal, corner.other.point @ corner.other.normal, 0.0)
    foot: FloatArray = np.linalg.solve(rows, np.array(heights)).astype(np.float64)
    return foot


def checked(skin: Skin, corner: Corner, surface: Turned, own: FloatArray, *, limits: Limits) -> Found | None:
    """The round as a find, if enough of it is there and its points agree on its radius."""
    points, normals = skin.points[corner.near], skin.normals[corner.near]
    out = points - surface.point
    out -= np.outer(out @ surface.axis, surface.axis)
    out /= np.maximum(np.linalg.norm(out, axis=1), 1e-12)[:, None]
    lies = np.abs(surface.distances(points)) < limits.reach_mm
    lies &= -corner.sign * np.einsum("ij,ij->i", out, normals) > AGREES
    members = corner.near[lies]
    if len(members) < LEAST_POINTS:
        return None
    area = float(skin.areas[members].sum())
    t = points[lies] @ surface.axis
    length = float(np.ptp(np.quantile(t, (0.03, 0.97)))) / 0.94
    turn = float(np.arccos(np.clip(corner.one.normal @ corner.other.normal, -1, 1)))
    middle_half = np.quantile(own[lies], (0.25, 0.75))
    spread = float(middle_half[1] - middle_half[0])
    if area < limits.least_mm2 or area < SHARE * surface.radius_mm * turn * (1 - BETWEEN) * length:
        return None
    if spread > 2 * ONE_RADIUS * surface.radius_mm + 6 * limits.noise_mm or length < surface.radius_mm:
        return None
    way = corner.sign * (corner.one.normal + corner.other.normal) / (1 + float(corner.one.normal @ corner.other.normal))
    return Found(surface, members, corner.sign > 0, tangent=way)
