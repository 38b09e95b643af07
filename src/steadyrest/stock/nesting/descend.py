"""One part moved downhill: the energy of its points' depths, slope and curvature, and Gauss-Newton steps; compiled."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.compiled import filled, loop, maker, put
from steadyrest.stock.nesting.deep import deep_in, growth_in, out_of
from steadyrest.stock.nesting.feel import Forms, Room, Stand, spread
from steadyrest.stock.nesting.field import Depths, Floats

SMALL = 1e-12
STEEPER, GENTLER = 8.0, 0.25
FARTHEST = 0.35


@loop(fastmath=True, inner=True)
def _bent(
    depth: Depths, x0: float, y0: float, per: float, base: int, cols: int, rows: int, x: float, y: float, c: float,
    s: float, points: Floats, first: int, last: int, stands: Floats, stands_from: int, gap: float,
    cx: float, cy: float, sign: float, w: float, sums: Floats,
) -> float:  # fmt: skip
    """Points in a kind at a pose: their energy; slope (3) and curvature (6) of the part about (cx, cy) are added."""
    total = 0.0
    top_u, top_v = float(cols - 1), float(rows - 1)
    for k in range(last - first):
        px, py = points[first + k, 0], points[first + k, 1]
        dx, dy = px - x, py - y
        u, v = (c * dx + s * dy - x0) * per, (c * dy - s * dx - y0) * per
        lacks = deep_in(depth, base, cols, top_u, top_v, u, v, gap)
        if lacks > 0.0:
            lu, lv = growth_in(depth, per, base, cols, u, v)
            total += _add(
                lacks, w * stands[stands_from + k, 2], sign * (c * lu - s * lv), sign * (s * lu + c * lv), px - cx,
                py - cy, sums,
            )  # fmt: skip
    return total


@loop(fastmath=True, inner=True)
def _add(lacks: float, w: float, gx: float, gy: float, rx: float, ry: float, sums: Floats) -> float:
    """One point that lacks, whose lack changes by (gx, gy) to the mm."""
    gt = rx * gy - ry * gx
    r = w * lacks
    sums[0] += r * gx
    sums[1] += r * gy
    sums[2] += r * gt
    sums[3] += w * gx * gx
    sums[4] += w * gx * gy
    sums[5] += w * gy * gy
    sums[6] += w * gx * gt
    sums[7] += w * gy * gt
    sums[8] += w * gt * gt
    return r * lacks


@loop(fastmath=True, inner=True)
def _bent_in(
    room: Room, points: Floats, first: int, last: int, stands: Floats, stands_from: int, cx: float, cy: float,
    w: float, sums: Floats,
) -> float:  # fmt: skip
    """The same against the plate, its holes and the limit line."""
    total = 0.0
    x0, y0, per = room.at[0], room.at[1], room.at[2]
    nx, ny, d = room.line[0], room.line[1], room.line[2]
    for k in range(last - first):
        x, y = points[first + k, 0], points[first + k, 1]
        lacks, gx, gy = out_of(room.depth, x0, y0, per, nx, ny, d, x, y)
        if lacks > 0.0:
            total += _add(lacks, w * stands[stands_from + k, 2], gx, gy, x - cx, y - cy, sums)
    return total


@loop()
def bent_at(
    forms: Forms, room: Room, stand: Stand, weights: Floats, part: int, kind: int, pose: Floats, sums: Floats,
    limit: float,
) -> float:  # fmt: skip
    """What is lacking, weighted, if the part stood at a pose, with slope and curvature; given up above the limit."""
    filled(sums, 0.0)
    c, s = math.cos(pose[2]), math.sin(pose[2])
    x, y = pose[0], pose[1]
    at, box = stand.at[len(stand.on)], stand.trial
    n = spread(forms, kind, x, y, c, s, stand.points, at, box)
    first, size = forms.first, forms.size
    total = _bent_in(room, stand.points, at, at + n, forms.points, first[kind, 0], x, y, weights[part, part], sums)
    for k in range(len(room.posts)):
        px, py, clear = room.posts[k, 0], room.posts[k, 1], room.posts[k, 3]
        if px > box[0] - clear and px < box[2] + clear and py > box[1] - clear and py < box[3] + clear:
            total += _bent(
                forms.depth, size[kind, 0], size[kind, 1], size[kind, 2], first[kind, 2], first[kind, 3],
                first[kind, 4], x, y, c, s, room.posts, k, k + 1, room.posts, k, clear, x, y, 1.0, weights[part, part],
                sums,
            )  # fmt: skip
    gap = room.gap
    x0, y0, x1, y1 = box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap
    reach = size[kind, 3] + gap
    for j in range(len(stand.on)):
        if total > limit:
            return total
        if j == part or not stand.on[j]:
            continue
        other = stand.box[j]
        if other[0] >= x1 or other[2] <= x0 or other[1] >= y1 or other[3] <= y0:
            continue
        m = stand.kind[j]
        dx, dy, r = stand.pose[j, 0] - x, stand.pose[j, 1] - y, reach + size[m, 3]
        if dx * dx + dy * dy >= r * r:
            continue
        w = weights[part, j]
        total += _bent(
            forms.depth, size[m, 0], size[m, 1], size[m, 2], first[m, 2], first[m, 3], first[m, 4], stand.pose[j, 0],
            stand.pose[j, 1], stand.spin[j, 0], stand.spin[j, 1], stand.points, at, at + n, forms.points,
            first[kind, 0], gap, x, y, -1.0, w, sums,
        )  # fmt: skip
        total += _bent(
            forms.depth, size[kind, 0], size[kind, 1], size[kind, 2], first[kind, 2], first[kind, 3], first[kind, 4],
            x, y, c, s, stand.points, stand.at[j], stand.at[j] + first[m + 1, 0] - first[m, 0], forms.points,
            first[m, 0], gap, x, y, 1.0, w, sums,
        )  # fmt: skip
    return total


@loop()
def _solved(sums: Floats, damp: float, free: bool, reach: float, step: Floats) -> None:
    """The damped Gauss-Newton step, into step."""
    hxx, hxy, hyy = sums[3], sums[4], sums[5]
    floor = 1e-3 * (hxx + hyy) + SMALL
    hxx = hxx * (1 + damp) + floor
    hyy = hyy * (1 + damp) + floor
    gx, gy = -sums[0], -sums[1]
    step[2] = 0.0
    if free:
        htt = sums[8] * (1 + damp) + floor * reach * reach
        hxt, hyt, gt = sums[6], sums[7], -sums[2]
        # Eliminate the turn.
        hxx -= hxt * hxt / htt
        hxy -= hxt * hyt / htt
        hyy -= hyt * hyt / htt
        gx -= hxt * gt / htt
        gy -= hyt * gt / htt
        det = max(hxx * hyy - hxy * hxy, SMALL)
        step[0] = (hyy * gx - hxy * gy) / det
        step[1] = (hxx * gy - hxy * gx) / det
        step[2] = (gt - hxt * step[0] - hyt * step[1]) / htt
    else:
        det = max(hxx * hyy - hxy * hxy, SMALL)
        step[0] = (hyy * gx - hxy * gy) / det
        step[1] = (hxx * gy - hxy * gx) / det
    far = max(math.hypot(step[0], step[1]), abs(step[2]) * reach)
    if far > FARTHEST * reach:
        for k in range(3):
            step[k] *= FARTHEST * reach / far


@maker()
def descend(
    forms: Forms, room: Room, stand: Stand, weights: Floats, free: bool, part: int, kind: int, pose: Floats,
    steps: int, least: float,
) -> float:  # fmt: skip
    """Move the pose downhill, in so many steps at most, until a step is shorter than the least; its value then."""
    sums, new = np.empty(9), np.empty(9)
    at, step = np.empty(4), np.zeros(3)
    put(at, pose)
    value = bent_at(forms, room, stand, weights, part, kind, pose, sums, np.inf)
    reach, damp = max(forms.size[kind, 3], SMALL), 0.01
    for _ in range(steps):
        if value <= 0.0:
            break
        _solved(sums, damp, free, reach, step)
        if abs(step[0]) + abs(step[1]) + abs(step[2]) * reach < least:
            break
        at[0], at[1], at[2] = pose[0] + step[0], pose[1] + step[1], pose[2] + step[2]
        v = bent_at(forms, room, stand, weights, part, kind, at, new, value)
        if v < value:
            value = v
            put(pose, at)
            put(sums, new)
            damp = max(damp * GENTLER, 1e-3)
        else:
            damp = damp * STEEPER
            if damp > 1e3:
                break
    return value
