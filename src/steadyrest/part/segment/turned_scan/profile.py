"""The profile of a turned surface: which stretches of it are straight along the axis, tapered, or square to it.

Seen along the axis, the whole round of a stretch falls on one short piece of a curve, so that a hundred noisy points
make one good one. Per thin slice the *level* is taken from the upper part of the distribution (outward for a shaft,
inward for a bore: wear takes away, it does not add). The curve is then cut into the fewest straight pieces that explain
it, by dynamic programming.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

UPPER = 0.88  # share of a slice's points below its level
ROUND_COSTS, TAPER_COSTS, SKIP_COSTS = 16.0, 24.0, 6.0  # chi-square that a piece must save to be worth having


@dataclass(frozen=True, slots=True)
class Band:
    """One straight piece of the profile.

    sign: +1 outside, -1 bore. from_mm, to_mm: along the axis. radius_mm: at the middle. slope: radius by length.
    """

    sign: int
    from_mm: float
    to_mm: float
    radius_mm: float
    slope: float

    @property
    def middle_mm(self) -> float:
        return (self.from_mm + self.to_mm) / 2

    def radius_at(self, along: FloatArray) -> FloatArray:
        """(n,) radius of the piece's line at (n,) positions along."""
        return self.radius_mm + self.slope * (along - self.middle_mm)


@dataclass(frozen=True, slots=True)
class Rim:
    """Points in the axis' own coordinates.

    along, radius: (n,) mm. out, up: (n,) parts of the normal away from and along the axis. miss: (n,) part sideways.
    angle: (n,) rad.
    """

    along: FloatArray
    radius: FloatArray
    out: FloatArray
    up: FloatArray
    miss: FloatArray
    angle: FloatArray


def bands_of(rim: Rim, areas: FloatArray, *, noise_mm: float, slice_mm: float) -> list[Band]:
    """The straight pieces of a turned surface's profile, outside and inside.

    Args:
        rim: the points about the axis. areas: (n,) surface that each stands for.
        noise_mm: of one point, 1 sigma. slice_mm: width of a slice.
    Returns: round and tapered pieces, by side, then along the axis.
    """
    fine = (rim.miss < 0.3) & (np.abs(rim.out) > 0.45)
    found: list[Band] = []
    for sign in (1, -1):
        chosen = np.flatnonzero(fine & (np.sign(rim.out) == sign))
        if len(chosen) < 20:
            continue
        for chain in _chains(rim, areas, chosen, sign=sign, noise_mm=noise_mm, slice_mm=slice_mm):
            found += _pieces(chain, sign=sign, noise_mm=noise_mm, slice_mm=slice_mm)
    return found


def _chains(
    rim: Rim, areas: FloatArray, chosen: IntArray, *, sign: int, noise_mm: float, slice_mm: float
) -> list[FloatArray]:
    """Levels of successive slices that follow one another: rows (along, level, weight)."""
    along = rim.along[chosen]
    low = float(along.min())
    slices = ((along - low) / slice_mm).astype(np.int64)
    height = sign * rim.radius[chosen]
    order = np.lexsort((height, slices))
    gap = max(6 * noise_mm, 1.5 * slice_mm)
    rows = _levels(slices[order], along[order], height[order], areas[chosen][order], gap, noise_mm, slice_mm)
    rows = rows[rows[:, 3] > 0.12]
    open_chains: list[list[FloatArray]] = []
    done: list[list[FloatArray]] = []
    for row in rows:
        still: list[list[FloatArray]] = []
        best, nearest = None, max(8 * noise_mm, 1.2 * slice_mm)
        for chain in open_chains:
            if row[4] - chain[-1][4] > 3:
                done.append(chain)
                continue
            still.append(chain)
            step = abs(row[1] - chain[-1][1]) / (1 if row[4] == chain[-1][4] else row[4] - chain[-1][4])
            if row[4] > chain[-1][4] and step < 2.2 * nearest and (best is None or step < best[0]):
                best = (step, chain)
        if best is None:
            still.append([row])
        else:
            best[1].append(row)
        open_chains = still
    return [np.array(chain) for chain in (*done, *open_chains) if len(chain) >= 3]


def _pieces(chain: FloatArray, *, sign: int, noise_mm: float, slice_mm: float) -> list[Band]:
    along, level = chain[:, 0], chain[:, 1]
    weight = 1.0 / (noise_mm**2 + chain[:, 2] ** 2)
    starts, ends, kinds = _cut(along, level, weight, ROUND_COSTS, TAPER_COSTS, SKIP_COSTS)
    found: list[Band] = []
    for a, b, kind in zip(starts, ends, kinds, strict=True):
        x, y, w = along[a:b], level[a:b], weight[a:b]
        start, end = float(x[0]) - slice_mm / 2, float(x[-1]) + slice_mm / 2
        middle = (start + end) / 2
        slope = 0.0
        if kind == 2:
            mean = float(w @ x) / float(w.sum())
            slope = float((w * (x - mean)) @ y) / float((w * (x - mean)) @ (x - mean))
            if abs(slope) * (end - start) < max(4 * noise_mm, 0.0) and abs(slope) < 0.01:
                slope = 0.0  # drift of the scanner looks like a taper
        radius = float(w @ (y - slope * (x - middle))) / float(w.sum())
        found.append(Band(sign, start, end, sign * radius, sign * slope))
    return _joined(found, noise_mm=noise_mm, slice_mm=slice_mm)


def _joined(bands: list[Band], *, noise_mm: float, slice_mm: float) -> list[Band]:
    """Round neighbours of one level made one: a slice gone wrong had cut them."""
    out: list[Band] = []
    for band in bands:
        if out:
            last = out[-1]
            same = last.slope == 0 == band.slope and abs(last.radius_mm - band.radius_mm) < 1.5 * noise_mm
            if same and band.from_mm - last.to_mm < 3.5 * slice_mm:
                a, b = last.to_mm - last.from_mm, band.to_mm - band.from_mm
                radius = (a * last.radius_mm + b * band.radius_mm) / (a + b)
                out[-1] = Band(band.sign, last.from_mm, band.to_mm, radius, 0.0)
                continue
        out.append(band)
    return out


@njit(cache=True)
def _levels(  # pragma: no cover
    slices: IntArray,
    along: FloatArray,
    height: FloatArray,
    areas: FloatArray,
    gap: float,
    noise: float,
    slice_mm: float,
) -> FloatArray:
    """Rows (along, level, its error, share of the round covered, slice) for each cluster of heights in each slice."""
    n = len(slices)
    rows = np.empty((n, 5))
    count = 0
    i = 0
    while i < n:
        j = i + 1
        while j < n and slices[j] == slices[i] and height[j] - height[j - 1] < gap:
            j += 1
        many = j - i
        total, place = 0.0, 0.0
        for k in range(i, j):
            total += areas[k]
            place += along[k]
        at = i + int(UPPER * (many - 1) + 0.5)
        level = height[at]
        round_ = 2 * np.pi * abs(level) * slice_mm
        spread = height[i + int(0.97 * (many - 1))] - height[i + int(0.7 * (many - 1))]
        rows[count, 0] = place / many
        rows[count, 1] = level
        rows[count, 2] = max(spread - 1.4 * noise, 0.0) + 2.0 * noise / np.sqrt(many)
        rows[count, 3] = total / round_ if round_ > 0 else 0.0
        rows[count, 4] = slices[i]
        count += 1
        i = j
    return rows[:count]


@njit(cache=True)
def _cut(  # pragma: no cover
    x: FloatArray, y: FloatArray, w: FloatArray, round_costs: float, taper_costs: float, skip_costs: float
) -> tuple[IntArray, IntArray, IntArray]:
    n = len(x)
    s = np.zeros((6, n + 1))
    for i in range(n):
        s[0, i + 1] = s[0, i] + w[i]
        s[1, i + 1] = s[1, i] + w[i] * (x[i] - x[0])
        s[2, i + 1] = s[2, i] + w[i] * (x[i] - x[0]) ** 2
        s[3, i + 1] = s[3, i] + w[i] * (y[i] - y[0])
        s[4, i + 1] = s[4, i] + w[i] * (x[i] - x[0]) * (y[i] - y[0])
        s[5, i + 1] = s[5, i] + w[i] * (y[i] - y[0]) ** 2
    best = np.full(n + 1, np.inf)
    best[0] = 0.0
    came = np.zeros(n + 1, np.int64)
    how = np.zeros(n + 1, np.int64)
    for j in range(1, n + 1):
        best[j] = best[j - 1] + skip_costs
        came[j] = j - 1
        for i in range(j - 3, -1, -1):
            w0, w1, w2 = s[0, j] - s[0, i], s[1, j] - s[1, i], s[2, j] - s[2, i]
            y1, xy, yy = s[3, j] - s[3, i], s[4, j] - s[4, i], s[5, j] - s[5, i]
            flat = yy - y1 * y1 / w0
            if best[i] + flat + round_costs < best[j]:
                best[j] = best[i] + flat + round_costs
                came[j], how[j] = i, 1
            sxx, sxy = w2 - w1 * w1 / w0, xy - w1 * y1 / w0
            if sxx > 0:
                lean = flat - sxy * sxy / sxx
                if best[i] + lean + taper_costs < best[j]:
                    best[j] = best[i] + lean + taper_costs
                    came[j], how[j] = i, 2
    starts, ends, kinds = np.empty(n, np.int64), np.empty(n, np.int64), np.empty(n, np.int64)
    count, j = 0, n
    while j > 0:
        if how[j] > 0:
            starts[count], ends[count], kinds[count] = came[j], j, how[j]
            count += 1
        j = came[j]
    return starts[:count][::-1].copy(), ends[:count][::-1].copy(), kinds[:count][::-1].copy()
