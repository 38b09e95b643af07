"""Moves as straight pieces: a line is one, an arc or a helix as many chords as keep it within a tolerance."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.program.run import Moves

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

MOST_CHORDS = 50_000  # of one arc; a helix of more is walked more coarsely
AT_ONCE = 65_536  # pieces held at a time


@dataclass(frozen=True, slots=True)
class Pieces:
    """Straight pieces of some moves, in order. move: (m,) whose. ends_mm: (m, 6) from x, y, z to x, y, z."""

    move: IntArray
    ends_mm: FloatArray


def pieces_of(moves: Moves, zero_mm: FloatArray, *, within_mm: float) -> Iterator[Pieces]:
    """All moves as straight pieces, some at a time, so that memory stays bounded.

    Args:
        moves: of a run.
        zero_mm: (3,) taken off every coordinate.
        within_mm: how far a chord may stand off its arc.
    Returns: an iterator over lots of pieces, none of which splits a move.
    """
    n = len(moves)
    counts, begins, turns = np.ones(n, dtype=np.int64), np.zeros(n), np.zeros(n)
    motion, plane, length = moves.motion, moves.plane, moves.length_mm
    _measure(motion, plane, moves.start_mm, moves.end_mm, moves.centre_mm, length, within_mm, counts, begins, turns)
    total = np.cumsum(counts)
    first = 0
    while first < n:
        before = int(total[first - 1]) if first else 0
        end = max(int(np.searchsorted(total, before + AT_ONCE, side="right")), first + 1)
        count = int(total[end - 1]) - before
        whose, ends = np.empty(count, dtype=np.int64), np.empty((count, 6))
        _split(
            first,
            end,
            plane,
            moves.start_mm,
            moves.end_mm,
            moves.centre_mm,
            zero_mm,
            counts,
            begins,
            turns,
            whose,
            ends,
        )
        yield Pieces(whose, ends)
        first = end


@loop()
def _measure(
    motion: npt.NDArray[np.int8], plane: npt.NDArray[np.int8], starts: FloatArray, ends: FloatArray,
    centres: FloatArray, lengths: FloatArray, within: float, counts: IntArray, begins: FloatArray, turns: FloatArray,
) -> None:  # fmt: skip
    """Each arc's angle where it begins, the angle it turns through (signed), and how many chords do."""
    for n in range(len(motion)):
        if motion[n] < 2:
            continue
        # XY, ZX, YZ: the two axes of the plane in order, and the one across it.
        a = (0, 2, 1)[plane[n]]
        b = (1, 0, 2)[plane[n]]
        c = 3 - a - b
        sa, sb = starts[n, a] - centres[n, a], starts[n, b] - centres[n, b]
        ea, eb = ends[n, a] - centres[n, a], ends[n, b] - centres[n, b]
        radius = math.hypot(sa, sb)
        turn = math.atan2(sa * eb - sb * ea, sa * ea + sb * eb)
        if motion[n] == 2:
            turn = -turn
        if turn < 0.0:
            turn += 2.0 * math.pi
        if radius > 0.0:
            # The length tells how often it goes round, which its two ends do not.
            rise = ends[n, c] - starts[n, c]
            path = math.sqrt(max(lengths[n] * lengths[n] - rise * rise, 0.0))
            turn += 2.0 * math.pi * max(round((path / radius - turn) / (2.0 * math.pi)), 0)
        step = 2.0 * math.acos(max(1.0 - within / max(radius, within), 0.5))
        if turn < MOST_CHORDS * step:
            counts[n] = max(math.ceil(turn / step), 1)
        else:
            counts[n] = MOST_CHORDS
        begins[n], turns[n] = math.atan2(sb, sa), turn if motion[n] == 3 else -turn


@loop()
def _split(
    first: int, end: int, plane: npt.NDArray[np.int8], starts: FloatArray, ends: FloatArray, centres: FloatArray,
    zero: FloatArray, counts: IntArray, begins: FloatArray, turns: FloatArray, whose: IntArray, out: FloatArray,
) -> None:  # fmt: skip
    """Write the pieces of the moves first..end. A radius that differs at an arc's end is met evenly."""
    at = 0
    for n in range(first, end):
        a = (0, 2, 1)[plane[n]]
        b = (1, 0, 2)[plane[n]]
        c = 3 - a - b
        ra = math.hypot(starts[n, a] - centres[n, a], starts[n, b] - centres[n, b])
        rb = math.hypot(ends[n, a] - centres[n, a], ends[n, b] - centres[n, b])
        for chord in range(counts[n]):
            whose[at] = n
            for k in range(3):
                out[at, k] = starts[n, k] - zero[k] if chord == 0 else out[at - 1, 3 + k]
                out[at, 3 + k] = ends[n, k] - zero[k]
            if chord < counts[n] - 1:
                share = (chord + 1) / counts[n]
                angle, radius = begins[n] + turns[n] * share, ra + (rb - ra) * share
                out[at, 3 + a] = centres[n, a] - zero[a] + radius * math.cos(angle)
                out[at, 3 + b] = centres[n, b] - zero[b] + radius * math.sin(angle)
                out[at, 3 + c] = starts[n, c] - zero[c] + (ends[n, c] - starts[n, c]) * share
            at += 1
