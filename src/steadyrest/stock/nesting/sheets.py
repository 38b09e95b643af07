"""Several sheets at once: laid side by side and joined by bridges that no part can use, they are one plate.

Nothing else needs to know of them: what lies on which sheet is where it was put.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from shapely.affinity import translate
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.plan import Jobs, nest, one_after_another
from steadyrest.stock.nesting.search import Told, silent
from steadyrest.stock.nesting.wanted import NestWanted, NotPlaced, Placed, Ring

BRIDGE_MM = 0.01


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet or remnant: its outline, the holes in it, and the clamps on it while it is cut."""

    outline_mm: Ring
    holes_mm: tuple[Ring, ...] = ()
    clamps_mm: tuple[Ring, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetsPlan:
    """placed: what lies on each sheet, about the sheet's own origin. unplaced: what found no place on any."""

    placed: tuple[tuple[Placed, ...], ...]
    unplaced: tuple[NotPlaced, ...]


def nest_on_sheets(
    wanted: NestWanted,
    sheets: Sequence[Sheet],
    left_s: Callable[[], float],
    *,
    seed: int = 0,
    told: Told = silent,
    searches: int = 1,
    at_once: Callable[[Jobs], None] = one_after_another,
    rounds: int = 0,
) -> SheetsPlan:
    """Where every part goes, on several sheets.

    Args:
        wanted: parts and clearances; its own plate and holes are not looked at.
        sheets: what there is, one or more. left_s: seconds left; 0 or less: stop with the best so far.
        seed: of the luck. told: what is being done, and how much is lacking.
        searches: how many look side by side. at_once: does jobs, at the same time if it can.
        rounds: so many are spent on pushing all towards the first sheet, so that the last may stay empty.
    Returns: the most area that was found to fit, sheet by sheet.
    """
    ring, holes, shifts = side_by_side(sheets, wanted.gap_mm + 2 * wanted.margin_mm + 1.0)
    clamps = tuple(
        tuple((x + dx, y + dy) for x, y in clamp)
        for sheet, (dx, dy) in zip(sheets, shifts, strict=True)
        for clamp in sheet.clamps_mm
    )
    one = replace(wanted, plate_mm=ring, holes_mm=holes, clamps_mm=clamps)
    plan = nest(one, left_s, seed=seed, told=told, rounds=rounds, searches=searches, at_once=at_once, axis=0)
    placed: list[list[Placed]] = [[] for _ in sheets]
    spread = [translate(polygon(sheet.outline_mm), *shift) for sheet, shift in zip(sheets, shifts, strict=True)]
    for each in plan.placed:
        shape = polygon(each.ring_mm(each.part.outline_mm))
        at = min(range(len(sheets)), key=lambda k: spread[k].distance(shape))
        dx, dy = shifts[at]
        placed[at].append(replace(each, x_mm=each.x_mm - dx, y_mm=each.y_mm - dy))
    return SheetsPlan(tuple(tuple(one) for one in placed), plan.unplaced)


def side_by_side(
    sheets: Sequence[Sheet], apart_mm: float
) -> tuple[Ring, tuple[Ring, ...], tuple[tuple[float, float], ...]]:
    """One outline that holds all sheets, from left to right.

    Args:
        sheets: one or more. apart_mm: from one to the next.
    Returns: the outline, the holes, and how far each sheet was shifted.
    """
    shapes, holes, shifts = list[Polygon](), list[Ring](), list[tuple[float, float]]()
    for sheet in sheets:
        shape = polygon(sheet.outline_mm)
        dx, dy = 0.0, 0.0
        if shifts:
            end, start = _tip(shapes[-1], last=True), _tip(shape, last=False)
            dx, dy = end[0] + apart_mm - start[0], end[1] - start[1]
            shapes.append(box(end[0] - apart_mm, end[1] - BRIDGE_MM, end[0] + 2 * apart_mm, end[1] + BRIDGE_MM))
        shapes.append(translate(shape, dx, dy))
        shifts.append((dx, dy))
        holes += [tuple((x + dx, y + dy) for x, y in ring) for ring in sheet.holes_mm]
    whole = polygons(unary_union(shapes))[0]
    return tuple((float(x), float(y)) for x, y in list(whole.exterior.coords)[:-1]), tuple(holes), tuple(shifts)


def _tip(shape: Polygon, *, last: bool) -> tuple[float, float]:
    """A corner farthest right, or left."""
    corners = [(float(x), float(y)) for x, y in shape.exterior.coords]
    return max(corners) if last else min(corners)
