"""A run's path as few strokes: arcs as chords, snapped to a grid as fine as the drawing shows, each stroke once.

A million moves make a picture of a few thousand strokes. The grid grows until there are few enough; nothing is left out
that is farther than a grid's width from what is drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.program.run import FloatArray, Motion, Moves

IntArray = npt.NDArray[np.int64]
ARC_CW, ARC_CCW = int(Motion.ARC_CW), int(Motion.ARC_CCW)
GRID_MM = 0.12
MOST_STROKES = 9000
# First axis, second axis and the one along a helix, by plane.
AXES = np.array([[0, 1, 2], [2, 0, 1], [1, 2, 0]])


@dataclass(frozen=True, slots=True)
class Strokes:
    """Polylines on paper. points: each (k, 2), mm. grid_mm: how far off a stroke may be."""

    points: tuple[FloatArray, ...]
    grid_mm: float


def flattened(moves: Moves, which: IntArray, *, off_mm: float) -> FloatArray:
    """The path of some moves as straight pieces in work coordinates.

    Args:
        moves: of a run.
        which: (k,) indices of the moves.
        off_mm: how far a chord may be from its arc.
    Returns: (p, 2, 3) pieces, from and to, in order.
    """
    offset = moves.offset_mm[which]
    start, end = moves.start_mm[which] - offset, moves.end_mm[which] - offset
    motion = moves.motion[which].astype(np.int64)
    if not ((motion == ARC_CW) | (motion == ARC_CCW)).any():
        return np.stack([start, end], axis=1)
    centre = moves.centre_mm[which] - offset
    plane, turns = moves.plane[which].astype(np.int64), moves.turns[which]
    counts = _chords(motion, plane, start, end, centre, turns, off_mm)
    return _pieces(motion, plane, start, end, centre, turns, counts)


@njit(cache=True)
def _sweep(motion: int, plane: int, start: FloatArray, end: FloatArray, centre: FloatArray, turns: float):  # type: ignore[no-untyped-def]
    a, b = AXES[plane, 0], AXES[plane, 1]
    radius = math.hypot(start[a] - centre[a], start[b] - centre[b])
    first = math.atan2(start[b] - centre[b], start[a] - centre[a])
    last = math.atan2(end[b] - centre[b], end[a] - centre[a])
    sweep = last - first
    if motion == ARC_CCW:
        if sweep <= 1e-9:
            sweep += 2 * math.pi
        sweep += 2 * math.pi * turns
    else:
        if sweep >= -1e-9:
            sweep -= 2 * math.pi
        sweep -= 2 * math.pi * turns
    return radius, first, sweep


@njit(cache=True)
def _chords(motion, plane, start, end, centre, turns, off_mm):  # type: ignore[no-untyped-def]
    counts = np.ones(len(motion), dtype=np.int64)
    for k in range(len(motion)):
        if motion[k] != ARC_CW and motion[k] != ARC_CCW:
            continue
        radius, _, sweep = _sweep(motion[k], plane[k], start[k], end[k], centre[k], turns[k])
        if not radius > off_mm:
            continue
        step = 2 * math.acos(1 - off_mm / radius)
        counts[k] = min(max(1, math.ceil(abs(sweep) / step)), 720)
    return counts


@njit(cache=True)
def _pieces(motion, plane, start, end, centre, turns, counts):  # type: ignore[no-untyped-def]
    out = np.empty((counts.sum(), 2, 3))
    at = 0
    for k in range(len(motion)):
        n = counts[k]
        if n == 1:
            out[at, 0] = start[k]
            out[at, 1] = end[k]
            at += 1
            continue
        a, b, c = AXES[plane[k], 0], AXES[plane[k], 1], AXES[plane[k], 2]
        radius, first, sweep = _sweep(motion[k], plane[k], start[k], end[k], centre[k], turns[k])
        before = start[k].copy()
        for i in range(1, n + 1):
            point = end[k].copy()
            if i < n:
                share = i / n
                angle = first + sweep * share
                point[a] = centre[k, a] + radius * math.cos(angle)
                point[b] = centre[k, b] + radius * math.sin(angle)
                point[c] = start[k, c] + (end[k, c] - start[k, c]) * share
            out[at, 0] = before
            out[at, 1] = point
            before = point
            at += 1
    return out


def clipped(pieces: FloatArray, low: tuple[float, float], high: tuple[float, float]) -> FloatArray:
    """The parts of pieces inside a rectangle (Liang and Barsky).

    Args:
        pieces: (p, 2, 2) from and to.
        low, high: corners of the rectangle.
    Returns: (q, 2, 2), in order.
    """
    begin, way = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    enters, leaves = np.zeros(len(pieces)), np.ones(len(pieces))
    inside = np.ones(len(pieces), dtype=bool)
    for axis in range(2):
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            t0 = (low[axis] - begin[:, axis]) / way[:, axis]
            t1 = (high[axis] - begin[:, axis]) / way[:, axis]
        still = way[:, axis] == 0
        inside &= ~still | ((begin[:, axis] >= low[axis]) & (begin[:, axis] <= high[axis]))
        enters = np.where(still, enters, np.maximum(enters, np.minimum(t0, t1)))
        leaves = np.where(still, leaves, np.minimum(leaves, np.maximum(t0, t1)))
    kept = inside & (enters <= leaves)
    begin, way = begin[kept], way[kept]
    return np.stack([begin + way * enters[kept, None], begin + way * leaves[kept, None]], axis=1)


def strokes(pieces: FloatArray, *, most: int = MOST_STROKES) -> Strokes:
    """Pieces on paper as polylines, each stroke once.

    Args:
        pieces: (p, 2, 2) from and to on paper, mm.
        most: strokes at the most.
    Returns: polylines in order, and the grid that they are snapped to.
    """
    grid = GRID_MM
    while True:
        steps = np.rint(pieces / grid).astype(np.int64)
        # Column by column: a million rows of two are slow to reduce.
        steps = steps[(steps[:, 0, 0] != steps[:, 1, 0]) | (steps[:, 0, 1] != steps[:, 1, 1])]
        steps = steps[first_of_each(steps)]
        if len(steps) <= most:
            break
        grid *= max(1.3, min(4.0, math.sqrt(len(steps) / most)))
    return Strokes(tuple(np.asarray(line * grid, dtype=np.float64) for line in joined(steps)), grid)


def first_of_each(steps: IntArray) -> IntArray:
    """Where each stroke is drawn first, whichever way it goes."""
    if not len(steps):
        return np.zeros(0, dtype=np.int64)
    x, y = steps[:, :, 0] - steps[:, :, 0].min(), steps[:, :, 1] - steps[:, :, 1].min()
    high = int(y.max()) + 1
    begin, end = x[:, 0] * high + y[:, 0], x[:, 1] * high + y[:, 1]
    one_way = np.minimum(begin, end) * ((int(x.max()) + 1) * high) + np.maximum(begin, end)
    _, first = np.unique(one_way, return_index=True)
    return np.sort(first)


def joined(steps: IntArray) -> list[IntArray]:
    """Strokes that follow one another as one line, points on the way of a straight line left out."""
    if not len(steps):
        return []
    breaks = np.flatnonzero((steps[1:, 0] != steps[:-1, 1]).any(axis=1)) + 1
    lines: list[IntArray] = []
    for group in np.split(steps, breaks):
        points = np.vstack([group[:1, 0], group[:, 1]])
        if len(points) > 2:
            way = np.diff(points, axis=0)
            turn = way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0]
            ahead = (way[:-1] * way[1:]).sum(axis=1) > 0
            points = points[np.concatenate([[True], (turn != 0) | ~ahead, [True]])]
        lines.append(points)
    return lines
