"""All parts moved at once, a little each, until they lack least together: compiled.

What is minimised is the square of each point's depth times its length, over x, y and, where any turn is allowed, the
turn of every part: smooth, so that a few quasi-Newton steps (limited-memory BFGS) spread what lacks over all the room.
"""

from __future__ import annotations

import numpy as np

from steadyrest.compiled import loop, maker, put
from steadyrest.stock.nesting.deep import deep_in, growth_in, out_of
from steadyrest.stock.nesting.feel import Forms, Room, Stand, Whole, settle
from steadyrest.stock.nesting.field import Depths, Floats

MEMORY = 8
SMALL = 1e-12


@loop(fastmath=True, inner=True)
def _pushed(
    depth: Depths, x0: float, y0: float, per: float, base: int, cols: int, rows: int, x: float, y: float, c: float,
    s: float, points: Floats, first: int, last: int, stands: Floats, stands_from: int, gap: float,
    cx: float, cy: float, w: float, mine: Floats, theirs: Floats,
) -> float:  # fmt: skip
    """Points in a kind at a pose: their energy; and the slopes of both parts, to which they are added."""
    total = 0.0
    fx = fy = ft = gt = 0.0
    top_u, top_v = float(cols - 1), float(rows - 1)
    for k in range(last - first):
        px, py = points[first + k, 0], points[first + k, 1]
        dx, dy = px - x, py - y
        u, v = (c * dx + s * dy - x0) * per, (c * dy - s * dx - y0) * per
        lacks = deep_in(depth, base, cols, top_u, top_v, u, v, gap)
        if lacks > 0.0:
            lu, lv = growth_in(depth, per, base, cols, u, v)
            stands_for = stands[stands_from + k, 2] * w
            total += stands_for * lacks * lacks
            gx, gy = c * lu - s * lv, s * lu + c * lv
            scale = -2.0 * stands_for * lacks
            gx, gy = gx * scale, gy * scale
            fx += gx
            fy += gy
            ft += (px - cx) * gy - (py - cy) * gx
            gt += dx * gy - dy * gx
    mine[0] += fx
    mine[1] += fy
    mine[2] += ft
    theirs[0] -= fx
    theirs[1] -= fy
    theirs[2] -= gt
    return total


@loop(fastmath=True, inner=True)
def _pushed_in(
    room: Room, points: Floats, first: int, last: int, stands: Floats, stands_from: int, cx: float, cy: float,
    w: float, mine: Floats,
) -> float:  # fmt: skip
    """The same against the plate, its holes and the limit line."""
    total = 0.0
    x0, y0, per = room.at[0], room.at[1], room.at[2]
    nx, ny, d = room.line[0], room.line[1], room.line[2]
    for k in range(last - first):
        x, y = points[first + k, 0], points[first + k, 1]
        lacks, gx, gy = out_of(room.depth, x0, y0, per, nx, ny, d, x, y)
        if lacks > 0.0:
            stands_for = stands[stands_from + k, 2] * w
            total += stands_for * lacks * lacks
            scale = 2.0 * stands_for * lacks
            gx, gy = gx * scale, gy * scale
            mine[0] += gx
            mine[1] += gy
            mine[2] += (x - cx) * gy - (y - cy) * gx
    return total


@loop()
def energy(forms: Forms, room: Room, stand: Stand, weights: Floats, pull: Floats, slope: Floats) -> float:
    """How deep all points are in other parts and out of the room, squared, weighted; slope: (parts, 3), written.

    pull: (2,) what a mm along x and y costs each part, by the size of its circle.
    """
    total = 0.0
    parts = len(stand.on)
    for i in range(parts):
        slope[i, 0] = slope[i, 1] = slope[i, 2] = 0.0
    gap = room.gap
    first, size, pose, spin = forms.first, forms.size, stand.pose, stand.spin
    for i in range(parts):
        if not stand.on[i]:
            continue
        k = stand.kind[i]
        mine = stand.box[i]
        last = stand.at[i] + first[k + 1, 0] - first[k, 0]
        fx, fy = pull[0] * size[k, 3], pull[1] * size[k, 3]
        total += fx * pose[i, 0] + fy * pose[i, 1]
        slope[i, 0] += fx
        slope[i, 1] += fy
        total += _pushed_in(
            room, stand.points, stand.at[i], last, forms.points, first[k, 0], pose[i, 0], pose[i, 1], weights[i, i],
            slope[i],
        )  # fmt: skip
        for q in range(len(room.posts)):
            px, py, clear = room.posts[q, 0], room.posts[q, 1], room.posts[q, 3]
            if px > mine[0] - clear and px < mine[2] + clear and py > mine[1] - clear and py < mine[3] + clear:
                total += _pushed(
                    forms.depth, size[k, 0], size[k, 1], size[k, 2], first[k, 2], first[k, 3], first[k, 4], pose[i, 0],
                    pose[i, 1], spin[i, 0], spin[i, 1], room.posts, q, q + 1, room.posts, q, clear, pose[i, 0],
                    pose[i, 1], weights[i, i], stand.sink, slope[i],
                )  # fmt: skip
        for j in range(i):
            if not stand.on[j]:
                continue
            box = stand.box[j]
            if box[0] >= mine[2] + gap or box[2] + gap <= mine[0] or box[1] >= mine[3] + gap or box[3] + gap <= mine[1]:
                continue
            m = stand.kind[j]
            w = weights[i, j]
            total += _pushed(
                forms.depth, size[m, 0], size[m, 1], size[m, 2], first[m, 2], first[m, 3], first[m, 4], pose[j, 0],
                pose[j, 1], spin[j, 0], spin[j, 1], stand.points, stand.at[i], last, forms.points, first[k, 0], gap,
                pose[i, 0], pose[i, 1], w, slope[i], slope[j],
            )  # fmt: skip
            total += _pushed(
                forms.depth, size[k, 0], size[k, 1], size[k, 2], first[k, 2], first[k, 3], first[k, 4], pose[i, 0],
                pose[i, 1], spin[i, 0], spin[i, 1], stand.points, stand.at[j],
                stand.at[j] + first[m + 1, 0] - first[m, 0], forms.points, first[m, 0], gap, pose[j, 0],
                pose[j, 1], w, slope[j], slope[i],
            )  # fmt: skip
    return total


@loop(inner=True)
def _stand_at(
    forms: Forms, stand: Stand, base: Whole, start: Floats, way: Floats, step: float, pose: Floats
) -> None:  # fmt: skip
    """Every part at its start, moved along the way; the way's third is a length at the part's circle. pose: (4,) room
    to work in."""
    for i in range(len(stand.on)):
        if stand.on[i]:
            pose[0] = start[i, 0] + step * way[3 * i]
            pose[1] = start[i, 1] + step * way[3 * i + 1]
            pose[2] = start[i, 2] + step * way[3 * i + 2] / forms.size[base[i], 3]
            pose[3] = start[i, 3]
            settle(forms, stand, i, base[i], pose)


@loop(inner=True)
def _slope_at(
    forms: Forms, room: Room, stand: Stand, base: Whole, free: bool, weights: Floats, pull: Floats, slopes: Floats,
    flat: Floats,
) -> float:  # fmt: skip
    """The energy, and its slope in one row, turns as lengths at the part's circle. slopes: room to work in."""
    found = energy(forms, room, stand, weights, pull, slopes)
    for i in range(len(stand.on)):
        flat[3 * i], flat[3 * i + 1] = slopes[i, 0], slopes[i, 1]
        flat[3 * i + 2] = slopes[i, 2] / forms.size[base[i], 3] if free else 0.0
    return found


@loop(fastmath=True)
def _dot(one: Floats, other: Floats) -> float:
    total = 0.0
    for k in range(len(one)):
        total += one[k] * other[k]
    return total


@loop(fastmath=True)
def _along(to: Floats, by: float, way: Floats) -> None:
    for k in range(len(to)):
        to[k] += by * way[k]


@loop(fastmath=True)
def _scaled(to: Floats, by: float) -> None:
    for k in range(len(to)):
        to[k] *= by


@loop(inner=True)
def _way_down(
    slope: Floats, moved: Floats, bent: Floats, rho: Floats, alpha: Floats, known: int, first: float, way: Floats
) -> None:  # fmt: skip
    """The way that the last steps, and how the slope bent along them, make of the slope now."""
    put(way, slope)
    for n in range(min(known, MEMORY)):
        k = (known - 1 - n) % MEMORY
        alpha[k] = rho[k] * _dot(moved[k], way)
        _along(way, -alpha[k], bent[k])
    if known:
        k = (known - 1) % MEMORY
        _scaled(way, 1.0 / max(rho[k] * _dot(bent[k], bent[k]), SMALL))
    else:
        _scaled(way, first)
    for n in range(min(known, MEMORY) - 1, -1, -1):
        k = (known - 1 - n) % MEMORY
        _along(way, alpha[k] - rho[k] * _dot(bent[k], way), moved[k])
    _scaled(way, -1.0)


@maker()
def press(
    forms: Forms, room: Room, stand: Stand, base: Whole, free: bool, weights: Floats, pull: Floats, steps: int,
    enough: float,
) -> float:  # fmt: skip
    """All parts to where they lack least together, pulled along, in so many steps at most. Returns: the energy left."""
    parts = len(stand.on)
    row = 3 * parts
    slopes, start, pose = np.zeros((parts, 3)), np.zeros((parts, 4)), np.zeros(4)
    slope, new_slope, way = np.zeros(row), np.zeros(row), np.zeros(row)
    moved, bent = np.zeros((MEMORY, row)), np.zeros((MEMORY, row))
    rho, alpha = np.zeros(MEMORY), np.zeros(MEMORY)
    known = np.int64(0)
    now = _slope_at(forms, room, stand, base, free, weights, pull, slopes, slope)
    longest = 0.0
    for i in range(parts):
        longest = max(longest, forms.size[base[i], 3])
    for _ in range(steps):
        if now <= enough and pull[0] == 0.0 and pull[1] == 0.0:
            break
        _way_down(slope, moved, bent, rho, alpha, known, 0.25 / forms.size[base[0], 3], way)
        down = _dot(way, slope)
        if down >= 0.0:
            put(way, slope)
            _scaled(way, -1.0)
            down = -_dot(slope, slope)
            known = 0
        far = 0.0
        for k in range(row):
            far = max(far, abs(way[k]))
        if far < 1e-9:
            break
        step = min(1.0, 0.2 * longest / far)
        for i in range(parts):
            put(start[i], stand.pose[i])
        new = now
        found = False
        for _try in range(8):
            _stand_at(forms, stand, base, start, way, step, pose)
            new = _slope_at(forms, room, stand, base, free, weights, pull, slopes, new_slope)
            if new <= now + 1e-4 * step * down:
                found = True
                break
            step *= 0.4
        if not found:
            _stand_at(forms, stand, base, start, way, 0.0, pose)
            if known == 0:
                break
            known = 0
            continue
        k = known % MEMORY
        for n in range(row):
            moved[k, n] = step * way[n]
            bent[k, n] = new_slope[n] - slope[n]
        curve = _dot(moved[k], bent[k])
        if curve > SMALL:
            rho[k] = 1.0 / curve
            known += 1
        put(slope, new_slope)
        now = new
    return now
