"""Worn seats: the radius before wear, how deep the wear is, and from where to where along the axis.

Nobody says which seat is worn. The axis comes from surface that agrees with its coaxial neighbours, never from the seat
alone: one-sided wear and a shifted centre look the same. About that axis the surface is averaged over cells larger than
the noise's own correlation. Unworn cells scatter about one level; worn cells lie below it, never above. So the level is
the upper edge of a mixture, not the mean (too low by half the wear) and not the maximum (too high by the noise).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.wear.built_up import built_up, proud_patch
from steadyrest.part.wear.seat_cells import (
    COARSE,
    DRIFT,
    FINE,
    Cells,
    Seat,
    beside,
    cells_of,
    evened_out,
    lasting,
    location,
)
from steadyrest.part.wear.seat_shapes import DEEP, shallow_wear

FloatArray = npt.NDArray[np.float64]

CLEAR = 3.0  # sigmas of a cell below the level from which it counts as worn
EVEN = 1.3  # times what noise alone scatters: a seat as even as that needs no closer look
EVEN_SHIFTED = 1.15  # the same, once a shift is taken out
LEAST_DEPTH = 1.6  # sigmas of a point: shallower is left to larger cells
LEAST_DEPTH_MM = 0.03  # shallower is drift or film
LEAST_SPREAD_MM = 0.06  # wear over most of a seat shows only in means so wide that drift shows too
FEWEST_CELLS = 24
FEWEST_UNWORN = 6  # cells that border on no wear
LIKELY_WORN = 0.93  # odds of a shape of wear from which it is taken for there
LEAST_SHAPE_MM, LEAST_SHAPE_NOISES = 0.04, 1.0  # shallower is drift, film, or an oval; or the noise's own
SHAPE = 400  # most cells in which a shape is looked for
OF_A_DEPTH, OF_A_LONE_DEPTH = 0.04, 0.1  # of wear that was taken out, how much may be wrong; alone its axis may err too
OF_A_REPAIR = 0.05  # of what stands proud may hide in the rest
SHIFTED_MM = 0.1  # a scan bends by this much at most between a seat and the axis of the whole; judgement
FAR_ASTRAY = 2.5  # sigmas of the axis' place: a seat that seems to lie farther beside it is worn on one side
OF_A_SHIFT = 0.2  # of a shift may have been wear on one side after all


@dataclass(frozen=True, slots=True)
class Unworn:
    """radius_mm: before wear. u_mm: 1 sigma. depth_mm: 95th percentile of the wear; 0 none, None cannot be judged.

    along_mm: worn stretch. share: of the seat that is worn. proud_mm: how far an earlier repair stands above the seat,
    0 for none; proud_along_mm: its stretch. below_mm, u_below_mm: the radius if what stands high was built up smoothly,
    and the rest is not worn; None where nothing says so.
    """

    radius_mm: float
    u_mm: float
    depth_mm: float | None
    along_mm: tuple[float, float] | None = None
    share: float = 0.0
    proud_mm: float = 0.0
    proud_along_mm: tuple[float, float] | None = None
    below_mm: float | None = None
    u_below_mm: float = 0.0


def unworn(seat: Seat) -> Unworn:
    """The radius of a seat before wear, and its wear.

    Args:
        seat: its points about an axis that wear did not move.
    Returns: radius, uncertainty, wear. Outside the wear the answer is the plain level; a seat of too few cells cannot
        be judged (depth None).
    Source: own; checked in tests/part/test_worn.py against a forward model that shares nothing with it.
    """
    cells = cells_of(seat, FINE)
    plain = float(np.median(seat.radius))
    if len(cells.level) < FEWEST_CELLS:
        return Unworn(plain, _least_u(seat, cells, len(cells.level)), None)
    repair = built_up(cells)
    if repair is not None:
        u = _least_u(seat, cells, int(repair.rest.sum()), mean_direction=_lopsided(cells.angle[repair.rest]))
        u = float(np.hypot(u, OF_A_REPAIR * repair.proud_mm))
        return Unworn(seat.sign * repair.level_mm, u, 0.0, proud_mm=repair.proud_mm, proud_along_mm=repair.along_mm)
    found = _worn_or_sound(seat, cells)
    return _or_built_up(seat, cells, found) if found.depth_mm else found


def _worn_or_sound(seat: Seat, cells: Cells) -> Unworn:
    """Radius and wear of a seat on which nothing rough stands proud. cells: of it, small ones."""
    shifted = _only_shifted(seat, cells)
    if shifted is not None:
        return _shaped(seat, shifted)
    # Small cells show where deep wear begins; large ones are calm enough to show wear no deeper than the noise.
    for many in (FINE, COARSE):
        judged = cells if many == FINE else cells_of(seat, many)
        found = _with_wear(seat, judged, least_mm=LEAST_DEPTH * seat.noise_mm if many == FINE else LEAST_DEPTH_MM)
        if found is not None:
            return found
    if _uneven(cells):
        found = _with_wear(seat, evened_out(seat, cells), least_mm=LEAST_SPREAD_MM)
        if found is not None:
            return found
    return _shaped(seat, Unworn(seat.sign * location(cells), _least_u(seat, cells, len(cells.level)), 0.0))


def _or_built_up(seat: Seat, cells: Cells, worn: Unworn) -> Unworn:
    """What was taken for wear, with the level below where a smooth patch on a sound seat explains it as well.

    Alone, the seat's own axis is bent to its wear: then a worn round looks as even as a sound one.
    """
    patch = proud_patch(cells) if not seat.lone else None
    if patch is None:
        return worn
    u = _least_u(seat, cells, int(patch.rest.sum()), mean_direction=_lopsided(cells.angle[patch.rest]))
    u = float(np.hypot(u, OF_A_REPAIR * patch.proud_mm))
    return replace(worn, below_mm=seat.sign * patch.level_mm, u_below_mm=u)


def _shaped(seat: Seat, plain: Unworn) -> Unworn:
    """An answer that found no wear, with what shapes of wear say: wear that no cell shows but all together do.

    Where such wear is next to certain the level is that before it; else the doubt widens what was said.
    """
    cells = cells_of(seat, SHAPE)
    shape = shallow_wear(seat, cells)
    if shape is None:
        return plain
    if shape.odds > LIKELY_WORN and shape.depth_mm > max(LEAST_SHAPE_MM, LEAST_SHAPE_NOISES * seat.noise_mm):
        deep = shape.worn > DEEP
        where = (float(cells.along[deep].min()), float(cells.along[deep].max()))
        doubt = (1 - shape.odds) * (shape.level_mm - shape.sound_mm) ** 2
        u = float(np.sqrt(shape.u_mm**2 + doubt))
        return Unworn(seat.sign * shape.level_mm, u, shape.depth_mm, where, float(deep.mean()))
    doubt = min(shape.odds, LIKELY_WORN) * (shape.level_mm - shape.sound_mm) ** 2
    return replace(plain, u_mm=float(np.sqrt(plain.u_mm**2 + doubt)))


def _only_shifted(seat: Seat, cells: Cells) -> Unworn | None:
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
    if not cells.sigma_mm / np.sqrt(len(level)) * CLEAR < shift < min(SHIFTED_MM, FAR_ASTRAY * seat.astray_mm):
        return None
    if float(np.sqrt(np.mean(np.square(off)))) > EVEN_SHIFTED * cells.sigma_mm:
        return None
    if lasting(-off > CLEAR * cells.sigma_mm, cells, len(level)).any():
        return None
    u = float(np.hypot(_least_u(seat, cells, len(level)), OF_A_SHIFT * shift))
    return Unworn(seat.sign * float(found[0]), u, 0.0)


def _with_wear(seat: Seat, cells: Cells, *, least_mm: float) -> Unworn | None:
    """Level and wear as cells of one size show them; None where they show none deeper than the least."""
    if len(cells.level) < FEWEST_CELLS:
        return None
    middle = location(cells)
    even = float(np.sqrt(np.mean(np.square(cells.level - middle)))) < EVEN * cells.sigma_mm
    if even and not lasting(middle - cells.level > CLEAR * cells.sigma_mm, cells, len(cells.level)).any():
        return None
    level, scatter = _upper_edge(cells)
    deficit = level - cells.level
    worn = lasting(deficit > max(CLEAR * max(scatter, cells.sigma_mm), 0.5 * least_mm), cells, len(cells.level))
    if not worn.any():
        return None
    good = ~worn & (np.abs(deficit) < 2.5 * max(scatter, cells.sigma_mm))
    # The edge of a mixture lies a little high: it takes the brow of the wear for more wear, and a small rest's noise
    # for its level. What borders on wear is worn a little too; the rest beyond tells the level without either.
    beyond = good & ~beside(worn, cells)
    if np.count_nonzero(beyond) >= FEWEST_UNWORN:
        level = float(cells.level[beyond].mean())
        deficit, good = level - cells.level, beyond
    depth = float(np.quantile(_evened(deficit, worn, cells)[worn], 0.95))
    if depth < max(least_mm, 4 * cells.sigma_mm if least_mm != LEAST_DEPTH * seat.noise_mm else 0.0):
        return None
    u = _least_u(seat, cells, int(good.sum()), mean_direction=_lopsided(cells.angle[good]))
    u = float(np.hypot(u, (OF_A_LONE_DEPTH if seat.lone else OF_A_DEPTH) * depth))
    where = (float(cells.along[worn].min()), float(cells.along[worn].max()))
    return Unworn(seat.sign * level, u, depth, where, float(worn.mean()))


def _uneven(cells: Cells) -> bool:
    """Whether cells scatter more than noise could, though none of them stands out: by three standard errors."""
    scatter = float(np.sqrt(np.mean(np.square(cells.level - location(cells)))))
    return scatter > (1 + 3 / np.sqrt(2 * len(cells.level))) * cells.sigma_mm


def _upper_edge(cells: Cells) -> tuple[float, float]:
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


def _evened(deficit: FloatArray, worn: npt.NDArray[np.bool_], cells: Cells) -> FloatArray:
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


def _least_u(seat: Seat, cells: Cells, good: int, mean_direction: float = 0.0) -> float:
    """One sigma of a level: scatter of the good cells, the axis' error on the side that is left, and drift."""
    scatter = cells.sigma_mm / np.sqrt(max(good, 1))
    axis = 0.12 * seat.noise_mm * mean_direction
    return float(np.sqrt(scatter**2 + axis**2 + (DRIFT * seat.noise_mm) ** 2))
