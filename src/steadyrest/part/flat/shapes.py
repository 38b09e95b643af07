"""What a closed line is as a whole: a circle, a slot with round ends, a rectangle, a regular hexagon, or free."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from steadyrest.part.flat.chains import Loop, leftward
from steadyrest.part.flat.curve import Curve, box_of
from steadyrest.part.flat.smooth import bend_between
from steadyrest.shop.part import Vec2

SMOOTH_RAD = 0.02  # a corner flatter than this is none
SQUARE_RAD = 2e-3
EQUAL = 2e-3  # share by which sizes that are one may differ: drawings are rounded


@dataclass(frozen=True, slots=True)
class Shape:
    """Its kind, middle and sizes: a circle's or hexagon's width; a slot's or rectangle's width and length."""

    kind: Literal["circle", "slot", "rectangle", "hexagon", "free"]
    middle: Vec2
    width: float = 0.0
    length: float = 0.0


def shape_of(loop: Loop) -> Shape:
    """The shape of a closed line.

    Args:
        loop: either way round.
    Returns: its shape; a rectangle may have rounded corners, all or some.
    """
    loop = leftward(loop)
    if len(loop) == 1 and loop[0].centre is not None:
        return Shape("circle", loop[0].centre, width=2 * loop[0].radius)
    for tell in (slot, rectangle, hexagon):
        found = tell(loop)
        if found is not None:
            return found
    low_x, low_y, high_x, high_y = box_of(loop)
    return Shape("free", ((low_x + high_x) / 2, (low_y + high_y) / 2))


def slot(loop: Loop) -> Shape | None:
    """Two straight walls and two half circles."""
    if len(loop) != 4:
        return None
    arcs = [c for c in loop if c.centre is not None]
    walls = [c for c in loop if c.centre is None]
    if len(arcs) != 2 or len(walls) != 2 or (loop[0].centre is None) == (loop[1].centre is None):
        return None
    a, b = arcs
    if abs(a.radius - b.radius) > EQUAL * a.radius or abs(walls[0].length - walls[1].length) > EQUAL * a.radius:
        return None
    if any(abs(c.turn_rad - math.pi) > 0.02 for c in arcs) or not all_smooth(loop):
        return None
    assert a.centre is not None
    assert b.centre is not None
    middle = (a.centre[0] + b.centre[0]) / 2, (a.centre[1] + b.centre[1]) / 2
    width = a.radius + b.radius
    return Shape("slot", middle, width=width, length=math.dist(a.centre, b.centre) + width)


def rectangle(loop: Loop) -> Shape | None:
    """Four straight edges, square to each other, with sharp or rounded corners."""
    edges = [c for c in loop if c.centre is None]
    corners = [c for c in loop if c.centre is not None]
    if len(edges) != 4 or any(c.made == "chord" for c in edges) or any(c.turn_rad <= 0 for c in corners):
        return None
    if any(abs(c.turn_rad - math.pi / 2) > 0.02 for c in corners):
        return None
    bends = [turn(edges[k - 1], edges[k]) for k in range(4)]
    if any(abs(bend - math.pi / 2) > SQUARE_RAD for bend in bends):
        return None
    if any(c.centre is not None and loop[k - 1].centre is not None for k, c in enumerate(loop)):
        return None
    if corners and not all(smooth_at(loop, k) for k, c in enumerate(loop) if c.centre is not None):
        return None
    # From edge to opposite edge, along the normal of the first.
    across = apart(edges[0], edges[2])
    along = apart(edges[1], edges[3])
    x = math.fsum(c.at(0.5)[0] for c in edges[::2]) / 2, math.fsum(c.at(0.5)[1] for c in edges[::2]) / 2
    y = math.fsum(c.at(0.5)[0] for c in edges[1::2]) / 2, math.fsum(c.at(0.5)[1] for c in edges[1::2]) / 2
    middle = (x[0] + y[0]) / 2, (x[1] + y[1]) / 2
    return Shape("rectangle", middle, width=min(across, along), length=max(across, along))


def hexagon(loop: Loop) -> Shape | None:
    """Six equal straight edges, each turned by sixty degrees."""
    if len(loop) != 6 or any(c.centre is not None or c.made == "chord" for c in loop):
        return None
    lengths = [c.length for c in loop]
    if max(lengths) - min(lengths) > EQUAL * max(lengths):
        return None
    if any(abs(turn(loop[k - 1], loop[k]) - math.pi / 3) > 2 * SQUARE_RAD for k in range(6)):
        return None
    middle = math.fsum(c.start[0] for c in loop) / 6, math.fsum(c.start[1] for c in loop) / 6
    return Shape("hexagon", middle, width=math.fsum(apart(loop[k], loop[k + 3]) for k in range(3)) / 3)


def turn(a: Curve, b: Curve) -> float:
    """How far the way turns from one straight edge to the next, positive to the left."""
    return bend_between(a, b)


def apart(a: Curve, b: Curve) -> float:
    """Between two parallel edges: from the middle of one to the line of the other."""
    (ux, uy), (px, py), (qx, qy) = a.heading(0.0), a.at(0.5), b.at(0.5)
    return abs(ux * (qy - py) - uy * (qx - px))


def all_smooth(loop: Loop) -> bool:
    return all(abs(bend_between(loop[k - 1], loop[k])) < SMOOTH_RAD for k in range(len(loop)))


def smooth_at(loop: Loop, k: int) -> bool:
    """Whether an edge runs smoothly into both of its neighbours."""
    before, after = loop[k - 1], loop[(k + 1) % len(loop)]
    return abs(bend_between(before, loop[k])) < SMOOTH_RAD and abs(bend_between(loop[k], after)) < SMOOTH_RAD
