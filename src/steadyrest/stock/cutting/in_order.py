"""A cutting plan as it is sawn: bars and parts in order, what is in hand at each cut, what is cut at once.

Equal parts change places so that those due first are on the bars cut first; a plan's cost does not change by it.
Where the saw's time is known, it is what pieces and saw cost together that is to be least, and that has the bound.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.stock.cutting.ends import least_square
from steadyrest.stock.cutting.mitred import Lying, ends_at, laid, squared
from steadyrest.stock.cutting.plan import CENT, CutBar, CutPlan, cut
from steadyrest.stock.cutting.stacked import least_for_cuts, saw_money, stacked, with_saw
from steadyrest.stock.cutting.wanted import BarPart, CutWanted

PASSES = 3
STACKING_SHARE = 0.3


@dataclass(frozen=True, slots=True)
class Sawn:
    """One part coming off. moved_kg: the piece on the saw before the cut; part_kg: what comes off; None: not known."""

    lying: Lying
    moved_kg: float | None
    part_kg: float | None


@dataclass(frozen=True, slots=True)
class SawnBar:
    """A bar as it is sawn. together: which bar, counted from 0, of those cut at once is the first; itself if alone."""

    bar: CutBar
    steps: tuple[Sawn, ...]
    rest_kg: float | None
    together: int


@dataclass(frozen=True, slots=True)
class Sawing:
    """plan: with its bars in the order of sawing. cuts: of the saw, bars stacked counted once. saw_s, saw_cost: None
    where the list says nothing of the saw's time.

    total: pieces and saw together; least: no plan costs less together. The plan's gap and proof are of these two.
    """

    plan: CutPlan
    bars: tuple[SawnBar, ...]
    cuts: int
    saw_s: float | None
    saw_cost: Decimal | None
    total: Decimal
    least: Decimal


def sawing(wanted: CutWanted, left_s: Callable[[], float]) -> Sawing:
    """How a list is sawn at least cost.

    Args:
        wanted: the list. left_s: seconds left; 0 or less: stop now with the best so far.
    Returns: the plan, in order.
    """
    mitred = wanted.section is not None and any(part.mitred and part.count for part in wanted.parts)
    opened = wanted if wanted.saw is None else with_saw(wanted)
    own_s = left_s() * STACKING_SHARE if wanted.saw is not None and wanted.saw.stack > 1 and not mitred else 0.0
    found = _mitred(wanted, opened, left_s) if mitred else cut(opened, sparing(left_s, own_s))
    plans = [_own_costs(wanted, found, found.bars)]
    if own_s and (other := stacked(wanted, found.bars, left_s)):
        plans.append(_own_costs(wanted, found, other))
    sawn = [_in_order(wanted, replace(plan, bars=first_due_first(plan.bars))) for plan in plans]
    best = min(sawn, key=lambda one: one.total)
    if wanted.saw is None or best.saw_cost is None:
        return best
    # In the opened list's bound the pieces are loaded and trimmed already; cutting off the parts comes upon it.
    cuts = least_for_cuts(wanted, [part for bar in best.plan.bars for part in bar.parts])
    least = min(best.total, found.bound + cuts)
    sure = found.proven or not (found.unplaced or any(one.key == "cut.too_fine" for one in found.doubts))
    proven = sure and best.total - least < CENT
    plan = replace(best.plan, bound=least - best.saw_cost, proven=proven)
    return replace(best, plan=plan, least=least)


def _own_costs(wanted: CutWanted, plan: CutPlan, bars: Sequence[CutBar]) -> CutPlan:
    """Bars as the list itself has them: pieces without the saw's time."""
    own = {piece.id: piece for piece in wanted.pieces}
    bars = tuple(
        replace(bar, piece=own[bar.piece.id], cost=wanted.cost_of(own[bar.piece.id], bar.rest_mm)) for bar in bars
    )
    return replace(plan, bars=bars, cost=sum((bar.cost for bar in bars), Decimal(0)))


def first_due_first(bars: Sequence[CutBar]) -> tuple[CutBar, ...]:
    """Bars in the order of sawing, equal parts changed so that those due first come off the first bars.

    Args:
        bars: of a plan.
    Returns: the same bars; where nothing is due before anything else, as they were.
    """
    if len({part.due for bar in bars for part in bar.parts}) <= 1:
        return tuple(bars)
    for _ in range(PASSES):
        bars = sorted(bars, key=lambda bar: min(part.due for part in bar.parts))
        alike = dict[object, list[BarPart]]()
        for bar in bars:
            for part in bar.parts:
                alike.setdefault((part.length_mm, part.ends_deg), []).append(part)
        for parts in alike.values():
            parts.sort(key=lambda part: part.due)
        bars = [
            replace(bar, parts=tuple(alike[(part.length_mm, part.ends_deg)].pop(0) for part in bar.parts))
            for bar in bars
        ]
    return tuple(
        replace(bar, parts=tuple(sorted(bar.parts, key=lambda part: (part.due, -part.length_mm)))) for bar in bars
    )


def _mitred(own: CutWanted, wanted: CutWanted, left_s: Callable[[], float]) -> CutPlan:
    """Square lists that stand for the mitred one are cut, and each bar is laid anew with its mitres: the cheapest of
    those that then still fit, the saw's time in it. The list of what ends lose at least gives the bound.

    own: the list itself; wanted: with the saw's time in what opening a piece costs.
    """
    section = wanted.section
    assert section is not None
    lists = squared(wanted, section.deep_mm)
    share = left_s() / (len(lists) + 1)
    bound = cut(least_square(wanted, section.deep_mm, section.turns), sparing(left_s, left_s() - share))
    best: CutPlan | None = None
    best_total = Decimal(0)
    for n, each in enumerate((None, *lists), 1):
        if best is not None and not best.unplaced and best.cost - bound.bound < CENT:
            break
        found = bound if each is None else cut(each, sparing(left_s, share * (len(lists) + 1 - n)))
        plan = _with_mitres(wanted, found, bound.bound)
        if plan is None:
            continue
        total = _in_order(own, _own_costs(own, plan, plan.bars)).total
        if best is None or (_missing(plan), total) < (_missing(best), best_total):
            best, best_total = plan, total
    assert best is not None  # the last list fits whatever lies beside what
    placed_alike = not best.unplaced and not bound.unplaced
    proven = placed_alike and best.cost - bound.bound < CENT
    return replace(best, proven=proven, bound=best.bound if placed_alike else min(best.bound, Decimal(0)))


def _with_mitres(wanted: CutWanted, found: CutPlan, bound: Decimal) -> CutPlan | None:
    """A square list's plan, each bar laid with its mitres; None where one then does not fit."""
    section = wanted.section
    assert section is not None
    of = {part.id: part for part in wanted.parts}
    rows = {piece.id: piece for piece in wanted.pieces}
    bars = list[CutBar]()
    for bar in found.bars:
        piece, parts = rows[bar.piece.id], [of[part.id] for part in bar.parts]
        chain = laid(wanted, parts, section.deep_mm, section.turns)
        rest_mm = piece.length_mm - Decimal(repr(round(ends_at(wanted, chain, section.deep_mm), 6)))
        if rest_mm < wanted.grip_mm:
            return None
        kept = rest_mm >= wanted.rest_keep_mm
        bars.append(CutBar(piece, tuple(one.part for one in chain), rest_mm, kept, wanted.cost_of(piece, rest_mm)))
    cost = sum((bar.cost for bar in bars), Decimal(0))
    out = tuple(replace(one, part=of[one.part.id]) for one in found.unplaced)
    return replace(found, bars=tuple(bars), unplaced=out, cost=cost, bound=min(bound, cost))


def sparing(left_s: Callable[[], float], seconds: float) -> Callable[[], float]:
    """The seconds left but so many."""
    return lambda: left_s() - seconds


def _missing(plan: CutPlan) -> list[tuple[int, Decimal]]:
    """Length left out, what is due first first."""
    lost = dict[int, Decimal]()
    for one in plan.unplaced:
        lost[one.part.due] = lost.get(one.part.due, Decimal(0)) + one.part.length_mm * one.count
    return [(-due, length) for due, length in sorted(lost.items())]


def _in_order(wanted: CutWanted, plan: CutPlan) -> Sawing:
    bars, at = list[SawnBar](), dict[object, tuple[int, int]]()
    stack = wanted.saw.stack if wanted.saw is not None else 1
    cuts, loads = 0, 0
    for k, bar in enumerate(plan.bars):
        steps, rest_kg = _steps(wanted, lightened(wanted, bar))
        bar = replace(bar, parts=tuple(one.lying.part for one in steps))
        alike = (bar.piece.length_mm, tuple((part.length_mm, part.ends_deg) for part in bar.parts))
        first, many = at.get(alike, (k, 0))
        if many == stack:
            first, many = k, 0
        at[alike] = (first, many + 1)
        loads += 1
        if many == 0:
            own = sum(not one.lying.shares and abs(one.lying.left) > 0 for one in steps)
            cuts += len(steps) + own + (wanted.end_trim_mm > 0)
        bars.append(SawnBar(bar, steps, rest_kg, first))
    plan = replace(plan, bars=tuple(one.bar for one in bars))
    if wanted.saw is None:
        return Sawing(plan, tuple(bars), cuts, None, None, plan.cost, plan.bound)
    saw_s = cuts * wanted.saw.cut_s + loads * wanted.saw.load_s
    saw_cost = saw_money(wanted.saw, saw_s)
    return Sawing(plan, tuple(bars), cuts, saw_s, saw_cost, plan.cost + saw_cost, plan.bound)


def lightened(wanted: CutWanted, bar: CutBar) -> CutBar:
    """The bar with its parts in an order by which it is soonest light enough to be moved by hand.

    Args:
        wanted: what may be moved, and what the bar weighs. bar: to be cut.
    Returns: longest first until what is left is light enough, then as it was; no order needs fewer heavy cuts.
    """
    section = wanted.section
    if wanted.lift_kg is None or section is None or section.kg_per_m is None or any(p.mitred for p in bar.parts):
        return bar
    waiting, out, left_mm = list(bar.parts), list[BarPart](), bar.piece.length_mm - wanted.trim_mm
    while waiting and float(left_mm) * section.kg_per_m / 1000 > wanted.lift_kg:
        longest = max(waiting, key=lambda part: part.length_mm)
        waiting.remove(longest)
        out.append(longest)
        left_mm -= longest.length_mm + wanted.kerf_mm
    return replace(bar, parts=(*out, *waiting))


def _steps(wanted: CutWanted, bar: CutBar) -> tuple[tuple[Sawn, ...], float | None]:
    """One bar part by part, and what its rest weighs."""
    section = wanted.section
    deep_mm = section.deep_mm if section is not None else 0.0
    if section is not None and any(part.mitred for part in bar.parts):
        chain = laid(wanted, bar.parts, deep_mm, section.turns)
    else:
        lying, at = list[Lying](), float(wanted.trim_mm)
        for part in bar.parts:
            lying.append(Lying(part, 0.0, 0.0, at, at + float(part.length_mm), shares=bool(lying)))
            at = lying[-1].to_mm + float(wanted.kerf_mm)
        chain = tuple(lying)
    per_mm = section.kg_per_m / 1000 if section is not None and section.kg_per_m is not None else None
    steps, left_mm = list[Sawn](), float(bar.piece.length_mm)
    for one in chain:
        weight = None if per_mm is None else (one.to_mm - one.from_mm) * per_mm
        steps.append(Sawn(one, None if per_mm is None else left_mm * per_mm, weight))
        left_mm = float(bar.piece.length_mm) - one.to_mm
    return tuple(steps), None if per_mm is None else float(bar.rest_mm) * per_mm
