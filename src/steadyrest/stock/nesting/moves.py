"""Moving parts out of each other, compiled: each part that lacks looks for where it lacks least.

Places are tried at random over the plate and near where the part stands; the best few are moved by ever smaller steps.
What goes on lacking counts more and more, so that no knot stays as it is (guided local search).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from steadyrest.stock.nesting.near import Bounds, Floats, Floor, Kinds, Whole, lack_at, lack_between, lack_inside, stand

BEST = 2
ON, BACK = 1.2, 0.55
HEAVIER, LIGHTER = 1.2, 0.95
SMALL = 1e-9
MIX = np.uint64(0x9E3779B97F4A7C15)
MIX_1, MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
S30, S27, S31, S11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)


class Ways(NamedTuple):
    """How parts may be moved.

    kind: (parts,) the kind of each, its mirror image being the next; turns: those allowed, rad; free: any turn;
    mirror: mirror images too; box: (4,) where parts may be, mm; pull: (2,) what a mm across x and y costs while parts
    are set down; wide, near: how many places are tried; fine: the least step, mm; enough: what may lack, mm.
    """

    kind: Whole
    turns: Floats
    free: bool
    mirror: bool
    box: Floats
    pull: Floats
    wide: int
    near: int
    fine: float
    enough: float


@njit(cache=True, nogil=True)
def luck(rng: NDArray[np.uint64]) -> float:
    """The next number from 0 to below 1 (splitmix64: one word of state, the same on every machine)."""
    rng[0] += MIX
    z = rng[0]
    z = (z ^ (z >> S30)) * MIX_1
    z = (z ^ (z >> S27)) * MIX_2
    z = z ^ (z >> S31)
    return (z >> S11) * (1.0 / 9007199254740992.0)


@njit(cache=True, nogil=True)
def put(kinds: Kinds, floor: Floor, ways: Ways, slot: int, part: int, pose: Floats) -> None:
    """The part in the slot at a pose; only shifted if it is turned that way already."""
    now = floor.pose[slot]
    kind = ways.kind[part] + (1 if pose[3] > 0 else 0)
    if floor.kind[slot] == kind and now[2] == pose[2]:
        dx, dy = pose[0] - now[0], pose[1] - now[1]
        whole = floor.whole[slot]
        whole[0] += dx
        whole[1] += dy
        whole[2] += dx
        whole[3] += dy
        for p in range(floor.piece_from[slot], floor.piece_to[slot]):
            box = floor.box[p]
            box[0] += dx
            box[1] += dy
            box[2] += dx
            box[3] += dy
            for k in range(floor.corner_from[p], floor.corner_from[p] + floor.corners[p]):
                floor.x[k] += dx
                floor.y[k] += dy
                floor.nd[k] += floor.nx[k] * dx + floor.ny[k] * dy
    else:
        stand(kinds, floor, slot, kind, pose[0], pose[1], math.cos(pose[2]), math.sin(pose[2]))
    now[0], now[1], now[2], now[3] = pose[0], pose[1], pose[2], pose[3]


@njit(cache=True, nogil=True)
def settle(kinds: Kinds, floor: Floor, ways: Ways, part: int, pose: Floats) -> None:
    """The part at a pose, reckoned anew: no rounding piles up."""
    kind = ways.kind[part] + (1 if pose[3] > 0 else 0)
    stand(kinds, floor, part, kind, pose[0], pose[1], math.cos(pose[2]), math.sin(pose[2]))
    floor.pose[part] = pose


@njit(cache=True, nogil=True)
def value_at(
    kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, weights: Floats, part: int, pose: Floats, limit: float
) -> float:
    """What the part lacks at a pose, weighted, with the pull; given up once above the limit."""
    parts = len(ways.kind)
    put(kinds, floor, ways, parts, part, pose)
    pulled = 0.0
    if ways.pull[0] != 0 or ways.pull[1] != 0:
        whole, pull = floor.whole[parts], ways.pull
        pulled = max(whole[0] * pull[0], whole[2] * pull[0]) + max(whole[1] * pull[1], whole[3] * pull[1])
    return pulled + lack_at(kinds, floor, bounds, weights, parts, part, parts, limit - pulled)


@njit(cache=True, nogil=True)
def some_pose(
    kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, rng: NDArray[np.uint64], part: int, pose: Floats
) -> None:
    """A pose at random: turned as is allowed, anywhere in the box."""
    parts = len(ways.kind)
    mirrored = 1.0 if ways.mirror and luck(rng) < 0.5 else 0.0
    kind = ways.kind[part] + (1 if mirrored > 0 else 0)
    how = luck(rng)
    turn = floor.pose[part, 2]
    if not ways.free:
        turn = ways.turns[min(int(luck(rng) * len(ways.turns)), len(ways.turns) - 1)]
    elif how < 0.75:
        low = kinds.corner_from[kinds.piece_from[kind]]
        high = kinds.corner_from[kinds.piece_from[kind + 1]]
        e = low + min(int(luck(rng) * (high - low)), high - low - 1)
        other = min(int(luck(rng) * parts), parts - 1)
        if how < 0.3 and other != part and floor.active[other]:
            a = floor.corner_from[floor.piece_from[other]]
            last = floor.piece_to[other] - 1
            b = floor.corner_from[last] + floor.corners[last]
            k = a + min(int(luck(rng) * (b - a)), b - a - 1)
            turn = math.atan2(-floor.ny[k], -floor.nx[k]) - math.atan2(kinds.ny[e], kinds.nx[e])
        else:
            lines = len(bounds.d)
            k = min(int(luck(rng) * lines), lines - 1)
            turn = math.atan2(bounds.ny[k], bounds.nx[k]) - math.atan2(kinds.ny[e], kinds.nx[e])
    elif how < 0.9:
        turn = luck(rng) * 2 * math.pi
    stand(kinds, floor, parts, kind, 0.0, 0.0, math.cos(turn), math.sin(turn))
    x0, y0, x1, y1 = floor.whole[parts]
    now = floor.pose[parts]
    now[0], now[1], now[2], now[3] = 0.0, 0.0, turn, mirrored
    pose[0] = ways.box[0] - x0 + luck(rng) * (ways.box[2] - x1 - ways.box[0] + x0)
    pose[1] = ways.box[1] - y0 + luck(rng) * (ways.box[3] - y1 - ways.box[1] + y0)
    pose[2], pose[3] = turn, mirrored


@njit(cache=True, nogil=True)
def refined(
    kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, weights: Floats, rng: NDArray[np.uint64],
    part: int, pose: Floats, value: float, step: float, least: float,
) -> float:  # fmt: skip
    """Move the pose by ever smaller steps to where less is lacking; its value then."""
    trial = np.empty(4)
    better = np.empty(4)
    reach = max(kinds.radius[ways.kind[part]], SMALL)
    pulled = ways.pull[0] != 0 or ways.pull[1] != 0
    while step >= least and (pulled or value > 0):
        angle = luck(rng)
        turning = ways.free and angle < 0.3
        dx = dy = dt = 0.0
        if turning:
            dt = step / reach
        elif angle < 0.7:
            if luck(rng) < 0.5:
                dx = step
            else:
                dy = step
        else:
            way = luck(rng) * 2 * math.pi
            dx, dy = step * math.cos(way), step * math.sin(way)
        found = value
        for side in (-1.0, 1.0):
            trial[0], trial[1] = pose[0] + side * dx, pose[1] + side * dy
            trial[2], trial[3] = pose[2] + side * dt, pose[3]
            v = value_at(kinds, floor, bounds, ways, weights, part, trial, found)
            if v < found:
                found = v
                better[:] = trial
        if found < value:
            value = found
            pose[:] = better
            step *= ON
        else:
            step *= BACK
    return value


@njit(cache=True, nogil=True)
def relocated(
    kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, weights: Floats, rng: NDArray[np.uint64],
    part: int, pose: Floats, value: float,
) -> float:  # fmt: skip
    """The best place that is found for a part: into the pose, its value returned. value: what the pose has now."""
    top = np.empty((BEST, 4))
    worth = np.full(BEST, np.inf)
    trial = np.empty(4)
    size = float(kinds.radius[ways.kind[part]])
    pulled = ways.pull[0] != 0 or ways.pull[1] != 0
    for n in range(ways.wide + ways.near):
        if n < ways.wide:
            some_pose(kinds, floor, bounds, ways, rng, part, trial)
        else:
            trial[:] = pose
            trial[0] += (luck(rng) + luck(rng) - 1) * size
            trial[1] += (luck(rng) + luck(rng) - 1) * size
            if ways.free:
                trial[2] += (luck(rng) + luck(rng) - 1) * 0.3
        v = value_at(kinds, floor, bounds, ways, weights, part, trial, worth[BEST - 1])
        if v >= worth[BEST - 1]:
            continue
        at = BEST - 1
        while at > 0 and worth[at - 1] > v:
            worth[at] = worth[at - 1]
            top[at] = top[at - 1]
            at -= 1
        worth[at] = v
        top[at] = trial
        if v <= 0 and not pulled:
            break
    best = -1
    for n in range(BEST):
        if worth[n] < np.inf:
            worth[n] = refined(
                kinds, floor, bounds, ways, weights, rng, part, top[n], worth[n], 0.15 * size, 0.01 * size
            )  # fmt: skip
            if best < 0 or worth[n] < worth[best]:
                best = n
    here = pose.copy()
    here_worth = value
    if here_worth < np.inf:
        here_worth = refined(
            kinds, floor, bounds, ways, weights, rng, part, here, value, 0.05 * size, 0.01 * size
        )  # fmt: skip
    if best >= 0 and worth[best] < here_worth:
        here[:] = top[best]
        here_worth = worth[best]
    if here_worth < np.inf:
        here_worth = refined(kinds, floor, bounds, ways, weights, rng, part, here, here_worth, 0.01 * size, ways.fine)
    if here_worth < value:
        pose[:] = here
        return here_worth
    return value


@njit(cache=True, nogil=True)
def reckon(kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, lacks: Floats, part: int) -> None:
    """What a part lacks, as it stands: its row and column of the matrix, the plate on the diagonal."""
    parts = len(ways.kind)
    lacks[part, part] = lack_inside(kinds, floor, bounds, part, parts, np.inf)
    x, y, reach = floor.pose[part, 0], floor.pose[part, 1], kinds.radius[floor.kind[part]] + bounds.gap
    for j in range(parts):
        if j == part:
            continue
        found = 0.0
        if floor.active[j] and floor.active[part]:
            dx, dy, r = floor.pose[j, 0] - x, floor.pose[j, 1] - y, reach + kinds.radius[floor.kind[j]]
            if dx * dx + dy * dy < r * r:
                found = lack_between(floor, part, j, bounds.gap, np.inf)
        lacks[part, j] = lacks[j, part] = found


@njit(cache=True, nogil=True)
def one_round(
    kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, weights: Floats, lacks: Floats, rng: NDArray[np.uint64],
    most: int,
) -> tuple[float, float]:  # fmt: skip
    """Each part that lacks something, at most so many, looks for a better place; then what still lacks weighs more.

    Returns: what all lack together, and the most that any two lack.
    """
    parts = len(ways.kind)
    order = np.empty(parts, np.int64)
    count = 0
    for i in range(parts):
        if floor.active[i] and lacks[i].max() > ways.enough:
            order[count] = i
            count += 1
    for k in range(count - 1, 0, -1):
        swap = min(int(luck(rng) * (k + 1)), k)
        order[k], order[swap] = order[swap], order[k]
    pose = np.empty(4)
    for k in range(min(count, most)):
        i = order[k]
        if lacks[i].max() <= ways.enough:
            continue
        value = 0.0
        for j in range(parts):
            value += weights[i, j] * lacks[i, j]
        pose[:] = floor.pose[i]
        if relocated(kinds, floor, bounds, ways, weights, rng, i, pose, value) < value:
            settle(kinds, floor, ways, i, pose)
            reckon(kinds, floor, bounds, ways, lacks, i)
    worst = total = 0.0
    for i in range(parts):
        if floor.active[i]:
            for j in range(i + 1):
                worst = max(worst, lacks[i, j])
                total += lacks[i, j]
    for i in range(parts):
        for j in range(i + 1):
            if lacks[i, j] > ways.enough:
                w = weights[i, j] * (HEAVIER + 0.8 * lacks[i, j] / worst)
            else:
                w = max(1.0, weights[i, j] * LIGHTER)
            weights[i, j] = weights[j, i] = w
    return total, worst


@njit(cache=True, nogil=True)
def set_down(
    kinds: Kinds, floor: Floor, bounds: Bounds, ways: Ways, weights: Floats, rng: NDArray[np.uint64], part: int
) -> float:
    """A first place for a part among those that stand already: lacking least, then as far along the pull as may be."""
    pose = floor.pose[part].copy()
    value = relocated(kinds, floor, bounds, ways, weights, rng, part, pose, np.inf)
    settle(kinds, floor, ways, part, pose)
    return value
