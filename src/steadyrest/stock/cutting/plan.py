"""The cutting list answered: which parts come from which piece, in which order, what is left, and what it costs.

Where not all parts can be made, first as much length as possible is placed, then these parts are cut at least cost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stock.cutting.problem import IntArray, Plan, Posed, Problem, posed
from steadyrest.stock.cutting.solve import CAPS, Search, Solved, first_plans, solve
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted

CENT = Decimal("0.01")
SHARE_TO_PLACE = 0.4


@dataclass(frozen=True, slots=True)
class CutBar:
    """An opened piece, its parts in the order in which they are cut off, and what is left of it."""

    piece: BarPiece
    parts: tuple[BarPart, ...]
    rest_mm: Decimal
    kept: bool
    cost: Decimal


@dataclass(frozen=True, slots=True)
class Unplaced:
    """So many of a part that are not made."""

    part: BarPart
    count: int


@dataclass(frozen=True, slots=True)
class CutPlan:
    """cost: of all bars. bound: cutting these parts costs no less. proven: nothing is cheaper by a cent.

    by_search: the proof rests on a search through all fillings that could help, not on the bound's prices alone.
    """

    bars: tuple[CutBar, ...]
    unplaced: tuple[Unplaced, ...]
    cost: Decimal
    bound: Decimal
    proven: bool
    by_search: bool
    doubts: tuple[Reason, ...]

    @property
    def gap(self) -> Decimal:
        """How much dearer than the bound, money."""
        return max(self.cost - self.bound, Decimal(0))


def cut(wanted: CutWanted, left_s: Callable[[], float]) -> CutPlan:
    """The cheapest way to cut the list that comes up in time, and how far it may be from the cheapest there is.

    Args:
        wanted: parts, pieces, prices.
        left_s: seconds left; 0 or less: stop now with the best so far.
    Returns: a plan in which every piece adds up to the last digit.
    """
    put = posed(wanted)
    doubts = list(_doubts(wanted, put))
    if not put.problem.parts or not put.problem.kinds:
        lacking = {part.id: part.count for part in wanted.parts if part.count}
        return _answer(wanted, (), lacking, Decimal(0), doubts, proven=True, by_search=False)
    problem, start, placed_for_sure = put.problem, first_plans(put.problem), True
    if start is None:
        share = left_s() * (1 - SHARE_TO_PLACE)
        start, placed_for_sure = _placed(put, lambda: left_s() - share)
        made = sum((one.filling for one in start), np.zeros(problem.parts, np.int64))
        if not placed_for_sure:
            doubts.append(because("cut.perhaps_more"))
        problem = replace(problem, counts=made)
    solved = _solved(problem, start, left_s)
    bars, lacking = bars_of(wanted, put, solved.plan or ())
    bound = Decimal(solved.bound) / put.money
    return _answer(
        wanted, bars, lacking, bound, doubts, proven=solved.proven and placed_for_sure and put.whole,
        by_search=solved.by_search,
    )  # fmt: skip


def _solved(problem: Problem, start: Plan, left_s: Callable[[], float]) -> Solved:
    """Only what is wanted at all takes part."""
    rows = np.flatnonzero(problem.counts).tolist()
    if not rows:
        return Search(problem, ()).nothing()
    few = problem.some(rows, list(range(problem.kinds)), problem.counts, problem.many)
    down = tuple(replace(one, filling=one.filling[rows]) for one in start)
    solved = solve(few, down, left_s)

    up = tuple(replace(one, filling=_spread(one.filling, rows, problem.parts)) for one in solved.plan or ())
    return replace(solved, plan=up)


def _placed(put: Posed, left_s: Callable[[], float]) -> tuple[Plan, bool]:
    """A plan that makes as much as can be made: of what is due first, then of what comes after it. And whether it is
    proven that no more could be."""
    placing, dues = _placing(put), sorted({part.due for same in put.parts for part in same})
    if len(dues) == 1:
        most = solve(placing, None, left_s, caps=CAPS[:2], rounds=0)
        return most.plan or (), most.proven
    made, plan, proven = np.zeros(placing.parts, np.int64), Plan(), True
    assert placing.skip is not None
    for n, due in enumerate(dues):
        now = np.array([sum(part.count for part in same if part.due == due) for same in put.parts], np.int64)
        # What is due earlier is worth more than all that is due now; a length of both counts as what is due earlier.
        more = int(placing.skip @ now) + 1
        skip = np.where(made > 0, placing.skip * more, placing.skip)
        kept = left_s() * (1 - 1 / (len(dues) - n))
        problem = replace(placing, counts=made + now, skip=skip)
        rows = np.flatnonzero(problem.counts).tolist()
        few = replace(problem.some(rows, list(range(problem.kinds)), problem.counts, problem.many), skip=skip[rows])
        most = solve(few, None, lambda kept=kept: left_s() - kept, caps=CAPS[:2], rounds=0)
        proven = proven and most.proven
        found = np.zeros(placing.parts, np.int64)
        found[rows] = sum((one.filling for one in most.plan or ()), np.zeros(len(rows), np.int64))
        if np.all(found >= made):
            plan = tuple(replace(one, filling=_spread(one.filling, rows, placing.parts)) for one in most.plan or ())
            made = found
        else:
            proven = False
    return plan, proven


def _spread(filling: IntArray, rows: list[int], parts: int) -> IntArray:
    """A filling of some rows as one of all."""
    whole = np.zeros(parts, np.int64)
    whole[rows] = filling
    return whole


def _placing(put: Posed) -> Problem:
    """The same list with the length left out as the only cost."""
    length = [same[0].length_mm for same in put.parts]
    unit = Decimal(10) ** max(max(0, -int(mm.normalize().as_tuple().exponent)) for mm in length)
    return replace(
        put.problem,
        costs=np.zeros(put.problem.kinds, np.int64),
        rest_value=0,
        skip=np.array([int(mm * unit) for mm in length], np.int64),
        least_step=1,
    )


def bars_of(wanted: CutWanted, put: Posed, plan: Plan) -> tuple[tuple[CutBar, ...], dict[str, int]]:
    """The plan with the pieces' and the parts' own names; and what it does not make.

    Args:
        wanted: the list. put: the same in whole numbers. plan: of these.
    Returns: bars, and how many of each part are lacking.
    """
    waiting = [[part for part in same for _ in range(part.count)] for same in put.parts]
    spare = [list(pieces) for pieces in put.pieces]
    bars = list[CutBar]()
    for same in waiting:
        same.sort(key=lambda part: part.due)
    for one in sorted(plan, key=lambda bar: (bar.kind, bar.filling.tolist()), reverse=True):
        parts = tuple(waiting[i].pop(0) for i in np.flatnonzero(one.filling).tolist() for _ in range(one.filling[i]))
        bars.append(bar_of(wanted, spare[one.kind].pop(0), parts))
    lacking = dict[str, int]()
    for part in (*put.too_long, *(part for rest in waiting for part in rest)):
        lacking[part.id] = lacking.get(part.id, 0) + (part.count if part in put.too_long else 1)
    return tuple(bars), lacking


def bar_of(wanted: CutWanted, piece: BarPiece, parts: tuple[BarPart, ...]) -> CutBar:
    """A piece with these parts cut off it, reckoned from what was written.

    Args:
        wanted: kerf, trim, what a rest is worth. piece: opened. parts: in the order of cutting.
    Returns: the bar, its rest and its cost, exact.
    """
    rest_mm = wanted.rest_mm(piece, [part.length_mm for part in parts])
    return CutBar(piece, parts, rest_mm, rest_mm >= wanted.rest_keep_mm, wanted.cost_of(piece, rest_mm))


def _answer(
    wanted: CutWanted,
    bars: Iterable[CutBar],
    lacking: dict[str, int],
    bound: Decimal,
    doubts: list[Reason],
    *,
    proven: bool,
    by_search: bool,
) -> CutPlan:
    bars = tuple(bars)
    cost = sum((bar.cost for bar in bars), Decimal(0))
    unplaced = tuple(Unplaced(part, lacking[part.id]) for part in wanted.parts if lacking.get(part.id))
    return CutPlan(bars, unplaced, cost, min(bound, cost), proven, by_search, tuple(doubts))


def _doubts(wanted: CutWanted, put: Posed) -> Iterable[Reason]:
    for part in put.too_long:
        yield because("cut.too_long", part=part.id, length_mm=float(part.length_mm))
    for part in wanted.parts:
        if wanted.kerf_mm >= part.length_mm:
            yield because("cut.kerf_wide", part=part.id, kerf_mm=float(wanted.kerf_mm), length_mm=float(part.length_mm))
    if not put.whole:
        yield because("cut.too_fine")
    if wanted.rest_value_per_mm > 0 and any(
        piece.cost < piece.length_mm * wanted.rest_value_per_mm for piece in wanted.pieces
    ):
        yield because("cut.rest_dear")


def to_the_cent(amount: Decimal, *, down: bool = False) -> str:
    """An amount as it is written: half up to the cent; a bound down.

    Args:
        amount: money. down: never more than it is.
    Returns: decimal digits.
    """
    found = amount.quantize(CENT, ROUND_FLOOR if down else ROUND_HALF_UP)
    return str(found or abs(found))
