"""Whether a turned part is bent: the centres of its rings against one straight line.

A scan drifts along a part, and drift looks like a gentle bow. So there is a size below which nothing can be told: three
sigma of the rings' noise and of the drift together. Rings that are less round than the part's best are left out:
one-sided wear and a shifted centre look the same, but a bent part's rings stay round.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.part.damage.turned_scan import FloatArray, TurnedScan
from steadyrest.part.fit.solve import spread, tukey
from steadyrest.shop.figure import Figure, Reason, because

Verdict = Literal["bent", "straight", "cannot tell"]
Shape = Literal["kink", "bow", "wave"]

# One sigma of what a hand-held scan drifts over a part's length, mm and mm per mm: common practice, no source.
DRIFT_MM, DRIFT_PER_MM = 0.012, 2e-5
DRIFT_WAVE_MM = 200.0  # and over which length it comes and goes: common practice, no source
SEEN_ROUGHLY = 1.4  # drift told by a few waves along a part may be so many times larger
SIGMAS = 3.0
RINGS_MOST, RINGS_LEAST = 60, 6
SECTORS, SECTORS_LEAST = 16, 13
KEPT_LEAST = 0.85  # of a ring's points that must lie on its circle: a worn ring or one at a step has fewer
ROUND = 1.5  # times the scatter of the roundest quarter, up to which a ring is round
EXPLAINED = 0.7  # of the centres' scatter that a kink or a bow must explain
ODD = 5.0  # times the median distance from a smooth axis, from which a ring is odd
KINK_WINS = 0.6  # a kink is said where it leaves less than this of what a bow leaves


@dataclass(frozen=True, slots=True)
class Rings:
    """Centres of sections square to the axis.

    along, x, y: (k,) place and centre. u: (k,) one sigma of a centre, per direction. radius: (k,).
    oval: (k, 2) how far out of round, as the parts of two lobes.
    """

    along: FloatArray
    x: FloatArray
    y: FloatArray
    u: FloatArray
    radius: FloatArray
    oval: FloatArray


@dataclass(frozen=True, slots=True)
class Bend:
    """How straight a part is.

    runout: what a dial indicator would show between centres, twice the largest offset of the axis. u_mm: one sigma of
    it. at_mm: along the scan's axis, where the offset is largest. towards: unit direction of that offset, file's frame.
    shape: of the bent axis, None unless bent. cannot_tell_under: run-out below which bend and drift look alike.
    """

    verdict: Verdict
    runout: Figure
    u_mm: float
    at_mm: float
    towards: tuple[float, float, float]
    shape: Shape | None
    cannot_tell_under: Figure
    ask: Reason


def bend_of(scan: TurnedScan, drift_mm: float | None = None) -> Bend | None:
    """How straight a turned part is.

    Args:
        scan: about its axis.
        drift_mm: one sigma of the scan's slow error; a hand-held scan's usual one for its length by default.
    Returns: run-out with its doubts; None if too few rings were seen whole.
    """
    rings = rings_of(scan)
    if rings is None:
        return None
    length = float(rings.along[-1] - rings.along[0])
    drift = DRIFT_MM + DRIFT_PER_MM * length if drift_mm is None else drift_mm
    drift = max(drift, SEEN_ROUGHLY * _drift_seen(rings))
    noise = float(np.median(rings.u))
    rings = _without_odd(rings)
    offset, shape, explained = _offset(rings)
    away = np.hypot(offset[:, 0], offset[:, 1])
    k = int(np.argmax(away))
    largest = float(away[k])
    # The middle against the line through two ends: each of the three drifts by itself.
    u = 2 * float(np.sqrt(1.5)) * float(np.hypot(noise, drift))
    under = SIGMAS * u
    wander = _wander_off(rings)
    verdict: Verdict = "cannot tell"
    if 2 * max(largest, wander) < under:
        verdict = "straight"
    elif explained > EXPLAINED and 2 * largest >= under:
        verdict = "bent"
    else:
        largest = max(largest, wander)
    toward = offset[k, 0] * scan.u + offset[k, 1] * scan.v
    toward = toward / max(float(np.linalg.norm(toward)), 1e-12)
    at = float(rings.along[k])
    from_first = at - scan.reach_mm[0]
    limit = Figure(under, "mm", (because("damage.bend_floor", noise_um=1000 * noise, drift_um=1000 * drift),))
    said = {
        "bent": because("damage.bent", runout_mm=round(2 * largest, 3), at_mm=round(from_first, 1), u_mm=round(u, 3)),
        "straight": because("damage.straight", under_mm=round(under, 3)),
        "cannot tell": because("damage.bend_or_drift", runout_mm=round(2 * largest, 3)),
    }[verdict]
    shaped = (because("damage.kink"),) if shape == "kink" else (because("damage.bow"),)
    return Bend(
        verdict=verdict,
        runout=Figure(2 * largest, "mm", (said, *(shaped if verdict == "bent" else ()), *limit.why)),
        u_mm=u,
        at_mm=at,
        towards=(float(toward[0]), float(toward[1]), float(toward[2])),
        shape=shape if verdict == "bent" else None,
        cannot_tell_under=limit,
        ask=because("damage.ask_indicator"),
    )


def rings_of(scan: TurnedScan) -> Rings | None:
    """The centres of whole, unworn rings along a part.

    Args:
        scan: about its axis.
    Returns: the rings by place; None if fewer than six.
    """
    low, high = scan.reach_mm
    width = max((high - low) / RINGS_MOST, 3 * scan.spacing_mm)
    side = np.flatnonzero(scan.out > 0.9)
    place = ((scan.along[side] - low) / width).astype(np.int64)
    order = np.argsort(place, kind="stable")
    side, place = side[order], place[order]
    found = list[tuple[float, float, float, float, float, float, float, float]]()
    for members in np.split(side, np.flatnonzero(np.diff(place)) + 1):
        middle = float(np.median(scan.along[members]))
        if len(members) < 40 or _on_taper(scan, middle):
            continue
        ring = _circle(scan.x[members], scan.y[members])
        if ring is not None:
            found.append((middle, *ring, float(scan.areas[members].sum())))
    if len(found) < RINGS_LEAST:
        return None
    table = np.array(found)
    noise = float(np.quantile(table[:, 4], 0.25))
    table = table[table[:, 4] < ROUND * noise]
    if len(table) < RINGS_LEAST:
        return None
    # How points share their noise is not trusted: how neighbouring rings jump tells what a centre is worth.
    u = _jump(table[:, 1:3]) * np.sqrt(np.median(table[:, 7]) / table[:, 7])
    return Rings(table[:, 0], table[:, 1], table[:, 2], u, table[:, 3], table[:, 5:7])


def _jump(values: FloatArray) -> float:
    """One sigma of each of (k, 2) values about their smooth run: from second differences, which slow change leaves."""
    return max(spread((values[:-2] - 2 * values[1:-1] + values[2:]).ravel()) / 6**0.5, 1e-6)


def _on_taper(scan: TurnedScan, along: float) -> bool:
    return any(r.slope != 0 and r.from_mm <= along <= r.to_mm for r in scan.rounds)


def _circle(x: FloatArray, y: FloatArray) -> tuple[float, float, float, float, float, float] | None:
    """Centre, radius, scatter about it and the two parts of its oval; None if the ring is not whole."""
    cx, cy = float(np.median(x)), float(np.median(y))
    off = np.hypot(x - cx, y - cy)
    radius = float(np.median(off))
    off = off - radius
    for _ in range(12):
        dx, dy = x - cx, y - cy
        rho = np.maximum(np.hypot(dx, dy), 1e-9)
        w = tukey(rho - radius, max(5 * spread(off), 1e-6 * radius))
        slopes = np.stack((-dx / rho, -dy / rho, -np.ones_like(rho)), axis=1)
        normal = (slopes * w[:, None]).T @ slopes
        if np.linalg.cond(normal) > 1e8:
            return None
        change = -np.linalg.solve(normal, (slopes * w[:, None]).T @ (rho - radius))
        cx, cy, radius = cx + float(change[0]), cy + float(change[1]), radius + float(change[2])
        off = np.hypot(x - cx, y - cy) - radius
    on = np.abs(off) < 4 * spread(off)
    sector = ((np.arctan2(y[on] - cy, x[on] - cx) / (2 * np.pi) + 0.5) * SECTORS).astype(np.int64) % SECTORS
    if on.mean() < KEPT_LEAST or len(np.unique(sector)) < SECTORS_LEAST:
        return None
    twice = 2 * np.arctan2(y[on] - cy, x[on] - cx)
    lobes = np.stack((np.cos(twice), np.sin(twice)), axis=1)
    oval = np.linalg.solve(lobes.T @ lobes, lobes.T @ off[on])
    scatter = float(np.sqrt(np.mean((off[on] - lobes @ oval) ** 2)))
    return cx, cy, radius, scatter, float(oval[0]), float(oval[1])


def _offset(rings: Rings) -> tuple[FloatArray, Shape, float]:
    """(k, 2) smooth offset of the centres from the line through both ends, its shape, and the share it explains."""
    span = float(rings.along[-1] - rings.along[0])
    t = (rings.along - rings.along[0]) / span
    centres = np.stack((rings.x, rings.y), axis=1)
    weight = 1 / rings.u
    straight = np.stack((np.ones_like(t), t), axis=1)
    shapes: list[tuple[float, Shape, FloatArray]] = []
    left_straight = _left(straight, centres, weight)[0]
    left, model = _left(np.column_stack((straight, t * t)), centres, weight)
    shapes.append((left, "bow", model))
    kinks = [
        _left(np.column_stack((straight, np.maximum(t - at, 0.0))), centres, weight) for at in np.linspace(0.1, 0.9, 33)
    ]
    best = min(kinks, key=lambda one: one[0])
    if best[0] < KINK_WINS * left:
        shapes.append((best[0], "kink", best[1]))
    least, shape, model = min(shapes, key=lambda one: one[0])
    ends = model[0] + t[:, None] * (model[-1] - model[0])
    expected = 2 * len(t)  # chi-squared of noise alone
    explained = 1 - max(least - expected, 0.0) / max(left_straight - expected, 1e-9)
    return model - ends, shape, float(explained)


def _left(columns: FloatArray, centres: FloatArray, weight: npt.NDArray[np.float64]) -> tuple[float, FloatArray]:
    """Weighted squares left by a linear model of the centres, and the model's centres."""
    found = np.linalg.lstsq(columns * weight[:, None], centres * weight[:, None], rcond=None)[0]
    model = columns @ found
    return float((((centres - model) * weight[:, None]) ** 2).sum()), model


def _without_odd(rings: Rings) -> Rings:
    """The rings without a few that stand off from a smooth axis by themselves: lightly worn on one side, or dented."""
    span = rings.along[-1] - rings.along[0]
    t = (rings.along - rings.along[0]) / span
    centres = np.stack((rings.x, rings.y), axis=1)
    columns = t[:, None] ** np.arange(5)
    weight = 1 / rings.u
    off = np.zeros(len(t))
    for _ in range(8):
        left = centres - columns @ np.linalg.lstsq(columns * weight[:, None], centres * weight[:, None], rcond=None)[0]
        off = np.hypot(left[:, 0], left[:, 1])
        weight = tukey(off, ODD * max(float(np.median(off)), 1e-9)) / rings.u + 1e-9
    kept = off < ODD * max(float(np.median(off)), float(np.median(rings.u)))
    if kept.sum() < max(RINGS_LEAST, 0.6 * len(t)):
        return rings
    return Rings(rings.along[kept], rings.x[kept], rings.y[kept], rings.u[kept], rings.radius[kept], rings.oval[kept])


def _wander_off(rings: Rings) -> float:
    """Largest offset of the centres, five evened together, from the line through both ends, whatever its shape."""
    centres = np.stack((rings.x, rings.y), axis=1)
    even = np.stack([np.median(centres[max(k - 2, 0) : k + 3], axis=0) for k in range(len(centres))])
    t = (rings.along - rings.along[0]) / (rings.along[-1] - rings.along[0])
    off = even - even[0] - t[:, None] * (even[-1] - even[0])
    return float(np.hypot(off[:, 0], off[:, 1]).max())


def _drift_seen(rings: Rings) -> float:
    """Drift that shows in the rings themselves, one sigma: it makes them oval, as no bend does.

    A slow field of waves k with sigma s per direction gives a ring of radius R two oval parts of (R k s)^2 / 6 each.
    """
    oval = rings.oval / rings.radius[:, None]
    slow = float(np.mean(np.square(oval))) - _jump(oval) ** 2
    return float(np.sqrt(6 * max(slow, 0.0))) * DRIFT_WAVE_MM / (2 * np.pi)
