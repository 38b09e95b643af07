"""Bars stacked: so many equal ones are cut at once, alike, so that each cut of the saw makes as many parts.

A stack of k bars filled alike opens k pieces and makes every part k times, for the cuts of one. Of the fillings that
the list's prices call for, stacked in every way, the cheapest mixture is taken. No plan is cheaper than one in which
every cut is shared by as many bars as may be stacked at all: that is the bound, and it needs no word of this search.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_array, vstack

from steadyrest.stock.cutting.plan import CutBar, bars_of
from steadyrest.stock.cutting.problem import Filled, IntArray, Plan, Posed, Problem, posed
from steadyrest.stock.cutting.relaxed import Columns, relaxed
from steadyrest.stock.cutting.solve import first_plans, small
from steadyrest.stock.cutting.wanted import BarPart, CutWanted, SawTime

HOUR_S = 3600
MOST_FILLINGS = 500
PRICES_SHARE = 0.3
LONGEST_S = 20.0


@dataclass(frozen=True, slots=True)
class Stack:
    """So many bars of a kind, filled alike."""

    kind: int
    filling: IntArray
    bars: int


def saw_money(saw: SawTime, seconds: float) -> Decimal:
    """What so long at the saw costs.

    Args:
        saw: its person's hour. seconds: of work.
    Returns: money.
    """
    return Decimal(repr(seconds)) * saw.person_per_hour / HOUR_S


def most_at_once(wanted: CutWanted) -> dict[Decimal, int]:
    """How many bars of each length may be cut at once.

    Args:
        wanted: pieces, and the saw's stack.
    Returns: by length; no more than there are.
    """
    stack = wanted.saw.stack if wanted.saw is not None else 1
    return {mm: min(stack, many) for mm, many in Counter(one.length_mm for one in wanted.pieces).items()}


def with_saw(wanted: CutWanted) -> CutWanted:
    """The same list where opening a piece costs its loading too, and its share of trimming a whole stack.

    Args:
        wanted: with a saw.
    Returns: one of which no plan costs less at the saw than it says, whatever is stacked.
    """
    saw, together = wanted.saw, most_at_once(wanted)
    assert saw is not None
    trim_s = saw.cut_s if wanted.end_trim_mm > 0 else 0.0
    return replace(
        wanted,
        pieces=tuple(
            replace(one, cost=one.cost + saw_money(saw, saw.load_s + trim_s / together[one.length_mm]))
            for one in wanted.pieces
        ),
    )


def least_for_cuts(wanted: CutWanted, made: Sequence[BarPart]) -> Decimal:
    """What cutting off these parts costs at least: one cut each, shared by as many bars as may be.

    Args:
        wanted: with a saw. made: every part that is made.
    Returns: money.
    """
    saw = wanted.saw
    assert saw is not None
    return saw_money(saw, len(made) * saw.cut_s / max(most_at_once(wanted).values(), default=1))


def stacked(wanted: CutWanted, bars: Sequence[CutBar], left_s: Callable[[], float]) -> tuple[CutBar, ...]:
    """The same parts cut from bars that can be stacked, where that is found to cost less.

    Args:
        wanted: with a saw, no part mitred. bars: a plan. left_s: seconds left; 0 or less: stop now.
    Returns: bars; empty where none were found.
    """
    saw = wanted.saw
    made = Counter(part.id for bar in bars for part in bar.parts)
    some = replace(wanted, parts=tuple(replace(part, count=made[part.id]) for part in wanted.parts))
    put = posed(with_saw(some))
    if saw is None or not put.whole or not bars or left_s() <= 0:
        return ()
    problem, columns = put.problem, Columns(put.problem)
    row = {part.id: i for i, same in enumerate(put.parts) for part in same}
    kind = {piece.id: j for j, same in enumerate(put.pieces) for piece in same}
    for bar in bars:
        filling = np.zeros(problem.parts, np.int64)
        for part in bar.parts:
            filling[row[part.id]] += 1
        columns.add(kind[bar.piece.id], filling)
    kept_s = left_s() * (1 - PRICES_SHARE)
    for k in range(2, max(most_at_once(wanted).values()) + 1):
        columns.add_plan(_all_in_stacks(problem, k, lambda: left_s() - kept_s))
    known = len(columns)
    prices = relaxed(problem, columns, lambda: left_s() - kept_s).prices
    dear = np.array(columns.costs) * prices.fine - np.array(columns.fillings) @ prices.each
    dear[:known] = np.iinfo(np.int64).min
    chosen = np.argsort(dear, kind="stable")[:MOST_FILLINGS].tolist()
    found = _mixture(put, columns, chosen, wanted, min(left_s(), LONGEST_S))
    if found is None:
        return ()
    plan = tuple(Filled(one.kind, one.filling) for one in _no_more(found, problem.counts) for _ in range(one.bars))
    return bars_of(some, put, plan)[0]


def _all_in_stacks(problem: Problem, many: int, left_s: Callable[[], float]) -> Plan:
    """The cheapest plan that comes up of as much as can be made in stacks of so many, each told once."""
    rows = np.flatnonzero(problem.counts // many).tolist()
    kinds = np.flatnonzero(problem.many // many).tolist()
    if not rows or not kinds or left_s() <= 0:
        return ()
    few = problem.some(rows, kinds, problem.counts // many, problem.many // many)
    start = first_plans(few)
    out = list[Filled]()
    for one in (small(few, start, left_s) or ()) if start is not None else ():
        filling = np.zeros(problem.parts, np.int64)
        filling[rows] = one.filling
        out.append(Filled(kinds[one.kind], filling))
    return tuple(out)


def _mixture(put: Posed, columns: Columns, chosen: list[int], wanted: CutWanted, seconds: float) -> list[Stack] | None:
    """The cheapest stacks of these fillings that make all parts; None: none came up in time."""
    saw, together, trims = wanted.saw, most_at_once(wanted), wanted.end_trim_mm > 0
    assert saw is not None
    problem, each = put.problem, float(saw_money(saw, saw.cut_s)) * put.money
    tried = [
        Stack(columns.kinds[c], columns.fillings[c], k)
        for c in chosen
        for k in range(1, min(_together(put, columns.kinds[c], together), int(problem.many[columns.kinds[c]])) + 1)
    ]
    # A trim is in the cost of opening by its share of a full stack: what a smaller one pays more is put right here.
    cost = [
        one.bars * problem.cost(one.kind, int(one.filling @ problem.widths)) + each * int(one.filling.sum())
        + _trim_more(put, one, together, each, trims=trims)
        for one in tried
    ]  # fmt: skip
    makes = csc_array(np.column_stack([one.bars * one.filling for one in tried]).astype(float))
    opens = np.zeros((problem.kinds, len(tried)))
    opens[[one.kind for one in tried], np.arange(len(tried))] = [one.bars for one in tried]
    counts = problem.counts.astype(float)
    low = np.concatenate([counts, np.full(problem.kinds, -np.inf)])
    high = np.concatenate([counts if problem.exactly else np.full(problem.parts, np.inf), problem.many.astype(float)])
    scale = max(abs(value) for value in cost) or 1.0
    both = vstack([makes, csc_array(opens)], format="csc")
    found = milp(
        np.array(cost) / scale,
        constraints=LinearConstraint(both, low, high),  # pyright: ignore[reportArgumentType]  arrays are taken
        integrality=np.ones(len(tried)),
        bounds=Bounds(0, float(counts.sum())),
        options={"time_limit": max(seconds, 0.1), "mip_rel_gap": 0.0},
    )
    if found.x is None:
        return None
    return [one for one, many in zip(tried, np.round(found.x).astype(int).tolist(), strict=True) for _ in range(many)]


def _trim_more(put: Posed, one: Stack, together: dict[Decimal, int], each: float, *, trims: bool) -> float:
    """What trimming a stack costs above its share in the pieces' costs; nothing where nothing is trimmed."""
    if not trims:
        return 0.0
    return each * (1.0 - one.bars / _together(put, one.kind, together))


def _together(put: Posed, kind: int, together: dict[Decimal, int]) -> int:
    return together[put.pieces[kind][0].length_mm]


def _no_more(stacks: list[Stack], counts: IntArray) -> list[Stack]:
    """The same without parts too many: taken from whole stacks while that goes, then from single bars."""
    over = sum((one.bars * one.filling for one in stacks), np.zeros(len(counts), np.int64)) - counts
    out = sorted(stacks, key=lambda one: -one.bars)
    for i in np.flatnonzero(over > 0).tolist():
        one_of_it = np.zeros(len(counts), np.int64)
        one_of_it[i] = 1
        while over[i] > 0:
            whole = [k for k, one in enumerate(out) if one.filling[i] > 0 and one.bars <= over[i]]
            k = whole[0] if whole else next(k for k, one in enumerate(out) if one.filling[i] > 0)
            taken = min(out[k].bars, int(over[i]))
            rest = out[k].bars - taken
            less = replace(out[k], filling=out[k].filling - one_of_it, bars=taken)
            out[k : k + 1] = [less, *([replace(out[k], bars=rest)] if rest else [])]
            over[i] -= taken
    return [one for one in out if one.filling.any()]
