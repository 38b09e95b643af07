"""Where strap clamps stand on work that lies on the table: places on its rim that bear, and which of them stay free.

A clamp's toe needs so much of the rim, solid down to the table. Where two such places lie apart and nothing near them
is cut, the clamps stay; else a second pair must be found beside the first, and the clamps are moved over once.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.tables.practice import rule

MOST_SPOTS = 48
BORNE = 0.6  # of a toe: what must be solid down to the table


@dataclass(frozen=True, slots=True)
class Spot:
    """A clamp's toe: rows and columns that it covers, as seen from the spindle; free: nothing near it is cut."""

    rows: tuple[int, int]
    columns: tuple[int, int]
    free: bool

    @property
    def middle(self) -> tuple[float, float]:
        return (self.rows[0] + self.rows[1]) / 2.0, (self.columns[0] + self.columns[1]) / 2.0


@dataclass(frozen=True, slots=True)
class Clamps:
    """Two clamps, and two more places where they are moved over (none: they stay)."""

    first: tuple[Spot, Spot]
    then: tuple[Spot, Spot] | None


def clamps_of(stock: BoolArray, gone: BoolArray, *, pitch_mm: float) -> Clamps | Reason:
    """Where two clamps stand.

    Args:
        stock: (nz, ny, nx) the work, nearest layer first.
        gone: of the same shape: what is cut off it in this set-up.
        pitch_mm: edge of a cell.
    Returns: the places, or why there are none, with the number found.
    """
    deep, wide = (max(round(rule(name) / pitch_mm), 1) for name in ("clamp_toe_mm", "clamp_wide_mm"))
    spots = _spots(stock, gone, deep, wide, margin=round(rule("clamp_clear_mm") / pitch_mm))
    there = np.asarray(stock.any(axis=0))
    rows, columns = (np.flatnonzero(there.any(axis=other)) for other in (1, 0))
    apart = rule("clamp_apart_share") * max(int(np.ptp(rows)), int(np.ptp(columns)))
    free = _pair([spot for spot in spots if spot.free], apart)
    if free is not None:
        return Clamps(free, None)
    pairs = sorted(
        (pair for pair in combinations(spots, 2) if _far(*pair) >= apart), key=lambda pair: -_far(*pair)
    )[:MOST_SPOTS]  # fmt: skip
    for first in pairs:
        rest = [spot for spot in spots if all(_clear(spot, one) for one in first)]
        then = _pair(rest, apart)
        if then is not None:
            return Clamps(first, then)
    return because(
        "mill.clamps_nowhere", count=float(len(spots)), deep_mm=rule("clamp_toe_mm"), wide_mm=rule("clamp_wide_mm"),
        apart_mm=apart * pitch_mm,
    )  # fmt: skip


def _spots(stock: BoolArray, gone: BoolArray, deep: int, wide: int, *, margin: int) -> list[Spot]:
    """Toes along the four edges of the work, each solid down to the table and level on top."""
    there = np.asarray(stock.any(axis=0))
    nz = stock.shape[0]
    bottom = np.flatnonzero(stock.any(axis=(1, 2)))[-1]
    tops = np.where(there, stock.argmax(axis=0), nz)
    solid = np.asarray(stock.sum(axis=0) == bottom + 1 - tops)
    cut = np.asarray(gone.any(axis=0))
    rows, columns = np.flatnonzero(there.any(axis=1)), np.flatnonzero(there.any(axis=0))
    y0, y1, x0, x1 = int(rows[0]), int(rows[-1]) + 1, int(columns[0]), int(columns[-1]) + 1
    found: dict[tuple[int, int, int, int], Spot] = {}
    step = max(wide // 2, 1)
    boxes = [(y, y + wide, x, x + deep) for x in (x0, x1 - deep) for y in range(y0, y1 - wide + 1, step)]
    boxes += [(y, y + deep, x, x + wide) for y in (y0, y1 - deep) for x in range(x0, x1 - wide + 1, step)]
    for a, b, c, d in boxes:
        if a < y0 or c < x0 or b > y1 or d > x1 or (a, b, c, d) in found:
            continue
        toe = (slice(a, b), slice(c, d))
        # A broken or rounded edge below a toe bears it as well, if most of the toe stands on the table.
        if solid[toe].mean() < BORNE or not there[toe].all() or int(np.ptp(tops[toe])) > 1:
            continue
        near = cut[max(a - margin, 0) : b + margin, max(c - margin, 0) : d + margin]
        found[a, b, c, d] = Spot((a, b), (c, d), not near.any())
    spots = list(found.values())
    return spots if len(spots) <= MOST_SPOTS else spots[:: len(spots) // MOST_SPOTS + 1]


def _far(one: Spot, other: Spot) -> float:
    return float(np.hypot(one.middle[0] - other.middle[0], one.middle[1] - other.middle[1]))


def _clear(one: Spot, other: Spot) -> bool:
    """Whether two toes do not cover the same place."""
    return (
        one.rows[1] <= other.rows[0] or other.rows[1] <= one.rows[0]
        or one.columns[1] <= other.columns[0] or other.columns[1] <= one.columns[0]
    )  # fmt: skip


def _pair(spots: list[Spot], apart: float) -> tuple[Spot, Spot] | None:
    """The two that lie furthest apart, if that is far enough."""
    if len(spots) < 2:
        return None
    first, second = max(combinations(spots, 2), key=lambda pair: _far(*pair))
    return (first, second) if _far(first, second) >= apart else None
