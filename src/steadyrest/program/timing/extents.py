"""How far each move reaches: the box about its path, arcs with the quarters that they pass."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.program.reading.arcs import swept
from steadyrest.program.run import FloatArray, Motion, Moves, Plane

LINE, CW = int(Motion.LINE), int(Motion.ARC_CW)
XY, ZX = int(Plane.XY), int(Plane.ZX)


def reached_mm(moves: Moves) -> tuple[FloatArray, FloatArray]:
    """The lowest and highest place that each move reaches beyond its start, in machine coordinates, tool's point.

    Args:
        moves: of a run.
    Returns: ((n, 3), (n, 3)) low and high. A move's start belongs to the move before it.
    """
    low, high = np.array(moves.end_mm, dtype=np.float64), np.array(moves.end_mm, dtype=np.float64)
    _arcs(moves.motion, moves.plane, moves.start_mm, moves.end_mm, moves.centre_mm, moves.turns, low, high)
    return low, high


@loop()
def _arcs(
    motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8],
    start: FloatArray,
    end: FloatArray,
    centre: FloatArray,
    turns: FloatArray,
    low: FloatArray,
    high: FloatArray,
) -> None:
    quarter = 0.5 * math.pi
    for i in range(len(motion)):
        if motion[i] <= LINE:
            continue
        u, v = (0, 1) if plane[i] == XY else ((2, 0) if plane[i] == ZX else (1, 2))
        a, b = start[i, u] - centre[i, u], start[i, v] - centre[i, v]
        radius = math.sqrt(a * a + b * b)
        if not radius > 0.0:
            continue
        clockwise = motion[i] == CW
        angle = math.atan2(b, a)
        turn = swept(start[i, u], start[i, v], end[i, u], end[i, v], centre[i, u], centre[i, v], clockwise)
        if turns[i] > 0:
            turn = 2.0 * math.pi
        for k in range(4):
            on = (angle - k * quarter) if clockwise else (k * quarter - angle)
            if on % (2.0 * math.pi) <= turn:
                axis = u if k % 2 == 0 else v
                reach = centre[i, axis] + (radius if k < 2 else -radius)
                low[i, axis] = min(low[i, axis], reach)
                high[i, axis] = max(high[i, axis], reach)
