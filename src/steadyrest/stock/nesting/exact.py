"""The exact repair: what the quick search leaves lacking by a hair is put right by small moves of all parts together.

Every two convex pieces that stand near get a straight line between them; that all corners stay on their side of it, the
clearance apart, is linear in small shifts and turns. The linear programme that lacks least is solved, the parts are
moved, the lines are drawn anew (sequential linear programming with a bound on the step).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array

from steadyrest.compiled import filled, loop
from steadyrest.stock.nesting.floor import Ground
from steadyrest.stock.nesting.near import (
    Bounds,
    Floats,
    Floor,
    Kinds,
    Whole,
    clear_of,
    lack,
    stand,
)

WIDER, NARROWER, NARROWEST = 1.5, 0.35, 0.02
OVER_MM = 0.0005
GAINED, SLOW = 0.999, 0.9
SHORTEST_S = 0.05
FIXED = -1


class Lines(NamedTuple):
    """One row for each corner that must stay beyond a line. of: (rows, 3) whose line (-1: fixed), whose corner, which
    pair; at: (rows, 7) the line's normal, the point of the first, the point of the second, what is lacking.
    """

    of: Whole
    at: Floats


@loop(inner=True)
def _best_edge(floor: Floor, a: int, a_end: int, b: int, b_end: int) -> tuple[float, int]:
    """The edge of the first that leaves most between it and the second, and how much."""
    most, best = -1e300, a
    for e in range(a, a_end):
        nx, ny = floor.nx[e], floor.ny[e]
        least = 1e300
        for k in range(b, b_end):
            least = min(least, nx * floor.x[k] + ny * floor.y[k])
        least -= floor.nd[e]
        if least > most:
            most, best = least, e
    return most, best


@loop(inner=True)
def _nearest_corners(floor: Floor, a: int, a_end: int, b: int, b_end: int) -> tuple[float, int, int]:
    best, u, v = 1e300, a, b
    for i in range(a, a_end):
        for j in range(b, b_end):
            d = (floor.x[j] - floor.x[i]) ** 2 + (floor.y[j] - floor.y[i]) ** 2
            if d < best:
                best, u, v = d, i, j
    return math.sqrt(best), u, v


@loop()
def _row(
    of: Whole, at: Floats, n: int, a: int, b: int, pair: int, nx: float, ny: float, ax: float, ay: float, bx: float,
    by: float, lacks: float,
) -> int:  # fmt: skip
    if n < len(of):
        of[n, 0], of[n, 1], of[n, 2] = a, b, pair
        at[n, 0], at[n, 1], at[n, 2], at[n, 3], at[n, 4], at[n, 5], at[n, 6] = nx, ny, ax, ay, bx, by, lacks
    return n + 1


@loop()
def _between(
    floor: Floor, s: int, t: int, clear: float, reach: float, of: Whole, at: Floats, n: int, pair: int, mine: int,
    other: int,
) -> int:  # fmt: skip
    """Rows for every two pieces of two slots that stand near. mine, other: the movable parts, -1: fixed."""
    far = clear + reach
    for p in range(floor.piece_from[s], floor.piece_to[s]):
        if clear_of(floor.box[p], floor.whole[t], far):
            continue
        a = floor.corner_from[p]
        a_end = a + floor.corners[p]
        for q in range(floor.piece_from[t], floor.piece_to[t]):
            if clear_of(floor.box[p], floor.box[q], far):
                continue
            b = floor.corner_from[q]
            b_end = b + floor.corners[q]
            one, e = _best_edge(floor, a, a_end, b, b_end)
            if one >= far:
                continue
            two, f = _best_edge(floor, b, b_end, a, a_end)
            if two >= far:
                continue
            most = max(one, two)
            if most > 0 and most < clear:
                # Corner against corner may be farther apart than any edge's line tells.
                distance, u, v = _nearest_corners(floor, a, a_end, b, b_end)
                nx, ny = (floor.x[v] - floor.x[u]) / distance, (floor.y[v] - floor.y[u]) / distance
                least = 1e300
                for k in range(b, b_end):
                    least = min(least, nx * floor.x[k] + ny * floor.y[k])
                top = -1e300
                for k in range(a, a_end):
                    top = max(top, nx * floor.x[k] + ny * floor.y[k])
                if least - top > most + 1e-9:
                    n = _row(of, at, n, mine, other, pair, nx, ny, floor.x[u], floor.y[u], floor.x[v], floor.y[v],
                             clear - distance)  # fmt: skip
                    continue
            if one >= two:
                nx, ny, d = floor.nx[e], floor.ny[e], floor.nd[e]
                for k in range(b, b_end):
                    gap = nx * floor.x[k] + ny * floor.y[k] - d
                    if gap < far:
                        n = _row(of, at, n, mine, other, pair, nx, ny, floor.x[k], floor.y[k], floor.x[k],
                                 floor.y[k], clear - gap)  # fmt: skip
            else:
                nx, ny, d = floor.nx[f], floor.ny[f], floor.nd[f]
                for k in range(a, a_end):
                    gap = nx * floor.x[k] + ny * floor.y[k] - d
                    if gap < far:
                        n = _row(of, at, n, other, mine, pair, nx, ny, floor.x[k], floor.y[k], floor.x[k],
                                 floor.y[k], clear - gap)  # fmt: skip
    return n


@loop()
def _rows(kinds: Kinds, floor: Floor, bounds: Bounds, parts: int, reach: float, of: Whole, at: Floats) -> int:
    """All rows; how many there would be is returned, even where there is no room for them."""
    n, fixed = np.int64(0), np.int64(FIXED)
    for i in range(parts):
        if not floor.active[i]:
            continue
        first, last = floor.piece_from[i], floor.piece_to[i]
        low = floor.corner_from[first]
        high = floor.corner_from[last - 1] + floor.corners[last - 1]
        for line in range(len(bounds.d)):
            nx, ny, d = bounds.nx[line], bounds.ny[line], bounds.d[line] - bounds.line_clear[line]
            if nx * floor.pose[i, 0] + ny * floor.pose[i, 1] + kinds.radius[floor.kind[i]] <= d - reach:
                continue
            for k in range(low, high):
                over = nx * floor.x[k] + ny * floor.y[k] - d
                if over > -reach:
                    n = _row(of, at, n, fixed, i, i * (parts + 1), -nx, -ny, floor.x[k], floor.y[k], floor.x[k],
                             floor.y[k], over)  # fmt: skip
        n = _between(floor, i, parts + 1, bounds.margin, reach, of, at, n, i * (parts + 1), i, fixed)
        n = _between(floor, i, parts + 2, bounds.hole_clear, reach, of, at, n, i * (parts + 1), i, fixed)
        for j in range(i):
            if floor.active[j] and not clear_of(floor.whole[i], floor.whole[j], bounds.gap + reach):
                n = _between(floor, i, j, bounds.gap, reach, of, at, n, i * parts + j, i, j)
    return int(n)


@loop(inner=True)
def _worst_between(floor: Floor, s: int, t: int, clear: float) -> tuple[float, float]:
    """What is lacking between two slots: over all their pieces, and between the two worst."""
    total = worst = 0.0
    if clear_of(floor.whole[s], floor.whole[t], clear):
        return total, worst
    for p in range(floor.piece_from[s], floor.piece_to[s]):
        if clear_of(floor.box[p], floor.whole[t], clear):
            continue
        for q in range(floor.piece_from[t], floor.piece_to[t]):
            if not clear_of(floor.box[p], floor.box[q], clear):
                here = lack(floor, p, q, clear)
                total += here
                worst = max(worst, here)
    return total, worst


@loop()
def exact_lacks(floor: Floor, bounds: Bounds, parts: int, most: Floats) -> tuple[float, float]:
    """What all lack together, and the most that any two convex pieces lack, mm; most: (parts,) by part, written."""
    total = 0.0
    filled(most, 0.0)
    for i in range(parts):
        if not floor.active[i]:
            continue
        first, last = floor.piece_from[i], floor.piece_to[i]
        for k in range(floor.corner_from[first], floor.corner_from[last - 1] + floor.corners[last - 1]):
            for line in range(len(bounds.d)):
                over = bounds.nx[line] * floor.x[k] + bounds.ny[line] * floor.y[k] - bounds.d[line]
                over += bounds.line_clear[line]
                if over > 0.0:
                    total += over
                    most[i] = max(most[i], over)
        for other, clear in ((parts + 1, bounds.margin), (parts + 2, bounds.hole_clear)):
            here, worst = _worst_between(floor, i, other, clear)
            total += here
            most[i] = max(most[i], worst)
        for j in range(i):
            if floor.active[j]:
                here, worst = _worst_between(floor, i, j, bounds.gap)
                total += here
                most[i] = max(most[i], worst)
                most[j] = max(most[j], worst)
    greatest = 0.0
    for i in range(parts):
        greatest = max(greatest, most[i])
    return total, greatest


def stand_exactly(ground: Ground, poses: Floats) -> None:
    """Every part that takes part to its pose.

    Args:
        ground: the nest. poses: (parts, 4).
    """
    for part in np.flatnonzero(ground.floor.active).tolist():
        x, y, turn, mirrored = poses[part].tolist()
        kind = int(ground.ways.base[part]) + (1 if mirrored > 0 else 0)
        stand(ground.kinds, ground.floor, part, kind, x, y, math.cos(turn), math.sin(turn))
        ground.floor.pose[part] = poses[part]


def repaired(
    ground: Ground, poses: Floats, left_s: Callable[[], float], *, reach_mm: float, enough_mm: float, tries: int = 12
) -> Floats:
    """Move what stands too near until nothing does.

    Args:
        ground: the nest; its floor stands repaired afterwards. poses: (parts, 4) to begin with.
        left_s: seconds left; 0 or less: stop.
        reach_mm: so far a part may move at a time. enough_mm: what may lack. tries: linear programmes at the most.
    Returns: (parts,) the most that each still lacks, mm.
    """
    floor, parts = ground.floor, len(ground.each)
    stand_exactly(ground, poses)
    each, new = np.zeros(parts), np.zeros(parts)
    best, worst = exact_lacks(floor, ground.bounds, parts, each)
    least, slow = NARROWEST * reach_mm, 0
    for _ in range(tries):
        if worst <= enough_mm or reach_mm < least or left_s() <= 0:
            break
        kept = floor.pose[:parts].copy()
        moved = _step(ground, reach_mm, left_s())
        if moved is None:
            break
        stand_exactly(ground, moved)
        total, most = exact_lacks(floor, ground.bounds, parts, new)
        if most <= enough_mm or total < GAINED * best:
            slow = slow + 1 if total > SLOW * best else 0
            best, worst = total, most
            each[:] = new
            reach_mm *= WIDER
            if slow > 1:
                break
        else:
            stand_exactly(ground, kept)
            reach_mm *= NARROWER
    return each


def _step(ground: Ground, reach_mm: float, left_s: float) -> Floats | None:
    """The poses after one linear programme; None: it was not solved in time."""
    kinds, floor, bounds, parts = ground.kinds, ground.floor, ground.bounds, len(ground.each)
    room = 20_000
    while True:
        of, at = np.empty((room, 3), np.int64), np.empty((room, 7))
        rows = _rows(kinds, floor, bounds, parts, 2.5 * reach_mm, of, at)
        if rows <= room:
            break
        room = rows
    of, at = of[:rows], at[:rows]
    if not rows:
        return None
    wide = 3 if ground.ways.free else 2
    pairs, pair = np.unique(of[:, 2], return_inverse=True)
    # A part left out stands as nothing: it has no circle, and does not move.
    radius = np.where(floor.active, kinds.radius[floor.kind[:parts]], 1.0)
    row, column, value = list[Whole](), list[Whole](), list[Floats]()
    each = np.arange(rows)
    for who, px, py, sign in ((of[:, 0], at[:, 2], at[:, 3], 1.0), (of[:, 1], at[:, 4], at[:, 5], -1.0)):
        movable = who >= 0
        part = who[movable]
        nx, ny = at[movable, 0], at[movable, 1]
        lever = (ny * (px[movable] - floor.pose[part, 0]) - nx * (py[movable] - floor.pose[part, 1])) / radius[part]
        for k, along in enumerate((nx, ny, lever)[:wide]):
            row.append(each[movable])
            column.append(wide * part + k)
            value.append(sign * along)
    many = wide * parts
    row.append(each)
    column.append(many + pair)
    value.append(np.full(rows, -1.0))
    matrix = coo_array(
        (np.concatenate(value), (np.concatenate(row), np.concatenate(column))), shape=(rows, many + len(pairs))
    ).tocsr()
    cost = np.concatenate([np.zeros(many), np.ones(len(pairs))])
    low = np.concatenate([np.full(many, -reach_mm), np.zeros(len(pairs))])
    high = np.concatenate([np.full(many, reach_mm), np.full(len(pairs), np.inf)])
    solved = linprog(
        cost,
        A_ub=matrix,
        b_ub=-at[:, 6] - OVER_MM,
        bounds=np.column_stack([low, high]),
        method="highs",
        options={"time_limit": max(left_s, SHORTEST_S)},
    )
    if solved.x is None or solved.status != 0:
        return None
    moves = np.asarray(solved.x)[:many].reshape(parts, wide)
    poses = floor.pose[:parts].copy()
    poses[:, :2] += moves[:, :2]
    if wide == 3:
        poses[:, 2] += moves[:, 2] / radius
    return poses
