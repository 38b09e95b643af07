"""How much two parts lack, felt at their points: compiled, any outline at the same cost.

A point that is nearer to another part than the gap is so much too deep; its length times the square of that, summed
over the points of both, is what the pair lacks, mm3. Nothing lacks when no point is too deep.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyrest.compiled import loop
from steadyrest.stock.nesting.deep import deep_in, out_of
from steadyrest.stock.nesting.field import Depths, Floats

Whole = NDArray[np.int64]


class Forms(NamedTuple):
    """Kinds of parts about the centre of their circle; a part's mirror image is the next kind.

    points: (n, 3) x, y and the length it stands for, mm, those within a part before those on its edge; depth: all
    grids; size: (kinds, 4) a grid's corner x, y, nodes to the mm, and the circle's radius; first: (kinds + 1, 6) first
    point, edge and node, columns and rows of the grid, how many points lie on the edge; edges: (m, 5) from x, y to
    x, y, and the way, rad.
    """

    points: Floats
    depth: Depths
    size: Floats
    first: Whole
    edges: Floats


class Room(NamedTuple):
    """Where parts may be. depth: (rows, cols) room to what is kept clear; at: (3,) its corner, and nodes to the mm;
    line: (3,) a limit nx x + ny y <= d; edges: (m, 6) of plate and holes, room to the left: from x, y to x, y, the way,
    and what is kept clear of it; posts: (k, 4) corners that point into the room: x, y, the length each stands for, and
    what is kept clear of it; gap: part to part; box: (4,).
    """

    depth: Depths
    at: Floats
    line: Floats
    edges: Floats
    posts: Floats
    gap: float
    box: Floats


class Stand(NamedTuple):
    """Parts as they stand. kind: (parts,); pose: (parts, 4) x, y, turn in rad, 1 if mirrored; spin: (parts, 2) cosine,
    sine; points: (n, 2) on the plate, last those of a pose that is tried; at: (parts + 1,) the first of each; box:
    (parts, 4); on: those that take part; trial: (4,) the box of the pose tried; sink: (3,) for what nobody asks.
    """

    kind: Whole
    pose: Floats
    spin: Floats
    points: Floats
    at: Whole
    box: Floats
    on: NDArray[np.bool_]
    trial: Floats
    sink: Floats


@loop(fastmath=True)
def spread(forms: Forms, kind: int, x: float, y: float, c: float, s: float, to: Floats, first: int, box: Floats) -> int:
    """The points of a kind at a pose, and the box about them. Returns: how many."""
    low, high = forms.first[kind, 0], forms.first[kind + 1, 0]
    x0 = y0 = 1e300
    x1 = y1 = -1e300
    for k in range(low, high):
        px, py = forms.points[k, 0], forms.points[k, 1]
        wx, wy = x + c * px - s * py, y + s * px + c * py
        to[first + k - low, 0] = wx
        to[first + k - low, 1] = wy
        x0, x1, y0, y1 = min(x0, wx), max(x1, wx), min(y0, wy), max(y1, wy)
    box[0], box[1], box[2], box[3] = x0, y0, x1, y1
    return high - low


@loop()
def settle(forms: Forms, stand: Stand, part: int, base: int, pose: Floats) -> None:
    """A part, whose unmirrored kind is `base`, to a pose."""
    kind = base + (1 if pose[3] > 0 else 0)
    stand.kind[part] = kind
    for k in range(4):
        stand.pose[part, k] = pose[k]
    c, s = math.cos(pose[2]), math.sin(pose[2])
    stand.spin[part, 0], stand.spin[part, 1] = c, s
    spread(forms, kind, pose[0], pose[1], c, s, stand.points, stand.at[part], stand.box[part])


@loop(fastmath=True, inner=True)
def felt(
    depth: Depths, x0: float, y0: float, per: float, base: int, cols: int, rows: int, x: float, y: float, c: float,
    s: float, points: Floats, first: int, last: int, stands: Floats, stands_from: int, gap: float, limit: float,
) -> float:  # fmt: skip
    """How deep points are in a kind at a pose: length times depth squared, mm3; given up once above the limit."""
    total = 0.0
    top_u, top_v = float(cols - 1), float(rows - 1)
    for k in range(last - first):
        dx, dy = points[first + k, 0] - x, points[first + k, 1] - y
        u, v = (c * dx + s * dy - x0) * per, (c * dy - s * dx - y0) * per
        lacks = deep_in(depth, base, cols, top_u, top_v, u, v, gap)
        if lacks > 0.0:
            total += lacks * lacks * stands[stands_from + k, 2]
            if total > limit:
                return total
    return total


@loop(fastmath=True, inner=True)
def felt_room(
    room: Room, points: Floats, first: int, last: int, stands: Floats, stands_from: int, limit: float
) -> float:
    """The same against the plate, its holes and the limit line."""
    total = 0.0
    x0, y0, per = room.at[0], room.at[1], room.at[2]
    nx, ny, d = room.line[0], room.line[1], room.line[2]
    for k in range(last - first):
        lacks, _, _ = out_of(room.depth, x0, y0, per, nx, ny, d, points[first + k, 0], points[first + k, 1])
        if lacks > 0.0:
            total += lacks * lacks * stands[stands_from + k, 2]
            if total > limit:
                return total
    return total


@loop(inner=True)
def felt_posts(forms: Forms, room: Room, kind: int, x: float, y: float, c: float, s: float, box: Floats) -> float:
    """How deep the plate's own corners are in a kind at a pose, whose points lie in the box."""
    total = 0.0
    size, first = forms.size, forms.first
    for k in range(len(room.posts)):
        px, py, clear = room.posts[k, 0], room.posts[k, 1], room.posts[k, 3]
        if px < box[0] - clear or px > box[2] + clear or py < box[1] - clear or py > box[3] + clear:
            continue
        total += felt(
            forms.depth, size[kind, 0], size[kind, 1], size[kind, 2], first[kind, 2], first[kind, 3], first[kind, 4],
            x, y, c, s, room.posts, k, k + 1, room.posts, k, clear, np.inf,
        )  # fmt: skip
    return total


@loop(inner=True)
def lack_pair(
    forms: Forms, stand: Stand, at: int, n: int, kind: int, x: float, y: float, c: float, s: float, other: int,
    gap: float, limit: float,
) -> float:  # fmt: skip
    """What a kind at a pose, its points from `at` on, lacks to a standing part: mm3."""
    theirs = stand.kind[other]
    size, first = forms.size, forms.first
    total = felt(
        forms.depth, size[theirs, 0], size[theirs, 1], size[theirs, 2], first[theirs, 2], first[theirs, 3],
        first[theirs, 4], stand.pose[other, 0], stand.pose[other, 1], stand.spin[other, 0], stand.spin[other, 1],
        stand.points, at, at + n, forms.points, first[kind, 0], gap, limit,
    )  # fmt: skip
    if total > limit:
        return total
    return total + felt(
        forms.depth, size[kind, 0], size[kind, 1], size[kind, 2], first[kind, 2], first[kind, 3], first[kind, 4],
        x, y, c, s, stand.points, stand.at[other], stand.at[other] + first[theirs + 1, 0] - first[theirs, 0],
        forms.points, first[theirs, 0], gap, limit - total,
    )  # fmt: skip


@loop()
def lack_at(
    forms: Forms, room: Room, stand: Stand, weights: Floats, part: int, kind: int, pose: Floats, limit: float
) -> float:
    """What is lacking, weighted, if the part stood at a pose; given up once above the limit."""
    c, s = math.cos(pose[2]), math.sin(pose[2])
    x, y = pose[0], pose[1]
    at, box = stand.at[len(stand.on)], stand.trial
    n = spread(forms, kind, x, y, c, s, stand.points, at, box)
    total = 0.0
    gap = room.gap
    x0, y0, x1, y1 = box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap
    reach = forms.size[kind, 3] + gap
    for j in range(len(stand.on)):
        if j == part or not stand.on[j]:
            continue
        other = stand.box[j]
        if other[0] >= x1 or other[2] <= x0 or other[1] >= y1 or other[3] <= y0:
            continue
        dx, dy, r = stand.pose[j, 0] - x, stand.pose[j, 1] - y, reach + forms.size[stand.kind[j], 3]
        if dx * dx + dy * dy >= r * r:
            continue
        w = weights[part, j]
        total += w * lack_pair(forms, stand, at, n, kind, x, y, c, s, j, gap, (limit - total) / w)
        if total > limit:
            return total
    w = weights[part, part]
    total += w * felt_room(room, stand.points, at, at + n, forms.points, forms.first[kind, 0], (limit - total) / w)
    if total > limit:
        return total
    total += w * felt_posts(forms, room, kind, x, y, c, s, box)
    return total


@loop()
def reckon(forms: Forms, room: Room, stand: Stand, lacks: Floats, part: int) -> None:
    """What a part lacks as it stands: its row and column of the matrix, the plate on the diagonal."""
    kind = stand.kind[part]
    x, y, c, s = stand.pose[part, 0], stand.pose[part, 1], stand.spin[part, 0], stand.spin[part, 1]
    at, box = stand.at[len(stand.on)], stand.trial
    n = spread(forms, kind, x, y, c, s, stand.points, at, box)
    on = stand.on[part]
    found = 0.0
    if on:
        found = felt_room(room, stand.points, at, at + n, forms.points, forms.first[kind, 0], 1e300)
        found += felt_posts(forms, room, kind, x, y, c, s, box)
    lacks[part, part] = found
    reach = forms.size[kind, 3] + room.gap
    for j in range(len(stand.on)):
        if j == part:
            continue
        found = 0.0
        if on and stand.on[j]:
            dx, dy, r = stand.pose[j, 0] - x, stand.pose[j, 1] - y, reach + forms.size[stand.kind[j], 3]
            if dx * dx + dy * dy < r * r:
                found = lack_pair(forms, stand, at, n, kind, x, y, c, s, j, room.gap, 1e300)
        lacks[part, j] = lacks[j, part] = found
