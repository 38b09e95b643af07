"""A cutting plan as it is sawn: bars and parts in order, what is in hand at each cut, what is cut at once.

Equal parts change places so that those due first are on the bars cut first; a plan's cost does not change by it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.stock.cutting.mitred import Lying, ends_at, laid, squared
from steadyrest.stock.cutting.plan import CutBar, CutPlan, cut
from steadyrest.stock.cutting.wanted import BarPart, CutWanted

HOUR_S = 3600
PASSES = 3


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
    where the list says nothing of the saw's time."""

    plan: CutPlan
    bars: tuple[SawnBar, ...]
    cuts: int
    saw_s: float | None
    saw_cost: Decimal | None


def sawing(wanted: CutWanted, left_s: Callable[[], float]) -> Sawing:
    """How a list is sawn at least cost.

    Args:
        wanted: the list. left_s: seconds left; 0 or less: stop now with the best so far.
    Returns: the plan, in order.
    """
    opened = wanted
    if wanted.saw is not None:
        each = _money(wanted, wanted.saw.load_s + (wanted.saw.cut_s if wanted.end_trim_mm > 0 else 0.0))
        opened = replace(wanted, pieces=tuple(replace(one, cost=one.cost + each) for one in wanted.pieces))
    mitred = wanted.section is not None and any(part.mitred and part.count for part in wanted.parts)
    plan = _mitred(opened, left_s) if mitred else cut(opened, left_s)
    return _in_order(wanted, replace(plan, bars=first_due_first(plan.bars)))


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


def _mitred(wanted: CutWanted, left_s: Callable[[], float]) -> CutPlan:
    """Square lists that stand for the mitred one are cut, and each bar is laid anew with its mitres: the cheapest of
    those that then still fit. The list of middle lines gives the bound."""
    section = wanted.section
    assert section is not None
    least, lists = squared(wanted, section.deep_mm)
    of = {part.id: part for part in wanted.parts}
    rows = {piece.id: piece for piece in wanted.pieces}
    share = left_s() / (len(lists) + 1)
    bound = cut(least, sparing(left_s, left_s() - share))
    best: CutPlan | None = None
    for n, each in enumerate(lists, 2):
        if best is not None and not best.unplaced and best.cost <= bound.bound:
            break
        found = cut(each, sparing(left_s, share * (len(lists) + 1 - n)))
        bars = list[CutBar]()
        for bar in found.bars:
            piece, parts = rows[bar.piece.id], [of[part.id] for part in bar.parts]
            chain = laid(wanted, parts, section.deep_mm, section.turns)
            rest_mm = piece.length_mm - Decimal(repr(round(ends_at(wanted, chain, section.deep_mm), 6)))
            kept = rest_mm >= wanted.rest_keep_mm
            own = tuple(one.part for one in chain)
            bars.append(CutBar(piece, own, rest_mm, kept, wanted.cost_of(piece, rest_mm)))
        if any(bar.rest_mm < wanted.grip_mm for bar in bars):
            continue
        cost = sum((bar.cost for bar in bars), Decimal(0))
        out = tuple(replace(one, part=of[one.part.id]) for one in found.unplaced)
        plan = replace(found, bars=tuple(bars), unplaced=out, cost=cost, bound=min(bound.bound, cost))
        if best is None or (_missing(plan), plan.cost) < (_missing(best), best.cost):
            best = plan
    assert best is not None  # the last list fits whatever lies beside what
    placed_alike = not best.unplaced and not bound.unplaced
    proven = placed_alike and best.cost - bound.bound < Decimal("0.01")
    return replace(best, proven=proven, bound=best.bound if placed_alike else min(best.bound, Decimal(0)))


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
        return Sawing(plan, tuple(bars), cuts, None, None)
    saw_s = cuts * wanted.saw.cut_s + loads * wanted.saw.load_s
    return Sawing(plan, tuple(bars), cuts, saw_s, _money(wanted, saw_s))


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


def _money(wanted: CutWanted, seconds: float) -> Decimal:
    assert wanted.saw is not None
    return Decimal(repr(seconds)) * wanted.saw.person_per_hour / HOUR_S


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
