"""What mitred ends lose at least, whoever lies beside whom: a share of every cut for each of the two ends beside it.

Shares that no two ends beside each other, nor the first and the last on a bar, ever fall short of add up to a bound:
each part takes its middle line and its ends' shares, each bar a little more or less for its own two ends. Of all such
shares those are taken by which the whole list takes most: a small linear programme, as it only knows how ends slope.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog

from steadyrest.stock.cutting.mitred import FINE, between_mm, kerf_along, middle_mm, ways
from steadyrest.stock.cutting.wanted import CutWanted, Turns

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shares:
    """part_mm: what each part's two ends take together, in the list's order. bar_mm: what a bar's own ends take."""

    part_mm: tuple[float, ...]
    bar_mm: float


def least_square(wanted: CutWanted, deep_mm: float, turns: Turns) -> CutWanted:
    """A list of square parts that never costs more than the mitred one, each bar leaving at least as much.

    Args:
        wanted: with mitred parts. deep_mm, turns: of the section.
    Returns: each part as long as its middle line and its ends' shares, each piece less what its own ends take.
    """
    shares = shares_of(wanted, deep_mm, turns)
    parts = tuple(
        replace(
            part,
            ends_deg=(0.0, 0.0),
            length_mm=max(FINE, _down(middle_mm(part, deep_mm) + share - float(wanted.kerf_mm))),
        )
        for part, share in zip(wanted.parts, shares.part_mm, strict=True)
    )
    less = _down(shares.bar_mm)
    pieces = tuple(replace(one, length_mm=max(one.length_mm - less, FINE)) for one in wanted.pieces)
    return replace(wanted, parts=parts, pieces=pieces)


def shares_of(wanted: CutWanted, deep_mm: float, turns: Turns) -> Shares:
    """The shares by which the list takes most of its bars.

    Args:
        wanted: with mitred parts. deep_mm, turns: of the section.
    Returns: shares that hold for every order of every choice of the parts.
    """
    lie = [ways(part, turns) for part in wanted.parts]
    slopes = sorted({end for some in lie for way in some for end in way})
    starts, ends = _own_ends(wanted, slopes, deep_mm)
    beside = np.array([[between_mm(wanted, right, left, deep_mm) for left in slopes] for right in slopes])
    left, right = _asked(wanted, lie, slopes, deep_mm, beside)
    right -= max(0.0, float((right[:, None] + left[None, :] - beside).max()))  # what the solver's rounding left over
    at = {end: k for k, end in enumerate(slopes)}
    each = tuple(min(float(left[at[a]] + right[at[b]]) for a, b in some) for some in lie)
    return Shares(each, float((starts - left).min() + (ends - right).min()))


def _own_ends(wanted: CutWanted, slopes: Sequence[float], deep_mm: float) -> tuple[FloatArray, FloatArray]:
    """What an end takes that is the bar's first, and its last, with the cut after it."""
    slant = np.abs(np.array(slopes)) * deep_mm / 2
    return slant, slant + np.array([kerf_along(wanted, end) for end in slopes])


def _asked(
    wanted: CutWanted,
    lie: Sequence[Sequence[tuple[float, float]]],
    slopes: Sequence[float],
    deep_mm: float,
    beside: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """The left and the right ends' shares, by slope; in the programme they stand first, then parts, then the bar's."""
    s, n, at = len(slopes), len(wanted.parts), {end: k for k, end in enumerate(slopes)}
    starts, ends = _own_ends(wanted, slopes, deep_mm)
    rows, most = list[FloatArray](), list[float]()

    def at_most(limit: float, *terms: tuple[int, float]) -> None:
        row = np.zeros(2 * s + n + 2)
        for k, times in terms:
            row[k] += times
        rows.append(row)
        most.append(limit)

    for r in range(s):
        for left in range(s):
            at_most(float(beside[r, left]), (left, 1.0), (s + r, 1.0))
        at_most(float(starts[r]), (r, 1.0), (2 * s + n, 1.0))
        at_most(float(ends[r]), (s + r, 1.0), (2 * s + n + 1, 1.0))
    for i, some in enumerate(lie):
        for a, b in some:
            at_most(0.0, (2 * s + i, 1.0), (at[a], -1.0), (s + at[b], -1.0))
    middles = [middle_mm(part, deep_mm) for part in wanted.parts]
    long_mm = float(sum(one.length_mm for one in wanted.pieces)) / max(1, len(wanted.pieces))
    bars = sum(mm * part.count for mm, part in zip(middles, wanted.parts, strict=True)) / max(long_mm, 1.0)
    worth = [0.0] * (2 * s) + [-float(part.count) for part in wanted.parts] + [-max(bars, 1.0)] * 2
    # No part may come out shorter than nothing: its width is its kerf at least.
    low = [(float(wanted.kerf_mm) - mm, None) for mm in middles]
    bounds = [(None, None)] * (2 * s) + low + [(None, None)] * 2
    solved = linprog(worth, A_ub=np.array(rows), b_ub=most, bounds=bounds, method="highs")
    if solved.status != 0:  # half a cut's kerf for each of its ends always holds
        half = np.array([kerf_along(wanted, end) / 2 for end in slopes])
        return half, half.copy()
    return solved.x[:s].copy(), solved.x[s : 2 * s].copy()


def _down(mm: float) -> Decimal:
    return Decimal(repr(mm)).quantize(FINE, ROUND_FLOOR)
