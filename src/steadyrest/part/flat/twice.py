"""What is drawn twice: the same line or arc again, or two that lie on each other for a stretch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from steadyrest.part.flat.curve import Curve, cross
from steadyrest.part.flat.near import near_pairs
from steadyrest.shop.part import Vec2


@dataclass(frozen=True, slots=True)
class Once:
    """curves: each once. dropped: those drawn again. split: those cut where another lay on a stretch of them."""

    curves: tuple[Curve, ...]
    dropped: tuple[Curve, ...]
    split: tuple[Curve, ...]


def once(curves: Sequence[Curve], same: float) -> Once:
    """The curves with what is drawn twice kept once.

    Args:
        curves: of one role.
        same: distance within which two places are one.
    Returns: curves, those dropped and those that were cut at each other's ends first.
    Raises: near.Crowded: too many lie over each other.
    """
    curves, dropped = without_copies(curves, same)
    cuts: dict[int, list[Vec2]] = {}
    pairs = [(i, j) for i, j in near_pairs(curves, same) if may_overlap(curves[i], curves[j], same)]
    doubled = {j for i, j in pairs if alike(curves[i], curves[j], same)}
    for i, j in pairs:
        if i in doubled or j in doubled:
            continue
        for a, b in ((i, j), (j, i)):
            inner = [p for p in (curves[b].start, curves[b].end) if within(curves[a], p, same)]
            if inner and overlap(curves[a], curves[b], same):
                cuts.setdefault(a, []).extend(inner)
    dropped += [curves[j] for j in sorted(doubled)]
    pieces: list[Curve] = []
    for k, curve in enumerate(curves):
        if k not in doubled:
            pieces.extend(cut_at(curve, cuts[k], same) if k in cuts else (curve,))
    if cuts:
        again = {j for i, j in near_pairs(pieces, same) if alike(pieces[i], pieces[j], 2 * same)}
        dropped += [pieces[j] for j in sorted(again)]
        pieces = [piece for k, piece in enumerate(pieces) if k not in again]
    return Once(tuple(pieces), tuple(dropped), tuple(curves[k] for k in sorted(cuts)))


def without_copies(curves: Sequence[Curve], same: float) -> tuple[list[Curve], list[Curve]]:
    """The curves without exact copies, and the copies: however many there are, they cost no pairs."""
    kept: dict[tuple[object, ...], Curve] = {}
    dropped: list[Curve] = []
    for curve in curves:
        ends = sorted((curve.start, curve.end))
        if curve.closed and curve.centre is not None:
            ends = [curve.centre, (curve.radius, 0.0)]
        places = [*ends, curve.at(0.5)] if not curve.closed else ends
        key = tuple((round(x / same), round(y / same)) for x, y in places)
        if key in kept:
            dropped.append(curve)
        else:
            kept[key] = curve
    return list(kept.values()), dropped


def may_overlap(a: Curve, b: Curve, same: float) -> bool:
    """Whether two lines lie on one line, or two arcs on one circle."""
    if (a.centre is None) != (b.centre is None):
        return False
    if a.centre is not None and b.centre is not None:
        return math.dist(a.centre, b.centre) < 2 * same and abs(a.radius - b.radius) < 2 * same
    long, short = (a, b) if a.length >= b.length else (b, a)
    way = long.heading(0.0)
    return all(abs(cross(way, (p[0] - long.start[0], p[1] - long.start[1]))) < same for p in (short.start, short.end))


def alike(a: Curve, b: Curve, same: float) -> bool:
    """Whether two curves are the same, either way round."""
    if a.closed and b.closed and a.centre is not None and b.centre is not None:
        return math.dist(a.centre, b.centre) < same and abs(a.radius - b.radius) < same
    if a.closed != b.closed or math.dist(a.at(0.5), b.at(0.5)) > same:
        return False
    along = max(math.dist(a.start, b.start), math.dist(a.end, b.end))
    against = max(math.dist(a.start, b.end), math.dist(a.end, b.start))
    return min(along, against) < same


def share_of(curve: Curve, point: Vec2) -> float:
    """How far along the curve a point on it lies, 0 to 1 (outside that range if beyond a line's ends)."""
    if curve.centre is None:
        dx, dy = curve.end[0] - curve.start[0], curve.end[1] - curve.start[1]
        return ((point[0] - curve.start[0]) * dx + (point[1] - curve.start[1]) * dy) / (dx * dx + dy * dy)
    angle = math.atan2(point[1] - curve.centre[1], point[0] - curve.centre[0]) - curve.angle
    forward = angle % (2 * math.pi) if curve.turn_rad > 0 else -(-angle % (2 * math.pi))
    return forward / curve.turn_rad


def within(curve: Curve, point: Vec2, same: float) -> bool:
    """Whether a point of the same line or circle lies between the curve's ends, and not at one."""
    if curve.closed:
        return True
    share = share_of(curve, point)
    return 0 < share < 1 and min(math.dist(point, curve.start), math.dist(point, curve.end)) > same


def overlap(a: Curve, b: Curve, same: float) -> bool:
    """Whether two on one line or circle share a stretch, and not only an end."""
    if a.closed or b.closed:
        return True
    edges = sorted({0.0, 1.0, *(share for p in (b.start, b.end) if 0 < (share := share_of(a, p)) < 1)})
    middles = [(low + high) / 2 for low, high in pairwise(edges) if (high - low) * a.length > same]
    return any(-1e-12 <= share_of(b, a.at(m)) <= 1 + 1e-12 for m in middles)


def cut_at(curve: Curve, points: Sequence[Vec2], same: float) -> list[Curve]:
    """The curve in pieces from point to point."""
    if curve.closed:
        curve = replace(curve, start=points[0], end=points[0])
    inner = sorted((share_of(curve, p), p) for p in points)
    marks = [(0.0, curve.start), *(m for m in inner if 0 < m[0] < 1), (1.0, curve.end)]
    pieces: list[Curve] = []
    last_share, last = marks[0]
    for share, point in marks[1:]:
        if math.dist(last, point) <= same and (share - last_share) * curve.length <= 2 * same:
            continue
        turn = curve.turn_rad * (share - last_share)
        pieces.append(replace(curve, start=last, end=point, turn_rad=turn))
        last_share, last = share, point
    return pieces
