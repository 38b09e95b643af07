"""How the work lies at each position of the rotary axes, where the shop file says what they turn about.

An axis is named by ISO 841: it turns as if the tool went round a work that stands still, by the right hand about the
axis. A table that really turns goes the other way, which comes to the same. Only quarter turns can be cut here; other
positions are left unmet, and said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal.setting import Rotary, Setting
from steadyrest.program.run import Motion, Moves
from steadyrest.shop.leaving import RotaryAxis

FloatArray = npt.NDArray[np.float64]
MOST = 24  # quarter turns have no more ways for the work to lie


def settings_of(moves: Moves, rotary: Mapping[str, RotaryAxis]) -> dict[Rotary, Setting] | None:
    """The positions in which the program cuts.

    Args:
        moves: of the run.
        rotary: what A, B and C turn about, by letter.
    Returns: how the work lies in each; None where the rotary axes stand still, or nobody said what they turn about.
    """
    feeds = np.flatnonzero((moves.motion != Motion.RAPID) & (moves.tool > 0) & ~moves.skip)
    if not rotary or not len(feeds) or not bool((moves.rotary_deg != moves.rotary_deg[0]).any()):
        return None
    first = moves.offset_mm[feeds[0]]
    found: dict[Rotary, Setting] = {}
    rows = np.column_stack([moves.rotary_deg[feeds], moves.offset_mm[feeds]])
    _, places = np.unique(rows, axis=0, return_index=True)
    for k in sorted(places):
        at = moves.rotary_deg[feeds[k]]
        position: Rotary = (float(at[0]), float(at[1]), float(at[2]))
        lies = _lies(position, moves.offset_mm[feeds[k]], first, rotary)
        if lies is None:
            continue
        if position in found and found[position] != lies:
            return None  # one position under two work zeros: which is meant by a move cannot be told here
        found[position] = lies
    return found if 0 < len(found) <= MOST else None


def _lies(position: Rotary, offset: FloatArray, first: FloatArray, rotary: Mapping[str, RotaryAxis]) -> Setting | None:
    """One position; None where it is no quarter turn, or an axis that moved is not known."""
    turn, zero = np.eye(3), np.zeros(3)
    turned = [(letter, deg) for letter, deg in zip("ABC", position, strict=True) if deg % 360.0]
    if len(turned) > 1:
        return None  # which of two axes carries the other is not known
    for letter, deg in turned:
        axis = rotary.get(letter)
        if axis is None or abs(deg / 90.0 - round(deg / 90.0)) > 1e-6:
            return None
        turn = _turn(axis.about, -deg if axis.backwards else deg)
        centre = offset if axis.at_mm is None else np.array(axis.at_mm)
        zero = turn @ (offset - centre) + (centre - first if axis.at_mm is not None else 0.0)
    if not turned and np.abs(offset - first).max() > 0.0:
        zero = offset - first
    x, y, z = (tuple(float(v) for v in row) for row in turn)
    return Setting((x, y, z), (float(zero[0]), float(zero[1]), float(zero[2])))  # pyright: ignore[reportArgumentType]


def _turn(about: str, deg: float) -> FloatArray:
    """Right-handed turn about an axis by quarter turns, exact."""
    quarter = round(deg / 90.0) % 4
    c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarter]
    assert math.isclose(c * c + s * s, 1.0)
    k = "xyz".index(about)
    i, j = (k + 1) % 3, (k + 2) % 3
    turn = np.eye(3)
    turn[i, i], turn[i, j], turn[j, i], turn[j, j] = c, -s, s, c
    return turn
