"""How much too near two things stand: compiled, exact for convex pieces, summed over the pieces of a shape.

Two convex pieces that overlap are parted along one of their edges' normals: the least of these shifts is how deep they
stand in each other. Apart, their distance counts. `clear` more than that is wanted between them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyrest.compiled import loop

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


class Kinds(NamedTuple):
    """Shapes about the centre of their circle. A piece is a run of corners, a kind is a run of pieces.

    x, y: corners, mm; nx, ny: the outward normal of the edge that begins there; corner_from: (pieces + 1,);
    piece_from: (kinds + 1,); radius: (kinds,) mm.
    """

    x: Floats
    y: Floats
    nx: Floats
    ny: Floats
    corner_from: Whole
    piece_from: Whole
    radius: Floats


class Floor(NamedTuple):
    """Shapes as they stand. Slots: parts first, then one to try with, the plate's pockets, the plate's holes.

    pose: (slots, 4) x, y, turn in rad, 1 if mirrored; x, y, nx, ny, nd: corners and edges as they lie on the plate;
    box: (pieces, 4), whole: (slots, 4) low x, low y, high x, high y; corner_from, corners: a piece's first corner and
    how many; piece_from, piece_to: (slots,); active: the parts that take part.
    """

    kind: Whole
    pose: Floats
    x: Floats
    y: Floats
    nx: Floats
    ny: Floats
    nd: Floats
    box: Floats
    whole: Floats
    corner_from: Whole
    corners: Whole
    piece_from: Whole
    piece_to: Whole
    active: NDArray[np.bool_]


class Bounds(NamedTuple):
    """The plate's hull as lines (nx x + ny y <= d), the last one a limit that is moved; and what is kept clear.

    line_clear: from each line; gap: part to part; margin: part to pocket; hole_clear: part to hole.
    """

    nx: Floats
    ny: Floats
    d: Floats
    line_clear: Floats
    gap: float
    margin: float
    hole_clear: float


@loop()
def stand(kinds: Kinds, floor: Floor, slot: int, kind: int, x: float, y: float, cos: float, sin: float) -> None:
    """Put a kind into a slot at a place. Corners of a mirrored kind are a kind of their own."""
    floor.kind[slot] = kind
    first_piece = kinds.piece_from[kind]
    to_piece = floor.piece_from[slot]
    to = floor.corner_from[to_piece]
    whole = floor.whole[slot]
    whole[0] = whole[1] = 1e300
    whole[2] = whole[3] = -1e300
    for p in range(kinds.piece_from[kind + 1] - first_piece):
        low, high = kinds.corner_from[first_piece + p], kinds.corner_from[first_piece + p + 1]
        floor.corner_from[to_piece + p] = to
        floor.corners[to_piece + p] = high - low
        x0 = y0 = 1e300
        x1 = y1 = -1e300
        for k in range(low, high):
            px = x + cos * kinds.x[k] - sin * kinds.y[k]
            py = y + sin * kinds.x[k] + cos * kinds.y[k]
            nx = cos * kinds.nx[k] - sin * kinds.ny[k]
            ny = sin * kinds.nx[k] + cos * kinds.ny[k]
            floor.x[to], floor.y[to] = px, py
            floor.nx[to], floor.ny[to] = nx, ny
            floor.nd[to] = nx * px + ny * py
            x0, x1 = min(x0, px), max(x1, px)
            y0, y1 = min(y0, py), max(y1, py)
            to += 1
        box = floor.box[to_piece + p]
        box[0], box[1], box[2], box[3] = x0, y0, x1, y1
        whole[0], whole[1], whole[2], whole[3] = (
            min(whole[0], x0),
            min(whole[1], y0),
            max(whole[2], x1),
            max(whole[3], y1),
        )
    floor.piece_to[slot] = to_piece + kinds.piece_from[kind + 1] - first_piece


# No corner is NaN: without that care the least of many is found several at a time.
@loop(fastmath={"nnan", "nsz"})
def apart(floor: Floor, a: int, a_end: int, b: int, b_end: int, clear: float) -> float:
    """The most that an edge of the first leaves between it and the second, signed; clear as soon as that is reached."""
    most = -1e300
    for e in range(a, a_end):
        nx, ny = floor.nx[e], floor.ny[e]
        least = 1e300
        for k in range(b, b_end):
            least = min(least, nx * floor.x[k] + ny * floor.y[k])
        least -= floor.nd[e]
        if least >= clear:
            return clear
        most = max(most, least)
    return most


@loop(fastmath={"nnan", "nsz"}, inner=True)
def nearest2(floor: Floor, a: int, a_end: int, b: int, b_end: int) -> float:
    """The square of the least distance from a corner of the second to an edge of the first."""
    best = 1e300
    for e in range(a, a_end):
        f = e + 1 if e + 1 < a_end else a
        ux, uy = floor.x[f] - floor.x[e], floor.y[f] - floor.y[e]
        length2 = max(ux * ux + uy * uy, 1e-300)
        for k in range(b, b_end):
            vx, vy = floor.x[k] - floor.x[e], floor.y[k] - floor.y[e]
            t = min(max((ux * vx + uy * vy) / length2, 0.0), 1.0)
            wx, wy = vx - t * ux, vy - t * uy
            best = min(best, wx * wx + wy * wy)
    return best


@loop()
def lack(floor: Floor, p: int, q: int, clear: float) -> float:
    """How much is lacking of the clearance between two convex pieces, mm; 0: nothing."""
    a, b = floor.corner_from[p], floor.corner_from[q]
    a_end, b_end = a + floor.corners[p], b + floor.corners[q]
    one = apart(floor, a, a_end, b, b_end, clear)
    if one >= clear:
        return 0.0
    other = apart(floor, b, b_end, a, a_end, clear)
    if other >= clear:
        return 0.0
    most = max(one, other)
    if most <= 0:
        return clear - most
    near2 = min(nearest2(floor, a, a_end, b, b_end), nearest2(floor, b, b_end, a, a_end))
    return max(0.0, clear - math.sqrt(near2))


@loop(inner=True)
def clear_of(a: Floats, b: Floats, clear: float) -> bool:
    """Whether two boxes are at least that far apart, across x or y."""
    return a[0] >= b[2] + clear or b[0] >= a[2] + clear or a[1] >= b[3] + clear or b[1] >= a[3] + clear


@loop()
def lack_between(floor: Floor, s: int, t: int, clear: float, limit: float) -> float:
    """What is lacking between two slots: the sum over their pieces; given up once above the limit."""
    total = 0.0
    mine, other = floor.whole[s], floor.whole[t]
    if clear_of(mine, other, clear):
        return total
    for p in range(floor.piece_from[s], floor.piece_to[s]):
        a = floor.box[p]
        if clear_of(a, other, clear):
            continue
        for q in range(floor.piece_from[t], floor.piece_to[t]):
            b = floor.box[q]
            if clear_of(a, b, clear):
                continue
            total += lack(floor, p, q, clear)
            if total > limit:
                return total
    return total


@loop()
def lack_inside(kinds: Kinds, floor: Floor, bounds: Bounds, slot: int, parts: int, limit: float) -> float:
    """What is lacking between a slot and the plate: its hull, its pockets, its holes."""
    kind = floor.kind[slot]
    x, y = floor.pose[slot, 0], floor.pose[slot, 1]
    first, last = floor.piece_from[slot], floor.piece_to[slot]
    low = floor.corner_from[first]
    high = floor.corner_from[last - 1] + floor.corners[last - 1]
    total = 0.0
    for line in range(len(bounds.d)):
        nx, ny, d = bounds.nx[line], bounds.ny[line], bounds.d[line] - bounds.line_clear[line]
        if nx * x + ny * y + kinds.radius[kind] <= d:
            continue
        most = -1e300
        for k in range(low, high):
            most = max(most, nx * floor.x[k] + ny * floor.y[k])
        if most > d:
            total += most - d
            if total > limit:
                return total
    total += lack_between(floor, slot, parts + 1, bounds.margin, limit - total)
    if total > limit:
        return total
    return total + lack_between(floor, slot, parts + 2, bounds.hole_clear, limit - total)
