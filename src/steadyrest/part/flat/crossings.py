"""Where outlines cross themselves or each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from steadyrest.part.flat.curve import Curve, cross
from steadyrest.part.flat.near import near_pairs
from steadyrest.shop.part import Vec2

LEAST_SINE = 0.01  # flatter than this two curves touch: rounded coordinates make a tangent cross a little
MOST = 200


def crossings(loops: Sequence[Sequence[Curve]], near: float) -> tuple[tuple[Vec2, bool], ...]:
    """Places where closed lines cross, and whether it is one line that crosses itself.

    Args:
        loops: closed lines.
        near: an end this near is the same place: neighbours meet there.
    Returns: (place, same line), each place once; 200 at most.
    Raises: near.Crowded: too many lie over each other.
    """
    owner = [i for i, loop in enumerate(loops) for _ in loop]
    curves = [curve for loop in loops for curve in loop]
    found: list[tuple[Vec2, bool]] = []
    for i, j in near_pairs(curves, 0.0):
        a, b = curves[i], curves[j]
        for point in meeting(a, b):
            if owner[i] == owner[j] and at_ends(a, b, point, near):
                continue
            if sine(a, b, point) < LEAST_SINE or any(math.dist(point, p) < near for p, _ in found):
                continue
            found.append((point, owner[i] == owner[j]))
            if len(found) >= MOST:
                return tuple(found)
    return tuple(found)


def at_ends(a: Curve, b: Curve, point: Vec2, near: float) -> bool:
    """Whether a place is an end of both."""
    return all(min(math.dist(point, c.start), math.dist(point, c.end)) < near and not c.closed for c in (a, b))


def meeting(a: Curve, b: Curve) -> Iterator[Vec2]:
    """The places that two curves share."""
    if a.centre is None and b.centre is None:
        yield from line_line(a, b)
    elif a.centre is not None and b.centre is not None:
        yield from (p for p in circle_circle(a, b) if on_arc(a, p) and on_arc(b, p))
    else:
        line, arc = (a, b) if a.centre is None else (b, a)
        yield from (p for p in line_circle(line, arc) if on_arc(arc, p))


def line_line(a: Curve, b: Curve) -> Iterator[Vec2]:
    u = a.end[0] - a.start[0], a.end[1] - a.start[1]
    v = b.end[0] - b.start[0], b.end[1] - b.start[1]
    w = b.start[0] - a.start[0], b.start[1] - a.start[1]
    across = cross(u, v)
    if across == 0.0:
        return
    s, t = cross(w, v) / across, cross(w, u) / across
    if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
        yield a.at(s)


def line_circle(line: Curve, arc: Curve) -> Iterator[Vec2]:
    assert arc.centre is not None
    ux, uy = line.heading(0.0)
    wx, wy = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    along, off = wx * ux + wy * uy, wx * uy - wy * ux
    reach = arc.radius**2 - off**2
    if reach < 0:
        return
    for side in (-1.0, 1.0):
        t = along + side * math.sqrt(reach)
        if 0.0 <= t <= line.length:
            yield line.start[0] + t * ux, line.start[1] + t * uy


def circle_circle(a: Curve, b: Curve) -> Iterator[Vec2]:
    assert a.centre is not None
    assert b.centre is not None
    apart = math.dist(a.centre, b.centre)
    if apart == 0.0:
        return
    along = (apart**2 + a.radius**2 - b.radius**2) / (2 * apart)
    reach = a.radius**2 - along**2
    if reach < 0:
        return
    ux, uy = (b.centre[0] - a.centre[0]) / apart, (b.centre[1] - a.centre[1]) / apart
    for side in (-1.0, 1.0):
        h = side * math.sqrt(reach)
        yield a.centre[0] + along * ux - h * uy, a.centre[1] + along * uy + h * ux


def on_arc(arc: Curve, point: Vec2) -> bool:
    """Whether a point of an arc's circle lies on the arc."""
    assert arc.centre is not None
    angle = math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]) - arc.angle
    forward = (angle if arc.turn_rad > 0 else -angle) % (2 * math.pi)
    return forward <= abs(arc.turn_rad) + 1e-12


def sine(a: Curve, b: Curve, point: Vec2) -> float:
    """Of the angle at which two curves meet."""
    return abs(cross(direction(a, point), direction(b, point)))


def direction(curve: Curve, point: Vec2) -> Vec2:
    if curve.centre is None:
        return curve.heading(0.0)
    x, y = point[0] - curve.centre[0], point[1] - curve.centre[1]
    length = math.hypot(x, y) or 1.0
    return -y / length, x / length
