"""Short chords that were once an arc or a circle, and neighbours that are one line or one arc."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from steadyrest.part.flat.curve import Curve, Points, cross
from steadyrest.shop.part import Vec2

FEWEST_ROUND = 12  # chords of a whole circle; fewer may be meant as a polygon
FEWEST_ARC = 5  # chords of an arc
STEEPEST_RAD = math.radians(31)  # between chords of an arc: a circle of twelve
LEAST_TURN_RAD = math.radians(25)
EVEN = 0.02  # of a chord's length: chords of one arc are alike, its two ends excepted
STRAIGHT = 1e-13  # across, by length: no circle goes through such points
EXACT_SHARE = 1e-8  # of a radius: a curve that is an arc by its construction
SAME_SHARE = 1e-4  # of a radius: arcs that are one


def straight(points: Points, tolerance: float) -> bool:
    """Whether (n, 2) points lie on the line between the first and the last, in order."""
    along = points[-1] - points[0]
    length = float(np.hypot(*along))
    if length <= tolerance:
        return False
    off = (points - points[0]) @ np.array([-along[1], along[0]]) / length
    forward = np.diff(points @ along)
    return bool(np.abs(off).max() < tolerance / 10 and np.all(forward > 0))


def circle_through(points: Points) -> tuple[Vec2, float, float]:
    """Least squares circle (centre, radius) of (n, 2) points, and how far the worst lies off; inf for a straight line.

    Source: the algebraic circle fit (Kasa 1976), from memory; exact for points without noise.
    """
    middle = points.mean(axis=0)
    near = points - middle
    size = max(float(np.abs(near).max()), 1e-300)
    x, y = near.T / size
    square = x * x + y * y
    mean = float(square.mean())
    # Two columns made square to each other by hand: a drawing asks this thousands of times. The longer one first.
    turned = float(y @ y) > float(x @ x)
    u, v = (y, x) if turned else (x, y)
    uu, uv = float(u @ u), float(u @ v)
    across = v - uv / max(uu, 1e-300) * u
    wide = float(across @ across)
    if wide <= STRAIGHT**2 * uu:
        return (float(middle[0]), float(middle[1])), math.inf, math.inf
    second = float(across @ square) / wide
    first = (float(u @ square) - uv * second) / uu
    a, b = (second / 2, first / 2) if turned else (first / 2, second / 2)
    radius = math.sqrt(mean + a * a + b * b)
    off = float(np.abs(np.sqrt((x - a) ** 2 + (y - b) ** 2) - radius).max())
    return (a * size + float(middle[0]), b * size + float(middle[1])), radius * size, off * size


def arc_of(points: Points, tolerance: float) -> Curve | None:
    """The arc on which (n, 2) points of a smooth curve lie, or None; it must turn far enough to be told from others."""
    if len(points) < FEWEST_ARC:
        return None
    centre, radius, off = circle_through(points)
    seen = points - np.array(centre)
    angles = np.unwrap(np.arctan2(seen[:, 1], seen[:, 0]))
    turns = np.diff(angles)
    turn = float(angles[-1] - angles[0])
    # A short arc is told only by points that lie on it exactly.
    far_enough = abs(turn) >= LEAST_TURN_RAD or (abs(turn) > 0.05 and off < EXACT_SHARE * radius)
    if off > tolerance or not far_enough or not (np.all(turns > 0) or np.all(turns < 0)):
        return None
    if abs(turn) > 2 * math.pi + 1e-3:
        return None
    (x0, y0), (x1, y1) = points[0], points[-1]
    whole = math.hypot(x1 - x0, y1 - y0) < tolerance and abs(turn) > math.pi
    turn = math.copysign(2 * math.pi, turn) if whole else turn
    return Curve((float(x0), float(y0)), (float(x0 if whole else x1), float(y0 if whole else y1)), centre, turn)


def smoothed(loop: Sequence[Curve], tolerance: float) -> tuple[tuple[Curve, ...], int]:
    """A closed line with chords that lie on one arc made that arc, and neighbours that are one joined.

    Args:
        loop: closed, in order.
        tolerance: how far a chord's end may lie from the arc.
    Returns: the closed line, and how many chords became arcs.
    """
    whole = round_from(loop, tolerance)
    if whole is not None:
        return (whole,), len(loop)
    turned = started_at_a_corner(loop)
    done: list[Curve] = []
    became, k = 0, 0
    while k < len(turned):
        n = run_length(turned, k, tolerance)
        if n:
            done.append(arc_over(turned[k : k + n]))
            became += n
            k += n
        else:
            done.append(turned[k])
            k += 1
    return joined(tuple(done)), became


def round_from(loop: Sequence[Curve], tolerance: float) -> Curve | None:
    """The circle that a closed line of even chords stands for, or None."""
    if len(loop) < FEWEST_ROUND or any(c.centre is not None for c in loop):
        return None
    points = np.array([c.start for c in loop])
    centre, radius, off = circle_through(points)
    lengths = np.array([c.length for c in loop])
    free = any(c.made == "chord" for c in loop)
    if off > min(tolerance, 1e-3 * radius) or lengths.max() > 2 * radius * math.sin(STEEPEST_RAD / 2):
        return None
    if not free and lengths.max() > (1 + 2 * EVEN) * np.median(lengths) and len(loop) < 2 * FEWEST_ROUND:
        return None
    side = sum(cross(minus(c.start, centre), minus(c.end, centre)) for c in loop)
    start = centre[0] + radius, centre[1]
    return Curve(start, start, centre, math.copysign(2 * math.pi, side), loop[0].layer, made="joined")


def started_at_a_corner(loop: Sequence[Curve]) -> list[Curve]:
    """The same closed line, begun where it is least likely to be within an arc: at an arc, a long line or a corner."""
    longest = max(range(len(loop)), key=lambda k: (loop[k].centre is not None, loop[k].length))
    return [*loop[longest:], *loop[:longest]]


def run_length(loop: Sequence[Curve], k: int, tolerance: float) -> int:
    """How many chords from the k-th on are one arc; 0 if too few."""
    first = loop[k]
    if not is_chord(first):
        return 0
    n, side = 1, 0.0
    while k + n < len(loop) and is_chord(loop[k + n]):
        bend = bend_between(loop[k + n - 1], loop[k + n])
        if abs(bend) > STEEPEST_RAD or abs(bend) < 1e-4 or bend * side < 0:
            break
        if n >= 2 and not fits(loop[k : k + n + 1], tolerance):
            break
        side = bend
        n += 1
    if n < FEWEST_ARC:
        return 0
    turn = sum(bend_between(a, b) for a, b in zip(loop[k : k + n], loop[k + 1 : k + n], strict=False))
    # A run that begins with the straight line before the arc: its own chord is longer.
    return n if abs(turn) >= LEAST_TURN_RAD * (n - 1) / n else 0


def fits(run: Sequence[Curve], tolerance: float) -> bool:
    """Whether chords are alike in length and their ends lie on one circle."""
    lengths = [c.length for c in run]
    inner = lengths[1:-1]
    if max(inner) > (1 + EVEN) * min(inner) or max(lengths[0], lengths[-1]) > (1 + EVEN) * max(inner):
        return False
    points = np.array([run[0].start, *(c.end for c in run)])
    return circle_through(points)[2] <= tolerance / 4


def is_chord(curve: Curve) -> bool:
    return curve.centre is None and curve.made == "drawn"


def bend_between(a: Curve, b: Curve) -> float:
    """How far the way turns from one curve to the next, positive to the left."""
    u, v = a.heading(1.0), b.heading(0.0)
    return math.atan2(cross(u, v), u[0] * v[0] + u[1] * v[1])


def arc_over(run: Sequence[Curve]) -> Curve:
    """The arc over a run of chords."""
    points = np.array([run[0].start, *(c.end for c in run)])
    centre, _, _ = circle_through(points)
    seen = points - np.array(centre)
    angles = np.unwrap(np.arctan2(seen[:, 1], seen[:, 0]))
    return Curve(run[0].start, run[-1].end, centre, float(angles[-1] - angles[0]), run[0].layer, made="joined")


def joined(loop: tuple[Curve, ...]) -> tuple[Curve, ...]:
    """Neighbours on one line or one circle as one curve; two halves of a circle as the circle."""
    curves = list(loop)
    k = 0
    while len(curves) > 1 and k < len(curves):
        one = as_one(curves[k - 1], curves[k])
        if one is None:
            k += 1
            continue
        curves[k - 1] = one
        curves.pop(k)
        k = max(0, k - 1)
    return tuple(curves)


def as_one(a: Curve, b: Curve) -> Curve | None:
    """Two neighbours as one curve, or None."""
    if a.made == "chord" or b.made == "chord" or abs(bend_between(a, b)) > 1e-3:
        return None
    if a.centre is None and b.centre is None:
        way = a.heading(0.0)
        off = abs(cross(way, minus(b.end, a.start)))
        return replace(a, end=b.end) if off < 1e-6 * max(a.length, b.length) + 1e-9 else None
    if a.centre is None or b.centre is None or a.turn_rad * b.turn_rad < 0:
        return None
    if math.dist(a.centre, b.centre) > SAME_SHARE * a.radius or abs(a.radius - b.radius) > SAME_SHARE * a.radius:
        return None
    turn = a.turn_rad + b.turn_rad
    if abs(turn) > 2 * math.pi - 1e-3:
        return replace(a, end=a.start, turn_rad=math.copysign(2 * math.pi, turn))
    return replace(a, end=b.end, turn_rad=turn)


def minus(a: Vec2, b: Vec2) -> Vec2:
    return a[0] - b[0], a[1] - b[1]
