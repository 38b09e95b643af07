"""Surface that a scanner's program invented to close a hole: smoother than anything it really saw.

Two marks. A membrane hung from a rim passes through the middle of each point's neighbours, which a measured point
misses by the noise: point by point that says little, a few points together say it surely, right up to the rim. A fill
that bends on from the rim as a plate would is lifted off those middles, but evenly: that shows two rings inside it.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]
NearArray = npt.NDArray[np.int32]

TOO_SMOOTH = 0.3  # of the scan's usual fine roughness
CALMER = 0.8  # the calmer fifth of evenly noisy surface lies so far below its middle
LEAST_PLATE = 12  # points of an even fill
CALM = 0.12  # of the usual lift: how closely a membrane passes through its neighbours' middles; judgement
CAP = -4.0  # a point says no more against a membrane than that, in logs of the odds: a rim may be ragged
PULL = 1.0  # by which a neighbour speaks for a point, in logs of the odds: chance makes threads, a membrane is broad
SURE = 24.0  # logs of the odds that a patch of membrane must have: a dozen points at rest; chance has many places
ROUNDS = 12


def invented_points(skin: Skin) -> BoolArray:
    """Points of a scan that lie too smoothly to have been seen.

    Args:
        skin: the mesh made ready.
    Returns: (n,) true where a patch is a membrane, or its fine roughness below a third of the usual; all false if the
        scan has no roughness.
    """
    lift = lifts_of(skin.points, skin.normals, skin.start, skin.near)
    rough, held = fine_roughness(lift, skin.start, skin.near)
    seen = rough[~skin.rim]
    # Of what is not smooth outright, the calmer fifth: a thread is rough without noise, and must not set the scale.
    seen = seen[seen > 0.05 * np.median(seen)] if len(seen) else seen
    usual = float(np.quantile(seen, 0.2)) / CALMER if len(seen) else 0.0
    if usual < 5e-4 * skin.spacing_mm:
        return np.zeros(len(rough), dtype=np.bool_)
    smooth = (rough < TOO_SMOOTH * usual) & (held > 6)
    plate = lasting(smooth, np.ones(len(rough)), skin.start, skin.near, float(LEAST_PLATE))
    return plate | membranes(skin, lift, usual)


def membranes(skin: Skin, lift: FloatArray, usual_mm: float) -> BoolArray:
    """Points of patches that pass through their neighbours' middles as no measured surface would.

    Args:
        skin: the mesh made ready. lift: (n,) of each point over its neighbours' middle, mm. usual_mm: where seen.
    Returns: (n,).
    Source: a membrane at rest is harmonic: each point is the mean of its neighbours. Odds of two normal
        distributions, neighbours pulling at each other (Besag 1986, iterated conditional modes).
    """
    odds = np.log(1 / CALM) - 0.5 * np.square(lift / usual_mm) * (1 / CALM**2 - 1)
    odds = np.where(skin.rim, 0.0, np.maximum(odds, CAP))  # at an open edge the neighbours are all on one side
    return lasting(agreed(odds, skin.start, skin.near), odds, skin.start, skin.near, SURE)


@njit(cache=True)
def lifts_of(
    points: FloatArray, normals: FloatArray, start: IntArray, near: NearArray
) -> FloatArray:  # pragma: no cover
    """How far each point stands out of its neighbours' middle along its normal, mm."""
    n = len(points)
    out = np.zeros(n)
    for i in range(n):
        many = start[i + 1] - start[i]
        if many == 0:
            continue
        x, y, z = 0.0, 0.0, 0.0
        for k in range(start[i], start[i + 1]):
            x += points[near[k], 0]
            y += points[near[k], 1]
            z += points[near[k], 2]
        out[i] = (
            (points[i, 0] - x / many) * normals[i, 0]
            + (points[i, 1] - y / many) * normals[i, 1]
            + (points[i, 2] - z / many) * normals[i, 2]
        )
    return out


@njit(cache=True)
def fine_roughness(
    lift: FloatArray, start: IntArray, near: NearArray
) -> tuple[FloatArray, IntArray]:  # pragma: no cover
    """How far points stand out beyond what their neighbours do themselves: rms over two rings; and of how many."""
    n = len(lift)
    # Curvature lifts a whole neighbourhood alike: only the difference to the neighbours' own lift counts.
    fine = np.zeros(n)
    held = np.zeros(n, np.int64)
    for i in range(n):
        mean = 0.0
        many = start[i + 1] - start[i]
        if many == 0:
            continue
        for k in range(start[i], start[i + 1]):
            mean += lift[near[k]]
        fine[i] = (lift[i] - mean / many) ** 2
    rms = np.zeros(n)
    for i in range(n):
        total, many = fine[i], 1
        for k in range(start[i], start[i + 1]):
            j = near[k]
            for m in range(start[j], start[j + 1]):
                total += fine[near[m]]
                many += 1
        rms[i] = np.sqrt(total / many)
        held[i] = many
    return rms, held


@njit(cache=True)
def agreed(odds: FloatArray, start: IntArray, near: NearArray) -> BoolArray:  # pragma: no cover
    """Points whose own odds and whose neighbours speak for a membrane, asked again until none changes."""
    n = len(odds)
    marked = np.zeros(n, np.bool_)
    for i in range(n):
        total = odds[i]
        for k in range(start[i], start[i + 1]):
            total += odds[near[k]]
        marked[i] = total > 0
    for _ in range(ROUNDS):
        changed = False
        for i in range(n):
            total = odds[i]
            for k in range(start[i], start[i + 1]):
                total += PULL if marked[near[k]] else -PULL
            if (total > 0) != marked[i]:
                marked[i] = not marked[i]
                changed = True
        if not changed:
            break
    return marked


@njit(cache=True)
def lasting(  # pragma: no cover
    marked: BoolArray, worth: FloatArray, start: IntArray, near: NearArray, least: float
) -> BoolArray:
    """Marked points that hang together in patches worth at least so much."""
    n = len(marked)
    out = np.zeros(n, np.bool_)
    seen = np.zeros(n, np.bool_)
    queue = np.empty(n, np.int32)
    for seed in range(n):
        if seen[seed] or not marked[seed]:
            continue
        queue[0] = seed
        seen[seed] = True
        head, tail = 0, 1
        total = 0.0
        while head < tail:
            i = queue[head]
            head += 1
            total += worth[i]
            for k in range(start[i], start[i + 1]):
                j = near[k]
                if marked[j] and not seen[j]:
                    seen[j] = True
                    queue[tail] = j
                    tail += 1
        if total >= least:
            for p in range(tail):
                out[queue[p]] = True
    return out
