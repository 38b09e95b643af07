"""Wear too shallow for any one cell to show: its shape does, in all cells together.

What runs in a seat takes from one side, most in the middle; what runs on it all round leaves lands at the ends. Such a
shape is fitted together with all that is no wear: a seat beside the axis, leaning, oval, tapered, barrelled, each as
far as a scan does it. A shift rises on one side by what it falls on the other; one-sided wear only falls, so that a
fifth of its depth is left when its shift is taken out: hundreds of cells together tell that fifth from noise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.wear.seat_cells import Cells, Seat

FloatArray = npt.NDArray[np.float64]

SIDES = 24  # directions in which the worn side is looked for
ARCS_RAD = (1.75, 2.6, 3.5, 4.4, 5.3, 5.8)  # how far round the worn side reaches
FLAT = 2.0  # of a hollow's own form, cut off at the depth: what has run in long enough
LAND = (0.0, 0.12, 0.25, 0.4)  # share of the length left unworn at either end
MOST_LAND = 0.5  # of the length: what is left to shorter wear than that, single cells show
LEAST_WORN, DEEP = 0.15, 0.3  # of the cells must be worn by so much of the depth
LEAST_LAND = 0.1  # of the length that a band all round must leave in all
USUAL_MM, WORN_SHARE = 0.15, 0.3  # depth of wear, and how often a seat that shows none by its cells has some; judgement
TEMPER = 1.5  # chi-square counts so much less than it says: neighbouring cells are not quite their own
OF_A_DEPTH = 0.25  # of the depth may be wrong: no wear has just this shape, and the axis may have followed it
OVAL, BARREL, LEAN = 0.25, 0.3, 0.4  # of the noise, 1 sigma: what a scan's drift does to one seat; judgement


@dataclass(frozen=True, slots=True)
class Shape:
    """Wear by its shape. level_mm: outward of a shaft, before wear. u_mm: 1 sigma. depth_mm: at its deepest.

    odds: that there is such wear at all. sound_mm: the level, were there none. worn: (n,) share of the depth in each
    cell, of the shape that explains the seat best.
    """

    level_mm: float
    u_mm: float
    depth_mm: float
    odds: float
    sound_mm: float
    worn: FloatArray


def shallow_wear(seat: Seat, cells: Cells) -> Shape | None:
    """What shapes of wear say of a seat's cells, all together.

    Args:
        seat: whose. cells: of it, a few hundred.
    Returns: their mean, each counted by how well it explains the cells; None where no shape makes anything better.
    Source: own; generalised least squares with the scan's own faults as random effects; the odds by Bayes' rule over
        shapes and depths.
    """
    share = (cells.along - cells.along.min()) / max(float(np.ptp(cells.along)), 1e-9)
    sound, worth = _sound(seat, cells, share)
    shapes = _shapes(cells.angle, share, rows=int(cells.row.max()) + 1)
    if not len(shapes):
        return None
    k = sound.shape[1]
    q, upper = np.linalg.qr(np.concatenate((sound / cells.sigma_mm, np.diag(worth))))
    tall = np.concatenate((np.column_stack((cells.level, shapes.T)) / cells.sigma_mm, np.zeros((k, 1 + len(shapes)))))
    fitted = q.T @ tall
    left = tall - q @ fitted
    level = np.linalg.solve(upper, fitted)[0]  # what each would give as the level of a sound seat
    off, looks = left[:, 0], left[:, 1:]
    power = np.maximum(np.sum(np.square(looks), axis=0), 1e-12)
    depth = -(off @ looks) / power
    gain = np.where(depth > 0, np.square(depth) * power, 0.0)
    best = int(np.argmax(gain))
    if gain[best] <= 0:
        return None
    # Nobody knows the true shape: all that explain the cells nearly as well have a say.
    say = np.exp((gain - gain[best]) / (2 * TEMPER))
    # How much better the mean shape of a usual depth explains the cells than none does.
    known = 1 / np.sqrt(power) / USUAL_MM
    better = float(np.log(np.mean(say * np.minimum(1.0, known)))) + float(gain[best]) / (2 * TEMPER)
    odds = 1 / (1 + np.exp(-(better + np.log(WORN_SHARE / (1 - WORN_SHARE)))))
    say /= say.sum()
    levels = level[0] + depth * level[1:]
    mean, deep = float(say @ levels), float(say @ depth)
    own = np.linalg.inv(upper)[0]
    u = float(np.sqrt(say @ np.square(levels - mean) + own @ own + (OF_A_DEPTH * deep) ** 2))
    return Shape(mean, u, deep, float(odds), float(level[0]), shapes[best])


def _sound(seat: Seat, cells: Cells, share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(n, k) what a scan does to a sound seat, its level first; (k,) one over how much of each is usual."""
    a, z = cells.angle, 2 * share - 1
    one, cos, sin = np.ones_like(a), np.cos(a), np.sin(a)
    columns = (one, cos, sin, np.cos(2 * a), np.sin(2 * a), z, z * z - 1 / 3, z * cos, z * sin)
    noise = seat.noise_mm
    usual = (1e3, seat.astray_mm, seat.astray_mm, OVAL * noise, OVAL * noise, BARREL * noise, BARREL * noise,
             LEAN * noise, LEAN * noise)  # fmt: skip
    return np.stack(columns, axis=1), 1 / np.array(usual)


def _shapes(angle: FloatArray, share: FloatArray, *, rows: int) -> FloatArray:
    """(k, n) share of the depth in each cell: hollows on one side, and bands all round that leave lands."""
    lands = [(low, high) for low in LAND for high in LAND if low + high <= MOST_LAND] if rows >= 4 else [(0.0, 0.0)]
    windows = {lh: ((share >= lh[0]) & (share <= 1 - lh[1])).astype(np.float64) for lh in lands}
    out = [window for (low, high), window in windows.items() if low + high >= LEAST_LAND]
    for k in range(SIDES):
        turn = np.abs(np.angle(np.exp(1j * (angle - 2 * np.pi * k / SIDES))))
        for arc in ARCS_RAD:
            hollow = np.where(turn < arc / 2, np.cos(np.pi * turn / arc), 0.0)
            for run_in in (hollow, np.minimum(1.0, FLAT * hollow)):
                out += [run_in * window for window in windows.values()]
    shapes = np.array(out)
    return shapes[(shapes > DEEP).mean(axis=1) > LEAST_WORN]
