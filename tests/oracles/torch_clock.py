"""How long a torch takes round an outline, from points alone: an independent clock for the plate station.

The outline is laid beside itself by half the kerf with a geometry library, as many short straights. At each point a
speed is allowed: at a corner (more than ten degrees in one point) what rounding it within the control's tolerance
allows; elsewhere what the acceleration allows on the circle through its neighbours. Then a slow march forwards and
backwards keeps to the acceleration, and each short straight is passed at its mean speed.
"""

from __future__ import annotations

import math
from itertools import pairwise

from shapely.geometry import Polygon

CORNER_RAD = math.radians(10.0)
STEP_MM = 0.25


def beside(points: list[tuple[float, float]], by_mm: float, *, inside: bool) -> list[tuple[float, float]]:
    """The closed line so far beside the outline: outwards, or inwards for a cut-out."""
    shape = Polygon(points).buffer(-by_mm if inside else by_mm, quad_segs=16)
    biggest = max(getattr(shape, "geoms", [shape]), key=lambda one: one.area)
    return list(biggest.exterior.coords)[:-1]


def fine(ring: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The same line with no straight longer than a step."""
    found: list[tuple[float, float]] = []
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        n = max(int(math.dist((x0, y0), (x1, y1)) / STEP_MM), 1)
        found += [(x0 + (x1 - x0) * k / n, y0 + (y1 - y0) * k / n) for k in range(n)]
    return found


def clock_s(
    points: list[tuple[float, float]], *, kerf_mm: float, inside: bool, feed_mm_min: float, accel: float, corner: float
) -> float:
    """From rest to rest round the outline, beginning on its longest straight."""
    ring = beside(points, kerf_mm / 2.0, inside=inside)
    ring = [p for p, q in zip(ring, [*ring[1:], ring[0]], strict=True) if math.dist(p, q) > 0.02]
    sides = [math.dist(p, q) for p, q in zip(ring, [*ring[1:], ring[0]], strict=True)]
    first = max(range(len(ring)), key=lambda k: sides[k])
    path = fine([*ring[first:], *ring[:first]])
    path.append(path[0])
    speed = feed_mm_min / 60.0
    allowed = [speed] * len(path)
    for k in range(1, len(path) - 1):
        allowed[k] = min(speed, _allowed(path, k, accel, corner))
    allowed[0] = allowed[-1] = 0.0
    lengths = [math.dist(p, q) for p, q in pairwise(path)]
    for k, length in enumerate(lengths):
        allowed[k + 1] = min(allowed[k + 1], math.sqrt(allowed[k] ** 2 + 2.0 * accel * length))
    for k in range(len(lengths) - 1, -1, -1):
        allowed[k] = min(allowed[k], math.sqrt(allowed[k + 1] ** 2 + 2.0 * accel * lengths[k]))
    return sum(2.0 * length / (allowed[k] + allowed[k + 1]) for k, length in enumerate(lengths))


def _allowed(path: list[tuple[float, float]], k: int, accel: float, corner: float) -> float:
    (ax, ay), (bx, by), (cx, cy) = path[k - 1], path[k], path[k + 1]
    turn = abs(math.atan2((bx - ax) * (cy - by) - (by - ay) * (cx - bx), (bx - ax) * (cx - bx) + (by - ay) * (cy - by)))
    if turn > CORNER_RAD:
        half = math.cos(turn / 2.0)
        return math.sqrt(accel * corner * half / (1.0 - half))
    if turn < 1e-6:
        return math.inf
    # The circle through the point and its neighbours: its radius is the mean straight over the turn.
    mean = 0.5 * (math.dist((ax, ay), (bx, by)) + math.dist((bx, by), (cx, cy)))
    return math.sqrt(accel * mean / turn)
