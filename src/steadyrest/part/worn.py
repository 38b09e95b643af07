"""Worn seats: the radius before wear, how deep the wear is, and from where to where along the axis.

Nobody says which seat is worn. The axis comes from surface that agrees with its coaxial neighbours, never from the seat
alone: one-sided wear and a shifted centre look the same. About that axis the surface is averaged over cells larger than
the noise's own correlation. Unworn cells scatter about one level; worn cells lie below it, never above. So the level is
the upper edge of a mixture, not the mean (too low by half the wear) and not the maximum (too high by the noise).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

CLEAR = 3.0  # sigmas of a cell below the level from which it counts as worn
EVEN = 1.3  # times what noise alone scatters: a seat as even as that needs no closer look
EVEN_SHIFTED = 1.15  # the same, once a shift is taken out
LEAST_DEPTH = 1.6  # sigmas of a point: shallower is left to larger cells
LEAST_DEPTH_MM = 0.03  # shallower is drift or film
LEAST_SPREAD_MM = 0.06  # wear over most of a seat shows only in means so wide that drift shows too
NEIGHBOURLY = 1.4  # cells two correlation lengths wide still share a little with their neighbours
BESIDE = 5  # of nine cells that a wide mean must have
LEAST_SHARE = 0.008  # of the seat's cells
FEWEST_CELLS = 24
FINE, COARSE = 2500, 200  # most cells
DRIFT = 0.12  # of the noise: what no averaging takes away
OF_A_DEPTH, OF_A_LONE_DEPTH = 0.04, 0.1  # of wear that was taken out, how much may be wrong; alone its axis may err too
SHIFTED_MM = 0.1  # a scan bends by this much at most between a seat and the axis of the whole; judgement
OF_A_SHIFT = 0.2  # of a shift may have been wear on one side after all


@dataclass(frozen=True, slots=True)
class Seat:
    """A round stretch seen from its axis, flattened.

    angle: (n,) rad. along: (n,) mm. radius: (n,) mm. sign: +1 shaft, -1 bore.
    noise_mm, correlation_mm: of the scan. lone: no other stretch helps to place the axis.
    """

    angle: FloatArray
    along: FloatArray
    radius: FloatArray
    sign: int
    noise_mm: float
    correlation_mm: float
    lone: bool = False


@dataclass(frozen=True, slots=True)
class Unworn:
    """radius_mm: before wear. u_mm: 1 sigma. depth_mm: 95th percentile of the wear; 0 none, None cannot be judged.

    along_mm: worn stretch. share: of the seat that is worn.
    """

    radius_mm: float
    u_mm: float
    depth_mm: float | None
    along_mm: tuple[float, float] | None = None
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class _Cells:
    """Means over a grid of angle and length. row, column: where. sigma_mm: scatter of an unworn cell's mean."""

    level: FloatArray
    angle: FloatArray
    along: FloatArray
    row: IntArray
    column: IntArray
    columns: int
    sigma_mm: float


def unworn(seat: Seat) -> Unworn:
    """The radius of a seat before wear, and its wear.

    Args:
        seat: its points about an axis that wear did not move.
    Returns: radius, uncertainty, wear. Outside the wear the answer is the plain level; a seat of too few cells cannot
        be judged (depth None).
    Source: own; checked in tests/part/test_worn.py against a forward model that shares nothing with it.
    """
    cells = _cells(seat, FINE)
    plain = float(np.median(seat.radius))
    if len(cells.level) < FEWEST_CELLS:
        return Unworn(plain, _least_u(seat, cells, len(cells.level)), None)
    shifted = _only_shifted(seat, cells)
    if shifted is not None:
        return shifted
    # Small cells show where deep wear begins; large ones are calm enough to show wear no deeper than the noise.
    for many in (FINE, COARSE):
        judged = cells if many == FINE else _cells(seat, many)
        found = _with_wear(seat, judged, least_mm=LEAST_DEPTH * seat.noise_mm if many == FINE else LEAST_DEPTH_MM)
        if found is not None:
            return found
    if _uneven(cells):
        found = _with_wear(seat, _evened_out(seat, cells), least_mm=LEAST_SPREAD_MM)
        if found is not None:
            return found
    return Unworn(seat.sign * _location(cells), _least_u(seat, cells, len(cells.level)), 0.0)


def _only_shifted(seat: Seat, cells: _Cells) -> Unworn | None:
    """An unworn seat a little beside the axis, which a scan's drift does to it; None where that does not explain it.

    A shifted seat rises on one side by what it falls on the other. One-sided wear falls and does not rise: with its
    first harmonic taken out, it still leaves a fifth of its depth.
    """
    level, weights = cells.level, np.ones(len(cells.level))
    left = np.stack((np.ones_like(level), np.cos(cells.angle), np.sin(cells.angle)), axis=1)
    found, off = np.zeros(3), level
    for _ in range(5):
        found = np.linalg.lstsq(left * weights[:, None], level * weights, rcond=None)[0]
        off = level - left @ found
        weights = (np.abs(off) < CLEAR * max(cells.sigma_mm, 1.4826 * float(np.median(np.abs(off))))).astype(np.float64)
    shift = float(np.hypot(found[1], found[2]))
    if not cells.sigma_mm / np.sqrt(len(level)) * CLEAR < shift < SHIFTED_MM:
        return None
    if float(np.sqrt(np.mean(np.square(off)))) > EVEN_SHIFTED * cells.sigma_mm:
        return None
    if _lasting(-off > CLEAR * cells.sigma_mm, cells, len(level)).any():
        return None
    u = float(np.hypot(_least_u(seat, cells, len(level)), OF_A_SHIFT * shift))
    return Unworn(seat.sign * float(found[0]), u, 0.0)


def _with_wear(seat: Seat, cells: _Cells, *, least_mm: float) -> Unworn | None:
    """Level and wear as cells of one size show them; None where they show none deeper than the least."""
    if len(cells.level) < FEWEST_CELLS:
        return None
    middle = _location(cells)
    even = float(np.sqrt(np.mean(np.square(cells.level - middle)))) < EVEN * cells.sigma_mm
    if even and not _lasting(middle - cells.level > CLEAR * cells.sigma_mm, cells, len(cells.level)).any():
        return None
    level, scatter = _upper_edge(cells)
    deficit = level - cells.level
    worn = _lasting(deficit > max(CLEAR * max(scatter, cells.sigma_mm), 0.5 * least_mm), cells, len(cells.level))
    if not worn.any():
        return None
    depth = float(np.quantile(_evened(deficit, worn, cells)[worn], 0.95))
    if depth < max(least_mm, 4 * cells.sigma_mm if least_mm != LEAST_DEPTH * seat.noise_mm else 0.0):
        return None
    good = ~worn & (np.abs(deficit) < 2.5 * max(scatter, cells.sigma_mm))
    u = _least_u(seat, cells, int(good.sum()), mean_direction=_lopsided(cells.angle[good]))
    u = float(np.hypot(u, (OF_A_LONE_DEPTH if seat.lone else OF_A_DEPTH) * depth))
    where = (float(cells.along[worn].min()), float(cells.along[worn].max()))
    return Unworn(seat.sign * level, u, depth, where, float(worn.mean()))


def _cells(seat: Seat, most: int) -> _Cells:
    """Means over cells at least twice as wide as the noise hangs together, at most so many of them."""
    low, high = float(seat.along.min()), float(seat.along.max())
    radius = float(np.median(seat.radius))
    girth = 2 * np.pi * radius
    size = max(2.2 * seat.correlation_mm, float(np.sqrt(girth * max(high - low, 1e-9) / most)))
    columns = max(12, round(girth / size))
    rows = max(1, round((high - low) / size))
    row = np.minimum(((seat.along - low) / max(high - low, 1e-9) * rows).astype(np.int64), rows - 1)
    column = ((seat.angle / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    key = row * columns + column
    count = np.bincount(key, minlength=rows * columns)
    full = count >= max(2.0, 0.3 * float(np.median(count[count > 0])))
    safe = np.maximum(count, 1)
    level = np.bincount(key, weights=seat.sign * seat.radius, minlength=rows * columns) / safe
    along = np.bincount(key, weights=seat.along, minlength=rows * columns) / safe
    angle = ((np.arange(rows * columns) % columns) + 0.5) / columns * 2 * np.pi - np.pi
    many = max(float(np.median(count[full])), 1.0) if full.any() else 1.0
    wide, long = girth / columns, max(high - low, 1e-9) / rows
    shared = max(_kept(wide, seat.correlation_mm) * _kept(long, seat.correlation_mm), 1.0 / many)
    sigma = seat.noise_mm * float(np.hypot(np.sqrt(shared), DRIFT))
    at = np.flatnonzero(full)
    return _Cells(level[at], angle[at], along[at], at // columns, at % columns, columns, sigma)


def _uneven(cells: _Cells) -> bool:
    """Whether cells scatter more than noise could, though none of them stands out: by three standard errors."""
    scatter = float(np.sqrt(np.mean(np.square(cells.level - _location(cells)))))
    return scatter > (1 + 3 / np.sqrt(2 * len(cells.level))) * cells.sigma_mm


def _evened_out(seat: Seat, cells: _Cells) -> _Cells:
    """Each cell the mean of itself and its neighbours: wear over most of a seat is too shallow for single ones."""
    rows = int(cells.row.max()) + 1
    total, count = np.zeros((rows + 2, cells.columns)), np.zeros((rows + 2, cells.columns))
    total[cells.row + 1, cells.column] = cells.level
    count[cells.row + 1, cells.column] = 1.0
    steps = [(r, c) for r in (-1, 0, 1) for c in (-1, 0, 1)]
    sums = np.sum([np.roll(total, step, axis=(0, 1)) for step in steps], axis=0)[cells.row + 1, cells.column]
    many = np.sum([np.roll(count, step, axis=(0, 1)) for step in steps], axis=0)[cells.row + 1, cells.column]
    drift = (DRIFT * seat.noise_mm) ** 2
    sigma = float(np.sqrt(max(cells.sigma_mm**2 - drift, 0.0) * NEIGHBOURLY / 9 + drift))
    full = many >= BESIDE
    return _Cells(
        (sums / np.maximum(many, 1.0))[full], cells.angle[full], cells.along[full], cells.row[full],
        cells.column[full], cells.columns, sigma,
    )  # fmt: skip


def _kept(width_mm: float, correlation_mm: float) -> float:
    """Share of the noise's variance that a mean over such a width keeps, correlated as exp(-d^2 / 2 L^2).

    Source: twice the integral of (a - x) exp(-x^2 / 2) from 0 to a, over a^2, with a = width / L.
    """
    a = width_mm / max(correlation_mm, 1e-9)
    if a < 1e-3:
        return 1.0
    return min(1.0, 2 * (a * math.sqrt(math.pi / 2) * math.erf(a / math.sqrt(2)) - 1 + math.exp(-a * a / 2)) / a**2)


def _upper_edge(cells: _Cells) -> tuple[float, float]:
    """Level and scatter of the unworn cells: normal about the level, mixed with wear spread evenly below it.

    Likelihood maximised over level, scatter and share of the wear; the scatter stays within what the noise allows.
    """
    from scipy.optimize import minimize
    from scipy.special import ndtr

    x = cells.level
    sigma = cells.sigma_mm
    low = float(np.quantile(x, 0.002))

    def surprise(p: FloatArray) -> float:
        m, s = p[0], sigma * np.exp(np.clip(p[1], -0.5, 0.9))
        share = 1 / (1 + np.exp(-np.clip(p[2], -6, 6)))
        depth = max(m - low, 2 * s)
        good = np.exp(-0.5 * ((x - m) / s) ** 2) / (s * 2.5066282746310002)
        bad = (ndtr((m - x) / s) - ndtr((m - depth - x) / s)) / depth
        away = 1e-4 / (depth + 20 * s)
        # A scatter beyond the noise is unlikely, not impossible: drift adds a little.
        return float(-np.sum(np.log((1 - share) * good + share * bad + away)) + 30 * p[1] ** 2 + 0.02 * p[2] ** 2)

    best = None
    for quantile in (0.5, 0.75, 0.93):
        start = np.array([float(np.quantile(x, quantile)), 0.1, -1.0])
        simplex = start + np.array([[0, 0, 0], [sigma, 0, 0], [0, 0.3, 0], [0, 0, 1.0]])
        found = minimize(
            surprise,
            start,
            method="Nelder-Mead",
            options={"initial_simplex": simplex, "xatol": 1e-4 * sigma, "maxiter": 300},
        )
        if best is None or found.fun < best.fun:
            best = found
    assert best is not None
    return float(best.x[0]), float(sigma * np.exp(np.clip(best.x[1], -0.5, 0.9)))


def _location(cells: _Cells) -> float:
    """Centre of an unworn seat's cells, the odd ones counted less."""
    level = float(np.median(cells.level))
    width = 5 * max(cells.sigma_mm, 1.4826 * float(np.median(np.abs(cells.level - level))), 1e-12)
    for _ in range(8):
        w = np.square(np.maximum(0.0, 1.0 - np.square((cells.level - level) / width)))
        level = float(w @ cells.level) / float(w.sum())
    return level


def _lasting(worn: npt.NDArray[np.bool_], cells: _Cells, total: int) -> npt.NDArray[np.bool_]:
    """Worn cells that hang together in patches large enough to be wear and not a dent or a stray point."""
    rows = int(cells.row.max()) + 1
    grid = np.full((rows, cells.columns), -1, dtype=np.int64)
    grid[cells.row[worn], cells.column[worn]] = np.flatnonzero(worn)
    out = np.zeros_like(worn)
    seen = np.zeros_like(worn)
    for seed in np.flatnonzero(worn):
        if seen[seed]:
            continue
        patch, stack = [int(seed)], [int(seed)]
        seen[seed] = True
        while stack:
            k = stack.pop()
            r, c = int(cells.row[k]), int(cells.column[k])
            for a, b in ((r - 1, c), (r + 1, c), (r, (c - 1) % cells.columns), (r, (c + 1) % cells.columns)):
                j = int(grid[a, b]) if 0 <= a < rows else -1
                if j >= 0 and not seen[j]:
                    seen[j] = True
                    patch.append(j)
                    stack.append(j)
        if len(patch) >= max(6.0, LEAST_SHARE * total):
            out[patch] = True
    return out


def _evened(deficit: FloatArray, worn: npt.NDArray[np.bool_], cells: _Cells) -> FloatArray:
    """Depths of worn cells averaged with their worn neighbours: a high percentile of single cells would add noise."""
    rows = int(cells.row.max()) + 1
    total, count = np.zeros((rows + 2, cells.columns)), np.zeros((rows + 2, cells.columns))
    total[cells.row[worn] + 1, cells.column[worn]] = deficit[worn]
    count[cells.row[worn] + 1, cells.column[worn]] = 1.0
    steps = [(r, c) for r in (-1, 0, 1) for c in (-1, 0, 1)]
    sums = np.sum([np.roll(total, step, axis=(0, 1)) for step in steps], axis=0)
    many = np.sum([np.roll(count, step, axis=(0, 1)) for step in steps], axis=0)
    at = (cells.row + 1, cells.column)
    return np.where(worn, sums[at] / np.maximum(many[at], 1.0), deficit)


def _lopsided(angle: FloatArray) -> float:
    """Length of the mean direction: 0 all round, 1 all on one side. So much of an axis' error becomes radius."""
    return float(np.hypot(np.cos(angle).mean(), np.sin(angle).mean())) if len(angle) else 1.0


def _least_u(seat: Seat, cells: _Cells, good: int, mean_direction: float = 0.0) -> float:
    """One sigma of a level: scatter of the good cells, the axis' error on the side that is left, and drift."""
    scatter = cells.sigma_mm / np.sqrt(max(good, 1))
    axis = 0.12 * seat.noise_mm * mean_direction
    return float(np.sqrt(scatter**2 + axis**2 + (0.12 * seat.noise_mm) ** 2))
