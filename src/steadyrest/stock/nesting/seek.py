"""Moving parts out of each other, compiled: each part that lacks looks for where it lacks least.

Places are tried near where the part stands, then flush with edges of plate and parts, and at random; the best few are
moved downhill a little, the best of these to the end. What goes on lacking counts more and more, so that no knot stays
as it is (guided local search).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyrest.compiled import loop, maker, put
from steadyrest.stock.nesting.descend import descend
from steadyrest.stock.nesting.feel import Forms, Room, Stand, Whole, lack_at, reckon, settle
from steadyrest.stock.nesting.field import Floats

BEST = 3
ON, BACK = 1.2, 0.55
HEAVIER, MUCH_HEAVIER, LIGHTER = 1.2, 2.0, 0.95
SMALL = 1e-9
SAME_RAD = 0.01
FLUSH = 0.6
MIX = np.uint64(0x9E3779B97F4A7C15)
MIX_1, MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
S30, S27, S31, S11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)

Luck = NDArray[np.uint64]


class Ways(NamedTuple):
    """How parts may be moved. base: (parts,) the unmirrored kind of each; turns: those allowed, rad; free: any turn;
    mirror: mirror images too; wide, near: how many places are tried; rough: steps downhill of each that is worth it,
    steps: of the best of them; fine: the least step, mm; enough: what two may lack to the grids, mm3.
    """

    base: Whole
    turns: Floats
    free: bool
    mirror: bool
    wide: int
    near: int
    rough: int
    steps: int
    fine: float
    enough: float


@loop()
def luck(rng: Luck) -> float:
    """The next number from 0 to below 1 (splitmix64: one word of state, the same on every machine)."""
    rng[0] += MIX
    z = rng[0]
    z = (z ^ (z >> S30)) * MIX_1
    z = (z ^ (z >> S27)) * MIX_2
    z = z ^ (z >> S31)
    return (z >> S11) * (1.0 / 9007199254740992.0)


@loop()
def below(rng: Luck, n: int) -> int:
    """A whole number from 0 to below n."""
    return min(int(luck(rng) * n), n - 1)


@loop()
def lean(
    forms: Forms, kind: int, e: int, turn: float, px: float, py: float, qx: float, qy: float, clear: float,
    how: float, pose: Floats,
) -> None:  # fmt: skip
    """The pose in which edge e, turned so, lies along p to q, clear of it to the left.

    how: 0 begins level with p, 1 ends level with q, -1 and 2 so much farther in as is kept clear.
    """
    edge = forms.edges[e]
    fx, fy = qx - px, qy - py
    length = max(math.hypot(fx, fy), SMALL)
    fx, fy = fx / length, fy / length
    c, s = math.cos(turn), math.sin(turn)
    ax, ay = c * edge[0] - s * edge[1], s * edge[0] + c * edge[1]
    mine = math.hypot(edge[2] - edge[0], edge[3] - edge[1])
    along = clear if how < 0 else (length - mine - clear if how > 1 else how * (length - mine))
    pose[0] = px - fy * clear + fx * along - ax
    pose[1] = py + fx * clear + fy * along - ay
    pose[2] = turn
    pose[3] = 1.0 if kind % 2 else 0.0


@loop(inner=True)
def _long_edge(forms: Forms, kind: int, rng: Luck) -> int:
    """One of a kind's edges: of three drawn, the longest."""
    low, high = forms.first[kind, 1], forms.first[kind + 1, 1]
    best, most = low, -1.0
    for _ in range(3):
        e = low + below(rng, high - low)
        length = (forms.edges[e, 2] - forms.edges[e, 0]) ** 2 + (forms.edges[e, 3] - forms.edges[e, 1]) ** 2
        if length > most:
            best, most = e, length
    return best


@loop(inner=True)
def _same_way(one: float, other: float) -> bool:
    off = one - other
    off -= 2 * math.pi * math.floor(off / (2 * math.pi) + 0.5)
    return abs(off) <= SAME_RAD


@loop(inner=True)
def flush_pose(
    forms: Forms, room: Room, stand: Stand, ways: Ways, rng: Luck, part: int, kind: int, pose: Floats
) -> bool:
    """A pose along an edge of the plate or of another part. Returns: whether one was found."""
    parts = len(stand.on)
    for _ in range(8):
        e = _long_edge(forms, kind, rng)
        turn = 0.0 if ways.free else ways.turns[below(rng, len(ways.turns))]
        way = forms.edges[e, 4] + turn
        draw = luck(rng)
        how = 0.0 if draw < 0.35 else (1.0 if draw < 0.7 else luck(rng))
        if luck(rng) < 0.25:
            n = len(room.edges)
            start = below(rng, n)
            for k in range(n):
                edge = room.edges[(start + k) % n]
                if ways.free:
                    turn = edge[4] - way
                elif not _same_way(way, edge[4]):
                    continue
                if draw < 0.2:
                    how = -1.0
                elif 0.35 <= draw < 0.55:
                    how = 2.0
                lean(forms, kind, e, turn, edge[0], edge[1], edge[2], edge[3], edge[5], how, pose)
                return True
            continue
        j = below(rng, parts)
        if j == part or not stand.on[j]:
            continue
        theirs = stand.kind[j]
        low, n = forms.first[theirs, 1], forms.first[theirs + 1, 1] - forms.first[theirs, 1]
        start = _long_edge(forms, theirs, rng) - low
        x, y, c, s = stand.pose[j, 0], stand.pose[j, 1], stand.spin[j, 0], stand.spin[j, 1]
        for k in range(n):
            edge = forms.edges[low + (start + k) % n]
            # Their inside is to the left of a to b: the room is to the left of b to a.
            back = edge[4] + stand.pose[j, 2] + math.pi
            if ways.free:
                turn = back - way
            elif not _same_way(way, back):
                continue
            px, py = x + c * edge[2] - s * edge[3], y + s * edge[2] + c * edge[3]
            qx, qy = x + c * edge[0] - s * edge[1], y + s * edge[0] + c * edge[1]
            lean(forms, kind, e, turn, px, py, qx, qy, room.gap, how, pose)
            return True
    return False


@loop()
def some_pose(forms: Forms, room: Room, stand: Stand, ways: Ways, rng: Luck, part: int, pose: Floats) -> int:
    """A pose flush with something, or anywhere in the room. Returns: the kind."""
    mirrored = 1.0 if ways.mirror and luck(rng) < 0.5 else 0.0
    kind = ways.base[part] + (1 if mirrored > 0 else 0)
    if luck(rng) < FLUSH and flush_pose(forms, room, stand, ways, rng, part, kind, pose):
        return kind
    turn = stand.pose[part, 2]
    if not ways.free:
        turn = ways.turns[below(rng, len(ways.turns))]
    elif luck(rng) < 0.7:
        turn = luck(rng) * 2 * math.pi
    c, s = math.cos(turn), math.sin(turn)
    x0 = y0 = 1e300
    x1 = y1 = -1e300
    for k in range(forms.first[kind, 1], forms.first[kind + 1, 1]):
        edge = forms.edges[k]
        x, y = c * edge[0] - s * edge[1], s * edge[0] + c * edge[1]
        x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
    pose[0] = room.box[0] - x0 + luck(rng) * (room.box[2] - x1 - room.box[0] + x0)
    pose[1] = room.box[1] - y0 + luck(rng) * (room.box[3] - y1 - room.box[1] + y0)
    pose[2], pose[3] = turn, mirrored
    return kind


@loop(inner=True)
def nearby(forms: Forms, ways: Ways, rng: Luck, part: int, pose: Floats, at: Floats) -> int:
    """A pose not far from another one, now and then turned. Returns: the kind."""
    size = float(forms.size[ways.base[part], 3])
    put(at, pose)
    at[0] += (luck(rng) + luck(rng) - 1) * size
    at[1] += (luck(rng) + luck(rng) - 1) * size
    if ways.free:
        at[2] += (luck(rng) + luck(rng) - 1) * 0.5
    elif luck(rng) < 0.3:
        at[2] = ways.turns[below(rng, len(ways.turns))]
    return ways.base[part] + (1 if at[3] > 0 else 0)


@maker()
def relocated(
    forms: Forms, room: Room, stand: Stand, ways: Ways, weights: Floats, rng: Luck,
    part: int, pose: Floats, value: float,
) -> float:  # fmt: skip
    """The best place that is found for a part: into the pose, its value returned. value: what the pose has now;
    infinite: it stands nowhere."""
    top, worth, at = np.empty((BEST + 1, 4)), np.empty(BEST + 1), np.empty(4)
    for k in range(BEST + 1):
        worth[k] = np.inf
    near = ways.near if value < np.inf else 0
    for n in range(near + ways.wide):
        # Near ones first: the better the best few, the sooner the others are given up.
        if n < near:
            kind = nearby(forms, ways, rng, part, pose, at)
        else:
            kind = some_pose(forms, room, stand, ways, rng, part, at)
        v = lack_at(forms, room, stand, weights, part, kind, at, worth[BEST - 1])
        if v >= worth[BEST - 1]:
            continue
        k = BEST - 1
        while k > 0 and worth[k - 1] > v:
            worth[k] = worth[k - 1]
            put(top[k], top[k - 1])
            k -= 1
        worth[k] = v
        put(top[k], at)
        if v <= 0:
            break
    if worth[0] > 0.0 and value < np.inf:
        # Where it stands is a beginning too.
        worth[BEST] = value
        put(top[BEST], pose)
    best = 0
    for n in range(BEST + 1):
        if worth[n] == np.inf:
            continue
        kind = ways.base[part] + (1 if top[n, 3] > 0 else 0)
        worth[n] = descend(forms, room, stand, weights, ways.free, part, kind, top[n], ways.rough, ways.fine)
        if worth[n] < worth[best]:
            best = n
    if worth[best] > 0.0 and worth[best] < np.inf:
        kind = ways.base[part] + (1 if top[best, 3] > 0 else 0)
        worth[best] = descend(forms, room, stand, weights, ways.free, part, kind, top[best], ways.steps, ways.fine)
    if worth[best] >= value:
        return value
    put(pose, top[best])
    return worth[best]


@loop(inner=True)
def heavier(ways: Ways, stand: Stand, weights: Floats, lacks: Floats) -> None:
    """What lacks weighs more from now on, by how much it lacks; what does not, less."""
    worst = SMALL
    parts = len(stand.on)
    for i in range(parts):
        for j in range(i + 1):
            worst = max(worst, lacks[i, j])
    for i in range(parts):
        for j in range(i + 1):
            if lacks[i, j] > ways.enough:
                w = weights[i, j] * (HEAVIER + (MUCH_HEAVIER - HEAVIER) * math.sqrt(lacks[i, j] / worst))
            else:
                w = max(1.0, weights[i, j] * LIGHTER)
            weights[i, j] = weights[j, i] = w


@loop(inner=True)
def most_of(row: Floats) -> float:
    """The greatest of a row without negative numbers."""
    most = 0.0
    for k in range(len(row)):
        most = max(most, row[k])
    return most


@maker()
def one_round(
    forms: Forms, room: Room, stand: Stand, ways: Ways, weights: Floats, lacks: Floats, rng: Luck,
    most: int,
) -> tuple[float, float]:  # fmt: skip
    """Each part that lacks something, at most so many, looks for a better place; then what still lacks weighs more.

    Returns: what all lack together, and the most that any two lack.
    """
    parts = len(stand.on)
    order = np.empty(parts, np.int64)
    count = 0
    for i in range(parts):
        if stand.on[i] and most_of(lacks[i]) > ways.enough:
            order[count] = i
            count += 1
    for k in range(count - 1, 0, -1):
        swap = below(rng, k + 1)
        order[k], order[swap] = order[swap], order[k]
    pose = np.empty(4)
    for k in range(min(count, most)):
        i = order[k]
        if most_of(lacks[i]) <= ways.enough:
            continue
        value = 0.0
        for j in range(parts):
            value += weights[i, j] * lacks[i, j]
        put(pose, stand.pose[i])
        if relocated(forms, room, stand, ways, weights, rng, i, pose, value) < value:
            settle(forms, stand, i, int(ways.base[i]), pose)
            reckon(forms, room, stand, lacks, i)
    total = worst = 0.0
    for i in range(parts):
        if stand.on[i]:
            for j in range(i + 1):
                worst = max(worst, lacks[i, j])
                total += lacks[i, j]
    heavier(ways, stand, weights, lacks)
    return total, worst
