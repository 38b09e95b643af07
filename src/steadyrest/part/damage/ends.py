"""The two ends of a turned part: faced, turned to another shape, left open by the scan, or broken.

A break is neither flat nor turned: what is left of it after its own mean over each ring is rough or leans.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.part.damage.turned_scan import FloatArray, Round, TurnedScan
from steadyrest.part.fit.solve import spread
from steadyrest.shop.figure import Reason, because

EndState = Literal["faced", "shaped", "open", "broken"]

FACING = 0.3  # part of the normal along the axis from which a point belongs to the end
FACED_SHARE = 0.4  # of the end's disc that lies at one height
OPEN_SHARE = 0.3  # of the end's disc or ring below which the end was not seen
DEEP = 1.6  # radii back from the tip that a break may reach
RINGS = 8


@dataclass(frozen=True, slots=True)
class End:
    """One end of a part.

    sign: -1 the first along the axis, +1 the last. at_mm: along the axis: the face's or the break's mean height, or the
    last ring that was seen all round. radius_mm, slope: of the stretch that runs into it, the slope away from the part.
    cap: indices of the points of the end's surface, empty where it is open. rough_mm: robust spread of its height about
    each ring's mean. lean_rad: of its mean plane against square. stretch: that stretch, or None.
    """

    sign: int
    state: EndState
    at_mm: float
    radius_mm: float
    slope: float
    stretch: Round | None
    cap: npt.NDArray[np.int64]
    rough_mm: float
    lean_rad: float
    why: tuple[Reason, ...]


def ends_of(scan: TurnedScan) -> tuple[End, End] | None:
    """Both ends, first and last along the axis.

    Args:
        scan: about its axis.
    Returns: the ends; None if no outside stretch was found.
    """
    if not scan.rounds:
        return None
    return _end(scan, -1), _end(scan, 1)


def _end(scan: TurnedScan, sign: int) -> End:
    last = max(scan.rounds, key=lambda r: max(sign * r.from_mm, sign * r.to_mm))
    edge = last.to_mm if sign > 0 else last.from_mm
    radius = last.radius_at(edge)
    ahead = sign * scan.along
    near = (ahead > float(ahead.max()) - DEEP * radius) & (scan.radius < 1.02 * radius)
    cap = np.flatnonzero(near & (sign * scan.up > FACING))
    hollow = _hollow(scan, sign, radius)
    share = float((scan.areas[cap] * sign * scan.up[cap]).sum()) / (np.pi * (radius**2 - hollow**2))
    if share < OPEN_SHARE:
        at = _last_whole_ring(scan, last, sign)
        why = because("damage.end_open", radius_mm=radius)
        return End(sign, "open", at, last.radius_at(at), sign * last.slope, last, cap[:0], 0.0, 0.0, (why,))
    height = ahead[cap]
    weight = scan.areas[cap] * sign * scan.up[cap]
    level, flat_share = _fullest_level(height, weight, 0.1 + 3 * scan.noise_mm)
    if flat_share > FACED_SHARE:
        at = sign * level
        return End(sign, "faced", at, last.radius_at(at), sign * last.slope, last, cap, 0.0, 0.0, ())
    left = _about_rings(height, scan.radius[cap], radius)
    rough = spread(left)
    at = sign * float(np.average(height, weights=weight))
    if rough < 4 * scan.noise_mm:
        why = because("damage.end_shaped", radius_mm=radius)
        return End(sign, "shaped", at, last.radius_at(at), sign * last.slope, last, cap, rough, 0.0, (why,))
    plane = np.stack((scan.x[cap], scan.y[cap], np.ones(len(cap))), axis=1)
    lean = np.linalg.lstsq(plane * weight[:, None], height * weight, rcond=None)[0]
    angle = float(np.arctan(np.hypot(lean[0], lean[1])))
    why = because("damage.end_broken", radius_mm=radius, lean_deg=float(np.degrees(angle)), rough_mm=round(rough, 2))
    return End(sign, "broken", at, last.radius_at(at), sign * last.slope, last, cap, rough, angle, (why,))


def _hollow(scan: TurnedScan, sign: int, radius: float) -> float:
    """Radius of the bore at an end, 0 if there is none."""
    ahead = sign * scan.along
    within = (ahead > float(ahead.max()) - DEEP * radius) & (scan.out < -0.9) & (scan.radius < 0.98 * radius)
    if float(scan.areas[within].sum()) < 0.1 * np.pi * radius**2:
        return 0.0
    return float(np.quantile(scan.radius[within], 0.9))


def _fullest_level(height: FloatArray, weight: FloatArray, width: float) -> tuple[float, float]:
    """The height at which most of the surface lies, and the share of it that does."""
    order = np.argsort(height)
    total = np.concatenate(([0.0], np.cumsum(weight[order])))
    upto = np.searchsorted(height[order], height[order] + width, side="right")
    held = total[upto] - total[:-1]
    best = int(np.argmax(held))
    return float(np.median(height[order][best : upto[best]])), float(held[best] / total[-1])


def _about_rings(height: FloatArray, radius: FloatArray, outermost: float) -> FloatArray:
    """Heights less the mean of their ring: nought for whatever was turned."""
    ring = np.minimum((radius / outermost * RINGS).astype(np.int64), RINGS)
    left = height.copy()
    for k in range(RINGS + 1):
        within = ring == k
        if within.sum() > 5:
            # Turned surface slopes within a ring: the line of the ring's own radius goes too.
            left[within] -= np.polyval(np.polyfit(radius[within], height[within], 1), radius[within])
        else:
            left[within] = 0.0
    return left


def _last_whole_ring(scan: TurnedScan, last: Round, sign: int) -> float:
    """The place nearest the end where the last stretch was still seen most of the way round."""
    width = 1.5 * scan.spacing_mm
    on = np.abs(scan.radius - last.radius_mm - last.slope * (scan.along - last.from_mm)) < 0.06 * last.radius_mm
    ahead = sign * scan.along[on]
    angle = np.arctan2(scan.y[on], scan.x[on])
    sector = ((angle / (2 * np.pi) + 0.5) * 24).astype(np.int64) % 24
    low, high = sorted((sign * last.from_mm, sign * last.to_mm))
    for place in np.arange(max(high, float(ahead.max())), low, -0.5 * scan.spacing_mm):
        within = (ahead > place - width) & (ahead <= place)
        if len(np.unique(sector[within])) >= 20:
            return sign * float(place - width)
    return sign * high
