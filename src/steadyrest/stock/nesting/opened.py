"""Which sheets are opened: the cheapest choice of them that a nest of all parts was found for, and what stays of each.

No choice is tried that cannot hold all parts by area, by their number or by where each fits (enough.py), and none is
cheaper than the cheapest of those that may: that is the bound. Of equal parts those due first go onto the sheets cut
first.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stock.nesting.beforehand import area_there, areas_taken, fits_alone
from steadyrest.stock.nesting.enough import Choice, Lot, may_hold
from steadyrest.stock.nesting.floor import ground
from steadyrest.stock.nesting.judged import closest, faults
from steadyrest.stock.nesting.pieces import polygon
from steadyrest.stock.nesting.plan import THIN_MM, TOGETHER_ROUNDS, Jobs, as_holes, one_after_another, together
from steadyrest.stock.nesting.search import Search, Told, silent
from steadyrest.stock.nesting.sheets import Sheet, SheetsPlan, nest_on_sheets
from steadyrest.stock.nesting.table import table
from steadyrest.stock.nesting.wanted import Left, NestPart, NestWanted, NotPlaced, Placed

EASY = 0.75  # of the area: so full a nest comes up in seconds
FIRST_SHARE, NEXT_SHARE, PUSH_SHARE = 0.4, 0.4, 0.15
MOST_CHOICES = 20_000


@dataclass(frozen=True, slots=True)
class StockSheet:
    """So many equal sheets. cost: of opening one."""

    id: str
    sheet: Sheet
    count: int
    cost: Decimal
    heat_number: str = ""


@dataclass(frozen=True, slots=True)
class RestRule:
    """What is kept of an opened sheet: pieces of at least this area and width, each mm2 at so much."""

    keep_mm2: float = 0.0
    keep_width_mm: float = 0.0
    value_per_mm2: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class OpenedSheet:
    """A sheet that is cut. number: which of the equal ones, from 1. used: share of its area in parts. left: what stays
    in one piece; kept: whether it goes back to the rack, at `worth`."""

    of: StockSheet
    number: int
    placed: tuple[Placed, ...]
    used: float
    left: Left
    kept: bool
    worth: Decimal


@dataclass(frozen=True, slots=True)
class OpenedPlan:
    """sheets: in the order in which they are to be cut. cost: of opening them. least: no choice that could hold these
    parts costs less. worth: of what goes back to the rack."""

    sheets: tuple[OpenedSheet, ...]
    unplaced: tuple[NotPlaced, ...]
    cost: Decimal
    least: Decimal
    worth: Decimal
    doubts: tuple[Reason, ...]

    @property
    def closest_mm(self) -> float | None:
        """The least distance from part to part on any sheet; None: no sheet has two."""
        found = [near for one in self.sheets if (near := closest(one.placed)) is not None]
        return min(found, default=None)


def on_opened(
    wanted: NestWanted,
    sheets: Sequence[StockSheet],
    rule: RestRule,
    left_s: Callable[[], float],
    *,
    seed: int = 0,
    told: Told = silent,
    searches: int = 1,
    at_once: Callable[[Jobs], None] = one_after_another,
) -> OpenedPlan:
    """Which sheets are cut, and where every part goes.

    Args:
        wanted: parts and clearances; its own plate, holes and clamps are not looked at.
        sheets: what there is. rule: what is kept of them.
        left_s: seconds left; 0 or less: stop with the best so far.
        seed: of the luck. told: what is being done, and how much is lacking.
        searches: how many look side by side. at_once: does jobs, at the same time if it can.
    Returns: the cheapest that was found; where not all parts find a place, those due first do.
    """
    fits = {part.id: [fits_alone(_on(wanted, one.sheet), part) for one in sheets] for part in wanted.parts}
    never = tuple(part for part in wanted.parts if part.count and not any(fits[part.id]))
    some = replace(wanted, parts=tuple(part for part in wanted.parts if part.count and part not in never))
    doubts = [because("nest.fits_no_sheet", part=part.id) for part in never]
    lacking = [NotPlaced(part, part.count) for part in never]
    if not some.parts:
        return OpenedPlan((), tuple(lacking), Decimal(0), Decimal(0), Decimal(0), tuple(doubts))
    takes = areas_taken(replace(some, parts=tuple(replace(part, count=1) for part in some.parts))).tolist()
    need = sum(area * part.count for area, part in zip(takes, some.parts, strict=True))
    lots = tuple(Lot(area, p.count, tuple(fits[p.id])) for area, p in zip(takes, some.parts, strict=True))
    there = [area_there(as_holes(_on(wanted, one.sheet))) for one in sheets]
    everything = tuple(one.count for one in sheets)
    if may_hold(everything, there, lots):
        choices = list(by_cost(sheets, there, need, lambda choice: may_hold(choice, there, lots)))
        least = min((_cost(sheets, choice) for choice in choices), default=least_for_area(sheets, there, need))
        choices = choices or [everything]
    else:
        choices, least = list[Choice](), None
        has_mm2 = float(np.dot(everything, there))
        more = because("nest.more_area", wanted_mm2=need, has_mm2=has_mm2)
        doubts.append(more if need > has_mm2 else because("nest.sheets_too_few"))

    def tried(choice: Choice, share: float) -> tuple[Choice, SheetsPlan]:
        kept = left_s() * (1 - share)
        return choice, _tried(
            some, sheets, choice, lambda: left_s() - kept, seed=seed, told=told, searches=searches, at_once=at_once
        )  # fmt: skip

    best = _cheapest([*choices, *(() if everything in choices else (everything,))], there, need, tried, left_s)
    lacking += best[1].unplaced
    if best[1].unplaced and choices:
        doubts.append(because("nest.perhaps_more"))
    opened = _stood(some, sheets, *best, rule, left_s, seed)
    cost = sum((one.of.cost for one in opened), Decimal(0))
    worth = sum((one.worth for one in opened), Decimal(0))
    return OpenedPlan(opened, tuple(lacking), cost, cost if least is None else min(least, cost), worth, tuple(doubts))


def by_cost(
    sheets: Sequence[StockSheet],
    there_mm2: Sequence[float],
    need_mm2: float,
    may: Callable[[Choice], bool] = lambda _choice: True,
) -> Iterator[Choice]:
    """How many of each sheet are opened: choices that have the area, none with a sheet more than an easy nest needs,
    the cheapest first.

    Args:
        sheets: what there is. there_mm2: area of each for parts. need_mm2: of all parts.
        may: whether a choice may hold them for all else that is known.
    Returns: choices; at most 20,000 are looked at.
    """
    tail = [0.0] * (len(sheets) + 1)
    for k in range(len(sheets) - 1, -1, -1):
        tail[k] = tail[k + 1] + sheets[k].count * there_mm2[k]
    heap: list[tuple[Decimal, float, Choice, int]] = [(Decimal(0), 0.0, (0,) * len(sheets), 0)]
    for _ in range(MOST_CHOICES):
        if not heap:
            return
        cost, area, choice, first = heapq.heappop(heap)
        if area >= need_mm2 and may(choice):
            yield choice
            if area >= need_mm2 / EASY:
                continue
        for k in range(first, len(sheets)):
            if choice[k] == sheets[k].count or area + tail[k] - choice[k] * there_mm2[k] < need_mm2:
                continue
            more = (*choice[:k], choice[k] + 1, *choice[k + 1 :])
            heapq.heappush(heap, (cost + sheets[k].cost, area + there_mm2[k], more, k))


def least_for_area(sheets: Sequence[StockSheet], there_mm2: Sequence[float], need_mm2: float) -> Decimal:
    """What so much area costs at least, if a sheet could be opened in part: a bound where there are too many choices.

    Args:
        sheets: what there is. there_mm2: area of each for parts. need_mm2: of all parts.
    Returns: money.
    """
    total, need = Decimal(0), need_mm2
    per = sorted((one.cost / Decimal(repr(area)), area * one.count) for one, area in zip(sheets, there_mm2, strict=True)
                 if area > 0)  # fmt: skip
    for price, has in per:
        taken = min(need, has)
        total += price * Decimal(repr(taken))
        need -= taken
        if need <= 0:
            break
    return total


def _cost(sheets: Sequence[StockSheet], choice: Choice) -> Decimal:
    return sum((n * one.cost for n, one in zip(choice, sheets, strict=True)), Decimal(0))


def _cheapest(
    choices: Sequence[Choice],
    there: Sequence[float],
    need: float,
    tried: Callable[[Choice, float], tuple[Choice, SheetsPlan]],
    left_s: Callable[[], float],
) -> tuple[Choice, SheetsPlan]:
    """One that is easy first, then by halves down to the cheapest for which a nest comes up."""
    easy = next((k for k, one in enumerate(choices) if need <= EASY * float(np.dot(one, there))), len(choices) - 1)
    best = tried(choices[easy], FIRST_SHARE if easy else 1 - PUSH_SHARE)
    while best[1].unplaced and easy < len(choices) - 1 and left_s() > 0:
        easy = (easy + len(choices)) // 2
        best = min(best, tried(choices[easy], NEXT_SHARE), key=lambda one: _lacking(one[1]))
    low, high = 0, easy
    while low < high and left_s() > 0:
        middle = (low + high) // 2
        found = tried(choices[middle], NEXT_SHARE)
        if _lacking(found[1]) <= _lacking(best[1]):
            best, high = found, middle
        else:
            low = middle + 1
    if 0 < low <= easy and not best[1].unplaced and left_s() > 0:
        # Time is left: the one below the best, which did not come up, once more.
        found = tried(choices[low - 1], 1 - PUSH_SHARE)
        best = best if found[1].unplaced else found
    return best


def _lacking(plan: SheetsPlan) -> tuple[tuple[int, float], ...]:
    """What found no place, what is due first first."""
    lost = dict[int, float]()
    for one in plan.unplaced:
        area = polygon(one.part.outline_mm, one.part.holes_mm).area * one.count
        lost[one.part.due] = lost.get(one.part.due, 0.0) + area
    # A time at which nothing is lost comes after any at which something is.
    return tuple((-due, area) for due, area in sorted(lost.items()))


def _on(wanted: NestWanted, sheet: Sheet) -> NestWanted:
    """The same parts on one sheet."""
    return replace(wanted, plate_mm=sheet.outline_mm, holes_mm=sheet.holes_mm, clamps_mm=sheet.clamps_mm)


def _tried(
    wanted: NestWanted, sheets: Sequence[StockSheet], choice: Choice, left_s: Callable[[], float], *, seed: int,
    told: Told, searches: int, at_once: Callable[[Jobs], None],
) -> SheetsPlan:  # fmt: skip
    """A nest on these sheets, the smaller ones filled first so that the rest stays on a large one."""
    those = [sheets[k].sheet for k in _each(sheets, choice)]
    return nest_on_sheets(
        wanted, those, left_s, seed=seed, told=told, searches=searches, at_once=at_once, rounds=TOGETHER_ROUNDS
    )


def _each(sheets: Sequence[StockSheet], choice: Choice) -> list[int]:
    """Which sheets are opened, one entry each, the smallest first."""
    each = [k for k, n in enumerate(choice) for _ in range(n)]
    return sorted(each, key=lambda k: polygon(sheets[k].sheet.outline_mm).area)


def _stood(
    wanted: NestWanted, sheets: Sequence[StockSheet], choice: Choice, plan: SheetsPlan, rule: RestRule,
    left_s: Callable[[], float], seed: int,
) -> tuple[OpenedSheet, ...]:  # fmt: skip
    """The opened sheets in the order of cutting, parts on each pushed together, what is left of each."""
    found = [(sheets[k], placed) for k, placed in zip(_each(sheets, choice), plan.placed, strict=True) if placed]
    found.sort(key=lambda one: min((each.part.due, -_area(each.part)) for each in one[1]))
    swapped = first_due_first([placed for _, placed in found])
    opened, many = list[OpenedSheet](), dict[str, int]()
    for n, ((one, _), placed) in enumerate(zip(found, swapped, strict=True)):
        many[one.id] = many.get(one.id, 0) + 1
        kept = left_s() * (1 - 1 / (len(found) - n))
        here = _on(wanted, one.sheet)
        stands, left = pushed(here, placed, lambda kept=kept: left_s() - kept, seed=seed)
        free = polygon(here.plate_mm).area - sum(polygon(ring).area for ring in here.holes_mm)
        back = _goes_back(left, rule)
        worth = Decimal(repr(left.area_mm2)) * rule.value_per_mm2 if back else Decimal(0)
        used = sum(_area(each.part) for each in stands) / free
        opened.append(OpenedSheet(one, many[one.id], stands, used, left, back, worth))
    return tuple(opened)


def _area(part: NestPart) -> float:
    return polygon(part.outline_mm, part.holes_mm).area


def _goes_back(left: Left, rule: RestRule) -> bool:
    if left.area_mm2 <= 0 or left.area_mm2 < rule.keep_mm2:
        return False
    box = polygon(left.outline_mm).bounds
    return min(box[2] - box[0], box[3] - box[1]) >= rule.keep_width_mm


def first_due_first(sheets: Sequence[Sequence[Placed]]) -> list[tuple[Placed, ...]]:
    """Equal outlines change places so that those due first lie on the sheets cut first.

    Args:
        sheets: what lies on each, in the order of cutting.
    Returns: the same places, with the parts exchanged.
    """
    alike = dict[object, list[NestPart]]()
    for placed in sheets:
        for one in placed:
            alike.setdefault((one.part.outline_mm, one.part.holes_mm), []).append(one.part)
    for parts in alike.values():
        parts.sort(key=lambda part: part.due)
    return [
        tuple(replace(one, part=alike[(one.part.outline_mm, one.part.holes_mm)].pop(0)) for one in placed)
        for placed in sheets
    ]


def pushed(
    wanted: NestWanted, placed: Sequence[Placed], left_s: Callable[[], float], *, seed: int
) -> tuple[tuple[Placed, ...], Left]:
    """What lies on a plate pushed to that end, along either side, that leaves most of it in one piece.

    Args:
        wanted: the plate. placed: where parts lie, clear of each other. left_s: seconds left. seed: of the luck.
    Returns: where they lie then, judged by exact polygons, and what is left.
    """
    parts = tuple(dict.fromkeys(one.part for one in placed))
    counted = tuple(replace(part, count=sum(one.part is part for one in placed)) for part in parts)
    each = sorted(placed, key=lambda one: parts.index(one.part))
    found = list[tuple[tuple[Placed, ...], Left]]()
    for axis in (0, 1):
        at = ground(as_holes(replace(wanted, parts=counted)), THIN_MM)
        search = Search(at, table(at), seed)
        poses = search.poses.copy()
        for slot, one in enumerate(each):
            poses[slot] = at.pose_of(slot, one)
        search.restore(poses)
        search.repaired(lambda: max(left_s(), 1.0))
        spared = 0.0 if axis else left_s() / 2
        left = together(search, lambda kept=spared: left_s() - kept, wanted, TOGETHER_ROUNDS, axis=axis)
        stands = tuple(replace(at.placed(slot, search.poses[slot]), part=one.part) for slot, one in enumerate(each))
        if not faults(wanted, stands):
            found.append((stands, left))
    return max(found, key=lambda one: one[1].area_mm2, default=(tuple(placed), Left(0.0, "x", 0.0, True)))
