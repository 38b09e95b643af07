"""Two broken faces fitted to each other: by how much one is turned about the axis, and how far along it lies.

Both faces become heights over the plane square to the axis. For every turn the heights are compared where both were
seen; the turn with the least scatter wins, and the mean difference is the gap. How sure: by the scatter at all other
turns, counting only as many independent places as the break has hills.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from steadyrest.part.damage.ends import End
from steadyrest.part.damage.turned_scan import FloatArray, TurnedScan

TURNS = 720
SPOKES = 180
MOST_POINTS = 20_000  # of a break: more tell no more of hills that are millimetres wide
SEEN_LEAST = 0.4  # of the overlap of both faces that must be seen on both
SAME_TURN = np.radians(8.0)  # turns nearer than this to the best are the same answer
MATCH_LEAST = 0.7  # correlation of the heights from which two faces belong together
RELIEF_LEAST = 3.0  # sigmas of the scan's noise: a break as smooth as that fits at any turn
NEVER_CERTAIN = 0.01  # a match by heights alone rules out no crumbled rim and no false piece altogether
CLOSED = 0.03  # of the area that may touch before the rest does: crumbs and burrs


@dataclass(frozen=True, slots=True)
class Fit:
    """How one broken face lies on the other.

    turn_rad: about the first half's own axis. gap_mm: by how much the second's heights are raised to meet the first's.
    misfit_mm: spread of what is left. relief_mm: spread of the heights themselves. alike: correlation, below 1.
    hills_alike: the same with the lean of both faces taken off, None if nothing but noise is then left: two strangers
    may lean alike, but not have the same hills.
    odds: that this turn is the right one, if they belong together at all. u_turn_rad, u_gap_mm: one sigma.
    touch_mm: how much farther apart they are held by the highest places.
    """

    turn_rad: float
    gap_mm: float
    misfit_mm: float
    relief_mm: float
    alike: float
    hills_alike: float | None
    odds: float
    u_turn_rad: float
    u_gap_mm: float
    touch_mm: float


def fitted(first: TurnedScan, one: End, second: TurnedScan, other: End) -> Fit | None:
    """The turn and gap at which two broken faces match best.

    Args:
        first, one: the half that stays, and its broken end. second, other: the half that is laid on it.
    Returns: the fit, good or bad; None where too little of a break was seen or it is too smooth.
    """
    from scipy.interpolate import LinearNDInterpolator

    if not len(one.cap) or not len(other.cap):
        return None
    radius = min(one.radius_mm, other.radius_mm)
    noise = float(np.hypot(first.noise_mm, second.noise_mm))
    here, there = _plane(first, one), _plane(second, other, laid=True)
    lower = LinearNDInterpolator(here[:, :2], here[:, 2])
    upper = LinearNDInterpolator(there[:, :2], there[:, 2])
    rho, angle, share = _nodes(radius, max(first.spacing_mm, second.spacing_mm))
    below = lower(rho * np.cos(angle), rho * np.sin(angle))
    relief = float(np.nanstd(below))
    if np.isfinite(below).mean() < SEEN_LEAST or relief < RELIEF_LEAST * noise:
        return None

    def at(turn: float) -> tuple[float, float, FloatArray]:
        """Scatter, mean and the differences at a turn."""
        above = upper(rho * np.cos(angle - turn), rho * np.sin(angle - turn))
        off = below - above
        seen = np.isfinite(off)
        if seen.mean() < SEEN_LEAST:
            return np.inf, 0.0, off
        mean = float(np.average(off[seen], weights=share[seen]))
        return float(np.average((off[seen] - mean) ** 2, weights=share[seen])), mean, off - mean

    turns = np.arange(TURNS) / TURNS * 2 * np.pi
    coarse = _over_turns(below, upper, rho, share)
    if not np.isfinite(coarse).any():
        return None
    best = float(turns[int(np.nanargmin(coarse))])
    best, u_turn = _sharpened(at, best, noise)
    scatter, gap, off = at(best)
    hills = _hills(below, radius)
    seen = np.isfinite(off)
    return Fit(
        turn_rad=best % (2 * np.pi),
        gap_mm=gap,
        misfit_mm=float(np.sqrt(scatter)),
        relief_mm=relief,
        alike=1 - scatter / max(float(np.average((below[seen] - below[seen].mean()) ** 2, weights=share[seen])), 1e-12),
        hills_alike=_hills_alike(below, off, rho, angle, noise=noise),
        odds=_odds(coarse, turns, best, scatter, hills=hills, noise=noise),
        u_turn_rad=u_turn,
        u_gap_mm=float(np.hypot(np.sqrt(scatter / hills), 0.5 * noise)),
        touch_mm=max(float(np.quantile(off[seen], 1 - CLOSED)), 0.0),
    )


def _plane(scan: TurnedScan, end: End, *, laid: bool = False) -> FloatArray:
    """(k, 3) the end's surface: two directions square to the axis and the height along it, from the end's at_mm.

    The half that stays is seen with its break ahead; the one laid on it with its break behind, both right-handed.
    """
    ahead = end.sign * (-1 if laid else 1)
    some = end.cap[:: 1 + len(end.cap) // MOST_POINTS]
    height = ahead * (scan.along[some] - end.at_mm)
    return np.stack((scan.x[some], ahead * scan.y[some], height), axis=1)


def _nodes(radius: float, spacing: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Rings and spokes over the break, short of its crumbled rim; (r, s) radius, angle and area of each."""
    rings = int(np.clip(0.9 * radius / max(spacing, 1e-9), 6, 24))
    middles = (np.arange(rings) + 0.5) / rings * 0.92 * radius
    rho, angle = np.meshgrid(middles, np.arange(SPOKES) / SPOKES * 2 * np.pi, indexing="ij")
    return rho, angle, rho / rho.sum()


def _over_turns(
    below: FloatArray, upper: Callable[[FloatArray, FloatArray], FloatArray], rho: FloatArray, share: FloatArray
) -> FloatArray:
    """(TURNS,) scatter of the differences: the upper face is read on finer spokes once and shifted along them."""
    fine = np.arange(TURNS) / TURNS * 2 * np.pi
    ring = rho[:, :1]
    above = np.asarray(upper(ring * np.cos(fine), ring * np.sin(fine)))
    spokes = np.arange(SPOKES) * (TURNS // SPOKES)
    out = np.full(TURNS, np.inf)
    for k in range(TURNS):
        off = below - above[:, (spokes - k) % TURNS]
        seen = np.isfinite(off)
        if seen.mean() < SEEN_LEAST:
            continue
        w = share[seen] / share[seen].sum()
        mean = float(w @ off[seen])
        out[k] = float(w @ (off[seen] - mean) ** 2)
    return out


def _sharpened(
    at: Callable[[float], tuple[float, float, FloatArray]], start: float, noise: float
) -> tuple[float, float]:
    """The turn between the steps, by a parabola, and one sigma of it from how the scatter rises."""
    step = 2 * np.pi / TURNS
    near = start + np.linspace(-2 * step, 2 * step, 9)
    # The scatter is a parabola about its least: exact enough, and the same on every machine.
    bend, slope, _ = np.polyfit(near - start, [at(float(turn))[0] for turn in near], 2)
    best = start - float(np.clip(slope / (2 * bend), -2 * step, 2 * step)) if bend > 0 else start
    wide = 6 * step
    rise = (at(best + wide)[0] + at(best - wide)[0] - 2 * at(best)[0]) / wide**2
    # Scatter rises as its second slope times the turn squared: where it has risen by one share of itself is one sigma.
    floor = max(at(best)[0], noise**2)
    return best, float(np.sqrt(2 * floor / 30 / max(rise, 1e-12)))


def _hills_alike(
    below: FloatArray, off: FloatArray, rho: FloatArray, angle: FloatArray, *, noise: float
) -> float | None:
    """How alike two faces are once their lean is off; None if what is left of the first is noise."""
    seen = np.isfinite(off)
    plane = np.stack((rho * np.cos(angle), rho * np.sin(angle), np.ones_like(rho)), axis=-1)[seen]
    weight = np.sqrt(rho[seen])[:, None]

    def rest(heights: FloatArray) -> float:
        found = np.linalg.lstsq(plane * weight, heights * weight[:, 0], rcond=None)[0]
        return float(np.average((heights - plane @ found) ** 2, weights=rho[seen]))

    relief = rest(below[seen])
    return None if relief < (RELIEF_LEAST * noise) ** 2 else 1 - rest(off[seen]) / relief


def _hills(heights: FloatArray, radius: float) -> float:
    """How many independent places a break has: its area by the size of its hills, from how heights hang together.

    The lean of the whole break is taken off first: it is one fact, not many.
    """
    rings = heights.shape[0]
    ring = heights[int(0.7 * rings)]
    ring = ring[np.isfinite(ring)]
    if len(ring) < 24:
        return 3.0
    turn = np.arange(len(ring)) / len(ring) * 2 * np.pi
    wave = np.stack((np.ones_like(turn), np.cos(turn), np.sin(turn)), axis=1)
    left = ring - wave @ np.linalg.lstsq(wave, ring, rcond=None)[0]
    power = float(left @ left)
    if power <= 0:
        return 3.0
    for shift in range(1, len(ring) // 2):
        if float(left @ np.roll(left, shift)) < 0.5 * power:
            size = shift / len(ring) * 2 * np.pi * 0.7 * radius
            return float(np.clip(radius**2 / max(2 * size, 1e-9) ** 2, 3.0, 300.0))
    return 3.0


def _odds(coarse: FloatArray, turns: FloatArray, best: float, scatter: float, *, hills: float, noise: float) -> float:
    """That the best turn is the right one: likelihoods of all turns, the scatter of each taken as its own noise."""
    floor = noise**2
    weight = np.where(np.isfinite(coarse), (np.minimum(coarse, 1e6) + floor) / (scatter + floor), np.inf)
    likely = weight ** (-hills / 2)
    away = np.abs((turns - best + np.pi) % (2 * np.pi) - np.pi)
    same = away < SAME_TURN
    other = float(likely[~same].sum())
    own = max(float(likely[same].sum()), 1.0)
    return (1 - NEVER_CERTAIN) * own / (own + other)
