"""The geometry of milling a part: set-ups in their order, what each takes away, which features each makes.

Asked the same for every lot size and price break, so the last few answers are kept.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import cast

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Vec3
from steadyrest.shop.solid_grid import SolidGrid, coarser
from steadyrest.stations.mill.geometry import Geometry, Question, Side, Worked
from steadyrest.stations.mill.removal.at_a_slant import put_back, slant_of
from steadyrest.stations.mill.removal.cells import BoolArray, Cells, cells_of, direction, seen_from, tops, view
from steadyrest.stations.mill.removal.filled import with_holes_filled
from steadyrest.stations.mill.removal.reached import reached_by
from steadyrest.stations.mill.removal.slabs import slabs_of
from steadyrest.stations.mill.removal.slanted import open_at_a_slant
from steadyrest.stations.mill.removal.takes import SetUpCells, taken_by
from steadyrest.stations.mill.set_ups.choose import SetUp, choose_set_ups
from steadyrest.stations.mill.set_ups.in_the_way import in_the_way
from steadyrest.stations.mill.set_ups.needs import Need, dot, needs_of, upright
from steadyrest.stations.mill.set_ups.tilting import not_tilted, tilted_faces
from steadyrest.stations.mill.slivers import in_a_corner
from steadyrest.stations.sizes import called, value_mm
from steadyrest.tables.practice import rule

FLAT_ENDED = ("end mill", "slot drill")
MOST_CELLS = 8e6  # of part and allowance together; a small part in a large blank is looked at more coarsely


@lru_cache(maxsize=16)
def worked(question: Question) -> Geometry:
    """Set-ups, takes and who makes what.

    Args:
        question: part, blank, machine.
    Returns: the geometry; the same question gives the same object.
    """
    grid, limits = question.grid, question.limits
    while _cells_in(question.box_mm, grid) > MOST_CELLS:
        grid = coarser(grid)
    sinks = [f for f in question.features if f.kind == "cone" and f.inside]
    filled = with_holes_filled(grid, [*sinks, *(f for f in question.features if f.id in question.drilled)])
    cells = cells_of(
        grid, filled, box_mm=question.box_mm, bar=question.bar, as_stock=question.as_stock
    )  # fmt: skip
    seen = seen_from(cells.finished)
    open_ = seen_from(np.pad(grid.filled(), [(pad, pad) for pad in cells.pads]))
    needs = needs_of(cells, seen, open_, question.features, question.drilled, question.both)
    cutters = tuple(tool for tool in question.tools if tool.kind in FLAT_ENDED and tool.diameter_mm > 0)
    deepest = max((tool.reach_mm for tool in cutters), default=0.0)
    chosen = choose_set_ups(cells, seen, needs, limits, deepest_mm=deepest, e_mpa=question.e_mpa)
    stays = tuple(need.feature.id for need in needs if need.way == "stays")
    if not chosen.set_ups:
        return Geometry((), stays, (), chosen.why_not)
    state = _State(question, cells, seen, cells.stock.copy(), cutters)
    done: dict[str, int] = {}
    sides: list[tuple[Side, ...]] = []
    for number, set_up in enumerate(chosen.set_ups):
        sides.append((*state.slants(set_up, needs), *(state.side(set_up, side, needs) for side in set_up.sides)))
        for need in needs:
            if need.cell is not None and need.feature.id not in done and not state.left[need.cell]:
                done[need.feature.id] = number
    for need in needs:
        if need.feature.id not in done and (number := in_a_corner(cells, state.left, need, sides)) is not None:
            done[need.feature.id] = number
    _drill(chosen.set_ups, needs, done)
    for need in needs:
        if need.way == "along":
            done[need.feature.id] = _nearest(chosen.set_ups, need)
    undone = tuple(
        (need.feature.id, state.why_not(need, dict(chosen.left_out)))
        for need in needs
        if need.way != "stays" and need.feature.id not in done
    )
    found = tuple(
        Worked(
            set_up,
            one,
            (*_of(needs, done, number, "cells"), *_of(needs, done, number, "along")),
            _of(needs, done, number, "hole"),
            _of(needs, done, number, "edge"),
            cells.finished.shape[(set_up.base or 0) // 2] * cells.pitch_mm,
        )
        for number, (set_up, one) in enumerate(zip(chosen.set_ups, sides, strict=True))
    )
    level = (tilted_faces(cells, question.limits, one.set_up, one.cut, needs) for one in found)
    found = tuple(replace(one, tilted=names) for one, names in zip(found, level, strict=True))
    return Geometry(tuple(_needed(found)), stays, _with_corners(undone, found, needs, cells), ())


def _cells_in(box_mm: Vec3, grid: SolidGrid) -> float:
    """How many cells a blank holds."""
    return math.prod(max(box / grid.pitch_mm, n) for box, n in zip(box_mm, grid.shape, strict=True))


def _of(needs: Sequence[Need], done: dict[str, int], number: int, way: str) -> tuple[str, ...]:
    return tuple(need.feature.id for need in needs if need.way == way and done.get(need.feature.id) == number)


def _needed(found: Sequence[Worked]) -> Sequence[Worked]:
    """Set-ups in which something is done."""
    return [
        one for one in found if one.cut or one.drilled or one.edges or any(s.takes or s.faced_mm for s in one.sides)
    ]


def _drill(set_ups: Sequence[SetUp], needs: Sequence[Need], done: dict[str, int]) -> None:
    """Give each hole and edge to the set-up that can make most of them: what belongs together is made together."""
    open_ = [need for need in needs if need.way in ("hole", "edge")]
    able = {need.feature.id: [n for n, s in enumerate(set_ups) if _looks(s, need)] for need in open_}
    weight = [sum(n in able[need.feature.id] for need in open_ if need.way == "hole") for n in range(len(set_ups))]
    for need in open_:
        if able[need.feature.id]:
            done[need.feature.id] = max(able[need.feature.id], key=lambda n: (weight[n], -n))


def _nearest(set_ups: Sequence[SetUp], need: Need) -> int:
    """The set-up whose spindle stands most along a feature's axis: what is only a seam is made with what it joins."""
    return max(range(len(set_ups)), key=lambda n: (round(abs(dot(set_ups[n].up, need.feature.axis)), 3), -n))


def _looks(set_up: SetUp, need: Need) -> bool:
    cos = rule("same_direction_cos")
    slanted = any(dot(a, b) > cos for a in need.slant for b in set_up.slants)
    return slanted or any(need.sides >> side & 1 for side in set_up.sides)


class _State:
    """The stock as it becomes the part, set-up by set-up."""

    def __init__(self, question: Question, cells: Cells, seen: np.ndarray, left: BoolArray, cutters: tuple[Tool, ...]):
        self.question, self.cells, self.seen, self.left, self.cutters = question, cells, seen, left, cutters
        pitch = cells.pitch_mm
        self.rim = math.ceil(max((tool.diameter_mm for tool in cutters), default=1.0) / 2.0 / pitch) + 1
        self.thin = max(round(rule("thin_slab_mm") / pitch), 1)
        self.holder_mm = max((tool.holder_mm or rule("holder_mm") for tool in cutters), default=0.0)

    def side(self, set_up: SetUp, side: int, needs: Sequence[Need]) -> Side:
        """Take away what is reached from one side of a set-up."""
        stock = view(self.left, side)
        faced = self._face(stock, side)
        shut = self._shut(set_up, side)
        out = shut.shape[0] - stock.shape[0] if shut is not None else 0
        finished, before = (_with_air(view(cells, side), out) for cells in (self.cells.finished, self.left))
        held, held_from = _from_first(shut)
        high = tops(finished)
        slabs = slabs_of(finished, high, held, held_from=held_from, rim=self.rim, thin=self.thin)
        part = SetUpCells(finished, high, before, slabs, self.cells.pitch_mm, self.rim)
        taken = taken_by(part, self.cutters, corner_mm=self._corner_mm(side, needs))
        stock[:] = taken.left[out:]
        cutter_mm = taken.last.diameter_mm if taken.last else 0.0
        return Side(direction(self.cells, side), faced, taken.takes, cutter_mm, taken.corners)

    def slants(self, set_up: SetUp, needs: Sequence[Need]) -> tuple[Side, ...]:
        """Take away at each slant what no side sees; a slant that frees no feature takes nothing."""
        cos = rule("same_direction_cos")
        found: list[Side] = []
        for way in set_up.slants:
            asked = [n for n in needs if n.cell is not None and any(dot(way, one) > cos for one in n.slant)]
            if not any(n.cell is not None and self.left[n.cell] for n in asked):
                continue
            left = self.left.copy()
            side = self._slant(set_up, way, left)
            if any(n.cell is not None and self.left[n.cell] and self._emptied(n.cell, left) for n in asked):
                self.left = left
                found.append(side)
        return tuple(found)

    def _emptied(self, cell: tuple[int, int, int], left: BoolArray) -> bool:
        """Whether what hangs together with a cell, and no side sees, is gone but for its corners."""
        found: object = ndimage.label((self.seen == 0) & ~self.cells.finished)
        hollow, _ = cast(tuple[npt.NDArray[np.int32], int], found)
        # Beside a wall that leans, cells are rounding: judged is what lies off the walls.
        mine = (hollow == hollow[cell]) & ~np.asarray(ndimage.binary_dilation(self.cells.finished), dtype=np.bool_)
        stays = int(np.count_nonzero(mine & left))
        return not bool(left[cell]) and stays <= rule("slant_leaves_share") * int(np.count_nonzero(mine))

    def _slant(self, set_up: SetUp, way: Vec3, left: BoolArray) -> Side:
        """Take away what is reached from one slant, out of the stock given."""
        base = set_up.base
        if base is None:
            base = max(range(6), key=lambda side: dot(direction(self.cells, side), way))
        beside = self._shut(replace(set_up, base=base), base)
        slant = slant_of(
            self.cells, self.seen, left, way, base=base, held=set_up.held_cells, beside=beside
        )  # fmt: skip
        high = tops(slant.finished)
        shut, held_from = _from_first(slant.shut)
        # The part's skin slopes about a slanted mouth and is no floor: thicker slabs leave nothing there.
        slabs = slabs_of(slant.finished, high, shut, held_from=held_from, rim=self.rim, thin=4 * self.thin)
        part = SetUpCells(slant.finished, high, slant.wanted, slabs, self.cells.pitch_mm, self.rim)
        taken = taken_by(part, self.cutters, corner_mm=None)
        put_back(slant, self.cells, left, taken.left)
        return Side(way, None, taken.takes, taken.last.diameter_mm if taken.last else 0.0, taken.corners)

    def _face(self, stock: BoolArray, side: int) -> tuple[float, float, float] | None:
        """Take the blank's skin off the side that is up: (length, width, depth), None where there is none."""
        axis = side // 2
        skin = self.cells.pads[axis]
        if not skin or not stock[:skin].any():
            return None
        stock[:skin] = False
        rest = [self.question.box_mm[other] for other in range(3) if other != axis]
        depth = (self.question.box_mm[axis] - self.cells.grid.shape[axis] * self.cells.pitch_mm) / 2.0
        return max(rest), min(rest), depth

    def _shut(self, set_up: SetUp, side: int) -> BoolArray | None:
        """Cells that what holds the work keeps cutters and holders out of, as seen from a side: see in_the_way.py."""
        return in_the_way(self.cells, self.seen, self.question.limits, set_up, side, holder_mm=self.holder_mm)

    def _corner_mm(self, side: int, needs: Sequence[Need]) -> float | None:
        """The largest radius that gets into every upright inner corner and slot that this side sees."""
        up = direction(self.cells, side)
        seen = (need for need in needs if need.cell is not None and self.seen[need.cell] >> side & 1)
        found = (_tightest_mm(self.cells, need, up) for need in seen)
        return min((radius for radius in found if radius is not None), default=None)

    def why_not(self, need: Need, left_out: dict[int, Reason]) -> tuple[Reason, ...]:
        """Why a feature was not made: hidden, no room to lie so, too deep for the stick-out, too narrow."""
        name, kind = need.feature.id, called(need.feature)
        if not need.sides and need.slant:
            return not_tilted(self.cells, self.question.limits, need, name=self.question.name)
        if not need.sides:
            behind, slant = because("mill.undercut", feature=name, kind=kind), self._hidden(need)
            if slant is not None and need.feature.kind in ("free", "sphere", "cone"):
                return behind, slant, because("mill.five_at_once", feature=name, kind=kind)
            if slant is None:
                return (behind,)
            return (behind, slant) if self.question.limits.axes == "3" else (slant, behind)
        sides = [side for side in range(6) if need.sides >> side & 1]
        reasons = [reason for side in sides for reason in self._kept_out(need, side)] if need.cell is not None else []
        reasons.extend(left_out[side] for side in sides if side in left_out)
        if not reasons:
            key = "mill.no_side" if need.cell is None else "mill.between_jaws"
            reasons.append(because(key, feature=name, kind=kind))
        return tuple(dict.fromkeys(reasons))

    def _hidden(self, need: Need) -> Reason | None:
        """What is said of a feature that no side sees but a slant does."""
        slant = open_at_a_slant(self.cells.finished, need.cell) if need.cell is not None else None
        if slant is None:
            return None
        x, y, z = direction(self.cells, slant[0])
        axis = max((abs(one), k) for k, one in enumerate((x, y, z)))[1]
        side = ("+" if (x, y, z)[axis] > 0 else "-") + "XYZ"[axis]
        tilt = math.degrees(slant[1])
        return because(
            "mill.only_slanted", feature=need.feature.id, kind=called(need.feature), tilt_deg=tilt, side=side
        )

    def _kept_out(self, need: Need, side: int) -> list[Reason]:
        """What keeps every cutter out of a feature's cell from one side."""
        assert need.cell is not None
        finished = np.ascontiguousarray(view(self.cells.finished, side))
        high = tops(finished)
        slabs = slabs_of(finished, high, None, held_from=0, rim=self.rim, thin=self.thin)
        order = [need.cell[axis] for axis in range(3)]
        axis = side // 2
        layer = order.pop(axis)
        layer = finished.shape[0] - 1 - layer if side % 2 == 0 else layer
        y, x = order
        pitch = self.cells.pitch_mm
        depth = max((layer + 1 - int(high.min())) * pitch, value_mm(need.feature, "depth_mm") or 0.0)
        reasons: list[Reason] = []
        name = need.feature.id
        # The smallest first: where even that does not go in, it is narrow; else the longest that goes in says how deep.
        smallest = min(self.cutters, key=lambda t: (t.diameter_mm, -t.reach_mm), default=None)
        if smallest is None:
            return [because("mill.no_tool", machine=self.question.name, kind="end mill")]
        for tool in (smallest, *sorted(self.cutters, key=lambda t: t.reach_mm)):
            ways = [reached_by(slabs, tool, pitch_mm=pitch, rim=self.rim, holder=counts) for counts in (False, True)]
            free, held = (any(p.first <= layer < p.last and p.reached[y, x] for p in way) for way in ways)
            number = float(tool.number)
            if held:
                return []
            if free:
                long = tool.reach_mm
                why = because("mill.too_deep", feature=name, depth_mm=depth, tool=number, stick_out_mm=long)
                reasons.append(why)
            elif tool is smallest:
                return [because("mill.too_narrow", feature=name, tool=number, diameter_mm=tool.diameter_mm)]
        return reasons[-1:]


def _with_air(seen: BoolArray, layers: int) -> BoolArray:
    """Cells with so many empty layers above them, which stand out beside the work."""
    return np.ascontiguousarray(np.pad(seen, ((layers, 0), (0, 0), (0, 0))) if layers else seen)


def _from_first(shut: BoolArray | None) -> tuple[BoolArray | None, int]:
    """What is shut, and the first layer where it is."""
    there = np.flatnonzero(shut.any(axis=(1, 2))) if shut is not None else np.zeros(0)
    return (shut, int(there[0])) if len(there) else (None, 0)


def _tightest_mm(cells: Cells, need: Need, up: Vec3) -> float | None:
    """The largest radius of a cutter that makes an upright inner corner or a slot; None for anything else.

    By the feature's own size: cells do not tell half a cell.
    """
    feature = need.feature
    if abs(dot(feature.axis, up)) <= rule("same_direction_cos"):
        return None
    if feature.kind == "slot":
        width = value_mm(feature, "width_mm")
        return width / 2.0 if width else None
    if feature.kind == "fillet" and feature.inside and upright(cells, feature):
        return value_mm(feature, "radius_mm") or None
    return None


def _with_corners(
    undone: tuple[tuple[str, tuple[Reason, ...]], ...], found: Sequence[Worked], needs: Sequence[Need], cells: Cells
) -> tuple[tuple[str, tuple[Reason, ...]], ...]:
    """Also undone: corners and slots too tight for the last cutter that reaches them."""
    more: list[tuple[str, tuple[Reason, ...]]] = []
    for need in needs:
        made = next((one for one in found if need.feature.id in one.cut), None)
        if made is None or need.cell is None:
            continue
        for side in made.sides:
            radius = _tightest_mm(cells, need, side.up)
            if radius is None or not side.cutter_mm or side.cutter_mm <= 2.0 * radius + 0.01:
                continue
            name, most, has = need.feature.id, 2.0 * radius, side.cutter_mm
            if need.feature.kind == "slot":
                more.append((name, (because("mill.slot_tight", feature=name, diameter_mm=most, has_mm=has),)))
            else:
                why = because("mill.corner_small", feature=name, radius_mm=radius, diameter_mm=most, has_mm=has)
                more.append((name, (why,)))
            break
    return (*undone, *more)
