"""The outline of a turned body in the plane of radius and axis, and the signed distance to it.

An outline is a closed polygon (k, 2) of (radius, along), material to its left. It closes far on the other side of the
axis, so that the axis itself is never an edge.
"""

from __future__ import annotations

from math import cos, hypot, pi, sin, tan

import numpy as np
import numpy.typing as npt

from steadyrest.demo.scanning.true_part import Stretch, TrueBore

Floats = npt.NDArray[np.float64]
FAR_MM = 1e3
CHUNK = 16_384
ARC_STEPS = 10


def turned_outline(stretches: tuple[Stretch, ...]) -> Floats:
    """The outside of a turned part, chamfers and fillets cut in.

    Args:
        stretches: from z = 0 on.
    Returns: (k, 2) corners (radius, along), mm; inner fillets as chords, off by at most a thousandth of their radius.
    """
    corners: list[tuple[float, float, float, bool]] = []
    at_mm = 0.0
    for k, stretch in enumerate(stretches):
        first, last = stretch.radii_mm
        before = stretches[k - 1].radii_mm[1] if k else 0.0
        after = stretches[k + 1].radii_mm[0] if k + 1 < len(stretches) else 0.0
        for side, radius, neighbour in ((0, first, before), (1, last, after)):
            along = at_mm if side == 0 else at_mm + stretch.length_mm
            if radius > neighbour:
                corners.append((radius, along, stretch.chamfer_mm[side], False))
            else:
                corners.append((radius, along, stretch.fillet_mm[side], True))
        at_mm += stretch.length_mm
    bare = [(-FAR_MM, 0.0), *((r, z) for r, z, _, _ in corners), (-FAR_MM, at_mm)]
    points: list[tuple[float, float]] = [bare[0]]
    for k, (_, _, size_mm, round_) in enumerate(corners, start=1):
        points.extend(_broken_corner(_differing(bare, k, -1), bare[k], _differing(bare, k, 1), size_mm, round_))
    return _without_repeats([*points, bare[-1]])


def bore_outline(bore: TrueBore, length_mm: float) -> Floats:
    """The space of a bore entered at z = 0, reaching out of the part at its mouth."""
    out = 20.0
    r, r_end = bore.radii_mm
    depth = length_mm + out if bore.depth_mm >= length_mm else bore.depth_mm
    mouth = [(r + bore.chamfer_mm + out, -out), (r, bore.chamfer_mm)] if bore.chamfer_mm else [(r, -out)]
    tip = depth + (r_end / tan(bore.point_rad) if bore.point_rad < pi / 2 else 0.0)
    bottom = [(r_end, depth)] if tip == depth else [(r_end, depth), (0.0, tip)]
    return _without_repeats([(-FAR_MM, -out), *mouth, *bottom, (-FAR_MM, tip)])


def shrunk(outline: Floats, by_mm: float) -> Floats:
    """The outline moved inwards, mitred; grown again by `by_mm`, outer corners come back round and inner ones sharp."""
    before, after = outline - np.roll(outline, 1, axis=0), np.roll(outline, -1, axis=0) - outline
    n1, n2 = _inward(before), _inward(after)
    return outline + by_mm * (n1 + n2) / (1 + np.sum(n1 * n2, axis=1, keepdims=True))


def outline_distance(outline: Floats, radius: Floats, along: Floats, reach_mm: float) -> Floats:
    """Signed distance to an outline, negative in the material; exact within `reach_mm`, beyond it known to be farther.

    Args:
        outline: (k, 2).
        radius, along: (n,) mm.
        reach_mm: > 0.
    Returns: (n,) mm, clipped to plus or minus reach_mm.
    """
    starts, ends = outline, np.roll(outline, -1, axis=0)
    lows, highs = np.minimum(starts[:, 1], ends[:, 1]), np.maximum(starts[:, 1], ends[:, 1])
    order = np.argsort(along)
    result = np.empty(len(along))
    for begin in range(0, len(along), CHUNK):
        rows = order[begin : begin + CHUNK]
        r, z = radius[rows], along[rows]
        near = np.flatnonzero((lows <= z[-1] + reach_mm) & (highs >= z[0] - reach_mm))
        best = np.full(len(rows), reach_mm * reach_mm)
        inside = np.zeros(len(rows), dtype=np.bool_)
        for k in near:
            (r0, z0), (r1, z1) = starts[k], ends[k]
            dr, dz = r1 - r0, z1 - z0
            pr, pz = r - r0, z - z0
            t = np.clip((pr * dr + pz * dz) / (dr * dr + dz * dz), 0.0, 1.0)
            np.minimum(best, (pr - t * dr) ** 2 + (pz - t * dz) ** 2, out=best)
            if dz != 0.0:
                inside ^= ((z0 <= z) != (z1 <= z)) & (pr < pz * (dr / dz))
        distance = np.sqrt(best)
        result[rows] = np.where(inside, -distance, distance)
    return result


def _differing(points: list[tuple[float, float]], k: int, step: int) -> tuple[float, float]:
    other = k + step
    while points[other] == points[k]:
        other += step
    return points[other]


def _broken_corner(
    before: tuple[float, float], here: tuple[float, float], after: tuple[float, float], size_mm: float, round_: bool
) -> list[tuple[float, float]]:
    """One corner, cut by a chamfer of equal legs or rounded by a fillet."""
    if size_mm <= 0.0:
        return [here]
    a, b = _towards(here, before), _towards(here, after)
    if not round_:
        return [(here[0] + size_mm * d[0], here[1] + size_mm * d[1]) for d in (a, b)]
    opening = np.arccos(np.clip(a[0] * b[0] + a[1] * b[1], -1.0, 1.0))
    leg = size_mm / tan(opening / 2)
    middle = _towards((0.0, 0.0), (a[0] + b[0], a[1] + b[1]))
    centre = (here[0] + middle[0] * size_mm / sin(opening / 2), here[1] + middle[1] * size_mm / sin(opening / 2))
    start = np.arctan2(here[1] + leg * a[1] - centre[1], here[0] + leg * a[0] - centre[0])
    stop = np.arctan2(here[1] + leg * b[1] - centre[1], here[0] + leg * b[0] - centre[0])
    turn = (stop - start + pi) % (2 * pi) - pi
    angles = [start + turn * k / ARC_STEPS for k in range(ARC_STEPS + 1)]
    return [(centre[0] + size_mm * cos(t), centre[1] + size_mm * sin(t)) for t in angles]


def _towards(here: tuple[float, float], there: tuple[float, float]) -> tuple[float, float]:
    dr, dz = there[0] - here[0], there[1] - here[1]
    return dr / hypot(dr, dz), dz / hypot(dr, dz)


def _inward(edges: Floats) -> Floats:
    return np.column_stack([-edges[:, 1], edges[:, 0]]) / np.hypot(edges[:, 0], edges[:, 1])[:, None]


def _without_repeats(points: list[tuple[float, float]]) -> Floats:
    kept = [p for k, p in enumerate(points) if hypot(p[0] - points[k - 1][0], p[1] - points[k - 1][1]) > 1e-9]
    return np.array(kept)
