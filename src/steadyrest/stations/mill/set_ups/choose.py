"""The set-ups of a part on one mill: the fewest clampings that reach everything, in an order in which each is held."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice, permutations

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import MillLimits
from steadyrest.shop.part import Vec3
from steadyrest.stations.mill.removal.cells import SIDES, BoolArray, ByteArray, Cells, direction, view
from steadyrest.stations.mill.set_ups.cell_classes import class_of, classes
from steadyrest.stations.mill.set_ups.cover import MOST_CANDIDATES, covers
from steadyrest.stations.mill.set_ups.held import STEEL_MPA, Hold, Lying
from steadyrest.stations.mill.set_ups.holding import hold_of
from steadyrest.stations.mill.set_ups.jaws import between_jaws, ends_free, held_cells, level_axes
from steadyrest.stations.mill.set_ups.needs import Need, bits, dot
from steadyrest.stations.mill.set_ups.turned import in_turning_chuck, turned_grip_mm
from steadyrest.stations.mill.set_ups.turning_axes import (
    NEAR_RAD,
    about_level_axis,
    level_sides,
    slants_reached,
    turns_to,
)
from steadyrest.stations.mill.set_ups.vise import grip_of
from steadyrest.tables.practice import rule

MOST_COVERS = 12
MOST_ORDERS = 24
FEW_CELLS = 30
SQUARE = 0.01  # cosine below which a direction stands square to an axis


@dataclass(frozen=True, slots=True)
class Candidate:
    """A clamping: its side up (None: a slant), the direction up, all sides it is worked from (bits), and slants.

    turned: in the chuck of a level turning axis, the side `base` being its free end.
    """

    base: int | None
    up: Vec3
    sides: int
    slants: tuple[Vec3, ...]
    cost: float
    turned: bool = False


@dataclass(frozen=True, slots=True)
class SetUp:
    """One clamping of the part on the mill.

    base: side up, None for a slant; up: its direction out of the part, in the file's frame. sides: worked from, the
    side up first. slants: other directions worked from. hold: what holds it. held_cells: layers that jaws close in.
    across: which of the part's three directions the jaws close along; None without jaws. raw_seat: it lies on the
    stock's own face, which nothing has cut.
    """

    base: int | None
    up: Vec3
    sides: tuple[int, ...]
    slants: tuple[Vec3, ...]
    hold: Hold
    held_cells: int
    across: int | None = None
    raw_seat: bool = True


@dataclass(frozen=True, slots=True)
class Chosen:
    """set_ups: in the order of work; empty where no way was found. why_not: then all that speaks against it.

    left_out: sides that the work cannot be turned up, and why.
    """

    set_ups: tuple[SetUp, ...]
    why_not: tuple[Reason, ...]
    left_out: tuple[tuple[int, Reason], ...]


def choose_set_ups(
    cells: Cells,
    seen: ByteArray,
    needs: Sequence[Need],
    limits: MillLimits,
    *,
    deepest_mm: float,
    e_mpa: float = STEEL_MPA,
) -> Chosen:
    """The set-ups of a part.

    Args:
        cells: part and blank.
        seen: from which sides each empty cell is seen.
        needs: of its features.
        limits: of the mill.
        deepest_mm: how far down any cutter gets.
        e_mpa: modulus of the metal.
    Returns: the set-ups, or every reason against them.
    """
    candidates, left_out = _candidates(cells, needs, limits)
    asked = _asked(cells, seen, needs, candidates, limits, deepest_mm)
    said = tuple(dict.fromkeys(reason for _, reason in left_out))
    if not asked:
        return Chosen((), said, left_out)
    found = covers(asked, [candidate.cost for candidate in candidates])
    why_not: list[Reason] = list(said)
    memory = _Memory(cells, seen, candidates, limits, e_mpa)
    best: tuple[int, float, tuple[int, ...], tuple[SetUp, ...]] | None = None
    for cover in found[:MOST_COVERS]:
        if best is not None and len(cover) > best[0]:
            break
        unfaced = _unfaced(cells, [candidates[number] for number in cover])
        for order in islice(permutations(cover), MOST_ORDERS):
            held = memory.held(order)
            if isinstance(held, Reason):
                why_not.append(held)
                continue
            trouble = unfaced + memory.late(order) + sum(candidates[number].cost for number in cover)
            trouble += sum(one.hold.trouble + 0.01 * one.hold.finished for one in held)
            if best is None or (trouble, order) < best[1:3]:
                best = len(cover), trouble, order, held
    if best is None:
        return Chosen((), tuple(dict.fromkeys((*memory.said, *why_not))), left_out)
    return Chosen(best[3], (), left_out)


def _unfaced(cells: Cells, chosen: Sequence[Candidate]) -> float:
    """Small: thick skins that no chosen side faces off, so that they come off with the side of a cutter."""
    faced = 0
    for one in chosen:
        faced |= one.sides
    skins = [cells.pads[side // 2] * cells.pitch_mm for side in range(SIDES) if not faced >> side & 1]
    return sum(min(skin / rule("thick_skin_mm"), 1.0) * 0.1 for skin in skins)


def _candidates(
    cells: Cells, needs: Sequence[Need], limits: MillLimits
) -> tuple[tuple[Candidate, ...], tuple[tuple[int, Reason], ...]]:
    """Clampings that the machine has room for, and why it has none for others."""
    shape = cells.finished.shape
    slants: list[Vec3] = []
    for need in needs:
        if need.way in ("hole", "cells") and not need.sides:
            for slant in need.slant:
                if not any(dot(slant, other) > rule("same_direction_cos") for other in slants):
                    slants.append(slant)
    found: list[Candidate] = []
    left_out: list[tuple[int, Reason]] = []
    for side in range(SIDES):
        if limits.axes == "3+1" and limits.turn_chuck_mm is not None:
            found.append(_turned(cells, limits, side, slants))
        no = _no_room(cells, limits, side)
        if no is not None:
            left_out.append((side, no))
            continue
        up = direction(cells, side)
        sides, reached, small = tilted(cells, limits, side, slants)
        if small is not None:
            left_out.append((side, small))
        height = shape[side // 2] / max(shape)
        gripped = grip_of(limits, shape[side // 2] * cells.pitch_mm) is not None
        found.append(Candidate(side, up, sides, reached, 1.0 + 0.05 * height + (0.0 if gripped else 0.2)))
    reached_by_tilt = {slant for one in found for slant in one.slants}
    leaning = [slant for slant in slants if slant not in reached_by_tilt and leans_on_table(cells, limits, slant)]
    room = MOST_CANDIDATES - len(found)
    found.extend(Candidate(None, slant, 0, (slant,), 1.3) for slant in leaning[:room])
    return tuple(found), tuple(left_out)


def leans_on_table(cells: Cells, limits: MillLimits, slant: Vec3) -> bool:
    """Whether the work can be set leaning on the table, so that a slant is up.

    Args:
        cells: part and blank.
        limits: of the mill.
        slant: unit vector out of the part.
    Returns: whether a sine vise or an angle plate goes so far, and the work then has room under the spindle.
    """
    frame, pitch = cells.grid.frame, cells.pitch_mm
    high = sum(abs(dot(frame[k], slant)) * n * pitch for k, n in enumerate(cells.finished.shape))
    lean = min(math.acos(min(abs(dot(way, slant)), 1.0)) for way in frame)
    return lean <= limits.lean_rad + NEAR_RAD and high <= limits.travel_mm[2] - rule("mill_clear_mm")


def tilted(
    cells: Cells, limits: MillLimits, side: int, slants: Sequence[Vec3]
) -> tuple[int, tuple[Vec3, ...], Reason | None]:
    """What a table that tilts shows of work lying with a side up.

    Args:
        cells: part and blank.
        limits: of the mill.
        side: up when nothing is tilted.
        slants: directions out of the part that are wanted.
    Returns: sides as bits, of the slants those reached, and why from above only (None: not so).
    """
    if limits.axes not in ("3+2", "5"):
        return 1 << side, (), None
    shape = [n * cells.pitch_mm for n in cells.finished.shape]
    level = [axis for axis in range(3) if axis != side // 2]
    across, high = math.hypot(*(shape[axis] for axis in level)), shape[side // 2]
    if limits.turn_mm is not None and (across > limits.turn_mm[0] or high > limits.turn_mm[1]):
        why = because(
            "mill.turn_small", allowed_mm=limits.turn_mm[0], high_mm=limits.turn_mm[1], has_mm=across, has_high_mm=high
        )
        return 1 << side, (), why
    up = direction(cells, side)
    reached = slants_reached(up, slants, limits, direction(cells, 2 * level[0]))
    return bits((side, *level_sides(side, limits))), reached, None


def _turned(cells: Cells, limits: MillLimits, end: int, slants: Sequence[Vec3]) -> Candidate:
    """In the chuck of a level turning axis with one end free: worked from the sides about it."""
    sides = about_level_axis(end, limits)
    axis, first = direction(cells, end), direction(cells, sides[0])
    square = [slant for slant in slants if abs(dot(slant, axis)) < SQUARE]
    reached = slants_reached(first, square, replace(limits, tilt_rad=(0.0, math.pi)), axis)
    stops = tuple(slant for slant in reached if turns_to(limits, math.acos(max(min(dot(slant, first), 1.0), -1.0))))
    return Candidate(end, first, bits(sides), stops, 1.05, turned=True)


def _no_room(cells: Cells, limits: MillLimits, side: int) -> Reason | None:
    """Why the work cannot lie with this side up: too high, too slender to stand, or longer than the travel."""
    high = cells.finished.shape[side // 2] * cells.pitch_mm
    rest = (cells.finished.shape[axis] * cells.pitch_mm for axis in range(3) if axis != side // 2)
    wide, long = sorted(rest)
    travel = sorted(limits.travel_mm[:2], reverse=True)
    table = sorted(limits.table_mm, reverse=True)
    room = limits.travel_mm[2] - rule("mill_clear_mm")
    if high > room:
        return because("mill.too_tall", has_mm=high, machine_mm=limits.travel_mm[2], allowed_mm=room)
    if high > rule("stand_ratio") * wide:
        return because("mill.too_slender", has_mm=high, wide_mm=wide, ratio=rule("stand_ratio"))
    if long > table[0] or wide > table[1]:
        return because(
            "mill.table_less", length_mm=long, width_mm=wide, table_length_mm=table[0], table_width_mm=table[1]
        )
    if long > travel[0] or wide > travel[1]:
        return because(
            "mill.too_wide_to_reach", length_mm=long, width_mm=wide, travel_x_mm=travel[0], travel_y_mm=travel[1]
        )
    return None


def _asked(
    cells: Cells,
    seen: ByteArray,
    needs: Sequence[Need],
    candidates: Sequence[Candidate],
    limits: MillLimits,
    deepest_mm: float,
) -> list[int]:
    """Each need as the candidates that meet it; what none meets is left out."""
    low = np.zeros((SIDES, 5), dtype=np.int64)
    for side in range(SIDES):
        across, along = level_axes(cells, side)
        free = cells.pads[along] if ends_free(cells, limits, along) else 0
        chuck = round(turned_grip_mm(cells.finished.shape[side // 2] * cells.pitch_mm) / cells.pitch_mm)
        low[side] = held_cells(cells, limits, side), across, along, free, chuck
    deepest = max(int(deepest_mm / cells.pitch_mm), 1)
    asked: list[int] = []
    for need in needs:
        if need.way in ("stays", "edge"):
            continue
        if need.both:
            asked.extend(_both(need, candidates))
            continue
        met = 0
        for number, one in enumerate(candidates):
            slanted = any(dot(a, b) > rule("same_direction_cos") for a in need.slant for b in one.slants)
            if need.cell is not None:
                key = class_of(seen, low, deepest, *need.cell)
                good = _reaches(int(key), one) or slanted
            else:
                good = bool(need.sides & one.sides) or slanted
            met |= good << number
        if met:
            asked.append(met)
    counts = classes(seen, cells.stock, low, deepest)
    few = max(FEW_CELLS, rule("class_share") * float(counts.sum()))
    for key in np.flatnonzero(counts >= few):
        met = sum(_reaches(int(key), one) << number for number, one in enumerate(candidates))
        if met:
            asked.append(met)
    return asked


def _both(need: Need, candidates: Sequence[Candidate]) -> list[int]:
    """For a hole that is drilled from both its sides: each side as the candidates that meet it, where both can be."""
    sides = [side for side in range(SIDES) if need.sides >> side & 1]
    met = [sum(bool(one.sides >> side & 1) << number for number, one in enumerate(candidates)) for side in sides]
    return met if all(met) else [one for one in met if one][:1]


def _reaches(key: int, one: Candidate) -> bool:
    """Whether a clamping reaches cells of a class: seen from one of its sides, and not between its jaws."""
    shut = key >> (2 * SIDES if one.turned else SIDES)
    return bool(key & one.sides) and not (one.base is not None and shut & (1 << one.base))


class _Memory:
    """How the work is held after others: asked for many orders, worked out once for each."""

    def __init__(
        self, cells: Cells, seen: ByteArray, candidates: Sequence[Candidate], limits: MillLimits, e_mpa: float
    ) -> None:
        self.cells, self.seen, self.candidates, self.limits, self.e_mpa = cells, seen, candidates, limits, e_mpa
        self.holds: dict[tuple[frozenset[int], int], SetUp | None] = {}
        self.stocks: dict[frozenset[int], BoolArray] = {frozenset(): cells.stock}
        self.said: dict[Reason, None] = {}

    def held(self, order: tuple[int, ...]) -> tuple[SetUp, ...] | Reason:
        """The set-ups in this order, or that one of them is not held."""
        found: list[SetUp] = []
        for place, number in enumerate(order):
            before = frozenset(order[:place])
            if (before, number) not in self.holds:
                self.holds[before, number] = self._hold(before, number)
            held = self.holds[before, number]
            if held is None:
                return because("mill.not_held", place=float(place + 1), count=float(len(order)))
            found.append(held)
        return tuple(found)

    def late(self, order: tuple[int, ...]) -> float:
        """Small: what much material waits for a late set-up."""
        share = [float(np.count_nonzero(self.seen & self.candidates[n].sides)) / self.seen.size for n in order]
        return 0.03 * sum(place * one for place, one in enumerate(share))

    def _stock(self, done: frozenset[int]) -> BoolArray:
        if done not in self.stocks:
            number = min(done)
            one, before = self.candidates[number], self._stock(done - {number})
            gone = (self.seen & np.uint8(one.sides)) != 0
            if one.base is not None:
                high_mm = self.cells.finished.shape[one.base // 2] * self.cells.pitch_mm
                low = held_cells(self.cells, self.limits, one.base)
                if one.turned:
                    low = round(turned_grip_mm(high_mm) / self.cells.pitch_mm)
                gone &= ~between_jaws(self.cells, self.seen, self.limits, one.base, low, around=one.turned)
            self.stocks[done] = before & ~gone
        return self.stocks[done]

    def _hold(self, before: frozenset[int], number: int) -> SetUp | None:
        one, stock = self.candidates[number], self._stock(before)
        base = one.base
        if base is None:
            base = max(range(SIDES), key=lambda side: dot(direction(self.cells, side), one.up))
        seen = view(stock, base)
        there = np.flatnonzero(seen.any(axis=(1, 2)))
        height = (int(there[-1]) - int(there[0]) + 1) * self.cells.pitch_mm if len(there) else 0.0
        bare = [pad == 0 for axis, pad in enumerate(self.cells.pads) if axis != base // 2]
        work = Lying(
            stock=seen,
            finished=view(self.cells.finished, base),
            gone=seen & (view(self.seen, base) & np.uint8(one.sides) != 0),
            pitch_mm=self.cells.pitch_mm,
            limits=self.limits,
            grip=grip_of(self.limits, height),
            height_mm=height,
            bare=(bare[0], bare[1]),
            e_mpa=self.e_mpa,
        )
        sides = [side for side in range(SIDES) if one.sides >> side & 1]
        hold, why_not = in_turning_chuck(work, sides=len(sides)) if one.turned else hold_of(work)
        if hold is None:
            self.said.update(dict.fromkeys(why_not))
            return None
        if not hold.around and work.rocks:
            hold = replace(hold, rocks=True)
        below = seen.shape[0] - 1 - int(there[-1])
        held = below + round(hold.grip_mm / self.cells.pitch_mm) if hold.grip_mm else 0
        sides.sort(key=lambda side: side != base)
        level = [axis for axis in range(3) if axis != base // 2]
        across = level[hold.axis - 1] if hold.axis else None
        raw = below < self.cells.pads[base // 2] or not self.cells.pads[base // 2]
        return SetUp(one.base, one.up, tuple(sides), one.slants, hold, held, across, raw)
