"""A cutting list in whole numbers: equal pieces and equal lengths together, lengths and money without fractions.

Kind: pieces of one length and one cost. Width: a part with its kerf. Filling: how many of each part on one piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
import numpy.typing as npt

from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted

IntArray = npt.NDArray[np.int64]

LENGTH_PLACES = 6
MONEY_PLACES = 10


@dataclass(frozen=True, slots=True)
class Problem:
    """n part lengths on m kinds of piece. Lengths in one whole unit, money in another.

    widths: (n,) part with kerf. counts: (n,) wanted. room: (m,) most that widths may add up to. free: (m,) rest and
    widths together. costs: (m,) of opening. many: (m,) how many there are. keep: least rest that is kept.
    rest_value: of a unit of it.
    skip: (n,) cost of not making one, or None: all must be made. least_step: a saving below this does not count.
    """

    widths: IntArray
    counts: IntArray
    room: IntArray
    free: IntArray
    costs: IntArray
    many: IntArray
    keep: int
    rest_value: int
    skip: IntArray | None
    least_step: int

    @property
    def parts(self) -> int:
        return len(self.widths)

    @property
    def kinds(self) -> int:
        return len(self.room)

    @property
    def exactly(self) -> bool:
        """Whether a part too many could pay: where an opened piece's rest is worth more than the piece."""
        return bool(np.any(self.costs < self.rest_value * self.free))

    def cost_at(self, kind: int, used: IntArray) -> IntArray:
        """Cost of a piece of this kind of which so much is used, for each of these."""
        rest = self.free[kind] - used
        return self.costs[kind] - np.where(rest >= self.keep, self.rest_value * rest, 0)

    def cost(self, kind: int, used: int) -> int:
        """The same for one."""
        rest = int(self.free[kind]) - used
        return int(self.costs[kind]) - (self.rest_value * rest if rest >= self.keep else 0)

    def step(self) -> int:
        """Every plan costs a whole multiple of this."""
        grain = int(np.gcd.reduce(self.widths)) if self.parts else 1
        money = [self.rest_value * grain, *self.costs.tolist(), *(self.rest_value * self.free).tolist()]
        money += self.skip.tolist() if self.skip is not None else []
        return max(1, math.gcd(*money))

    def some(self, rows: list[int], kinds: list[int], counts: IntArray, many: IntArray) -> Problem:
        """Only these parts and kinds of piece, with other numbers of them (given for all)."""
        return replace(
            self,
            widths=self.widths[rows],
            counts=counts[rows],
            room=self.room[kinds],
            free=self.free[kinds],
            costs=self.costs[kinds],
            many=np.minimum(many[kinds], int(counts.sum())),
            skip=None,
        )


@dataclass(frozen=True, slots=True)
class Filled:
    """One opened piece: its kind, and (n,) how many of each part."""

    kind: int
    filling: IntArray


Plan = tuple[Filled, ...]


def plan_cost(problem: Problem, plan: Iterable[Filled]) -> int:
    """What a plan costs, with what it leaves out where that may be.

    Args:
        problem: the list. plan: its opened pieces.
    Returns: whole units of money.
    """
    total, made = 0, np.zeros(problem.parts, np.int64)
    for one in plan:
        total += problem.cost(one.kind, int(one.filling @ problem.widths))
        made += one.filling
    if problem.skip is not None:
        total += int(problem.skip @ (problem.counts - made))
    return total


@dataclass(frozen=True, slots=True)
class Posed:
    """A list put into whole numbers, and the way back.

    pieces: (m) those of each kind. parts: (n) those of each length. too_long: no piece takes them. money: units in one
    of currency. whole: nothing had to be rounded.
    """

    problem: Problem
    pieces: tuple[tuple[BarPiece, ...], ...]
    parts: tuple[tuple[BarPart, ...], ...]
    too_long: tuple[BarPart, ...]
    money: int
    whole: bool


def posed(wanted: CutWanted) -> Posed:
    """The list in whole numbers.

    Args:
        wanted: parts, pieces and prices.
    Returns: the problem; lengths finer than a millionth are rounded so that nothing is cut too short.
    """
    lengths = [wanted.kerf_mm, wanted.trim_mm, wanted.grip_mm, wanted.rest_keep_mm]
    lengths += [one.length_mm for one in (*wanted.pieces, *wanted.parts)]
    length_places = min(max(map(_places, lengths)), LENGTH_PLACES)
    money_places = max(map(_places, [one.cost for one in wanted.pieces] or [Decimal(0)]))
    money_places = min(max(money_places, _places(wanted.rest_value_per_mm) + length_places, 2), MONEY_PLACES)
    unit, money = Decimal(10) ** length_places, Decimal(10) ** money_places
    whole = max(map(_places, lengths)) <= length_places and money_places < MONEY_PLACES

    kinds = dict[tuple[int, Decimal], list[BarPiece]]()
    for piece in sorted(wanted.pieces, key=lambda one: (one.length_mm, one.cost)):
        kinds.setdefault((math.floor((piece.length_mm - wanted.trim_mm) * unit), piece.cost), []).append(piece)
    grip = math.ceil(wanted.grip_mm * unit)
    longest = max((free - grip for free, _ in kinds), default=-1)
    rows, too_long = dict[int, list[BarPart]](), list[BarPart]()
    for part in sorted(wanted.parts, key=lambda one: -one.length_mm):
        width = math.ceil((part.length_mm + wanted.kerf_mm) * unit)
        if width > longest:
            too_long.append(part)
        elif part.count:
            rows.setdefault(width, []).append(part)
    narrowest = min(rows, default=0)
    used = {key: pieces for key, pieces in kinds.items() if rows and key[0] - grip >= narrowest}
    widths = np.array(list(rows), np.int64)
    counts = np.array([sum(part.count for part in same) for same in rows.values()], np.int64)
    free = np.array([key[0] for key in used], np.int64)
    problem = Problem(
        widths=widths,
        counts=counts,
        room=free - grip,
        free=free,
        costs=np.array([round(key[1] * money) for key in used], np.int64),
        many=np.array([min(len(pieces), int(counts.sum())) for pieces in used.values()], np.int64),
        keep=math.ceil(wanted.rest_keep_mm * unit),
        rest_value=math.floor(wanted.rest_value_per_mm * money / unit),
        skip=None,
        least_step=int(money) // 200 or 1,
    )
    return Posed(
        problem, tuple(map(tuple, used.values())), tuple(map(tuple, rows.values())), tuple(too_long), int(money), whole
    )


def _places(value: Decimal) -> int:
    return max(0, -int(value.normalize().as_tuple().exponent))
