"""Which part and which opening is cut after which: inside before outside, the next nearest; and the way between."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from steadyrest.program.timing.machine_time import block_time_s
from steadyrest.shop.floor import CutterLimits
from steadyrest.shop.part import Vec2
from steadyrest.shop.work import Laid, SheetCut
from steadyrest.stations.plate.torch import Cut
from steadyrest.stock.nesting.wanted import turned

MOST_SORTED = 400


@dataclass(frozen=True, slots=True)
class Ordered:
    """The cuts of a sheet in their order: (part, by its place in the sheet's list; cut). travel_s: between them."""

    cuts: tuple[tuple[int, Cut], ...]
    travel_s: float


def ordered(
    sheet: SheetCut, by_body: Mapping[int, Sequence[Cut]], outside: frozenset[int], limits: CutterLimits
) -> Ordered:
    """The order of cutting one sheet.

    Args:
        sheet: with its parts.
        by_body: of each body its cuts.
        outside: outlines that cut a part free: last of each part.
        limits: of the machine, for the way between.
    Returns: the order. Parts that tip or are held by bridges come last, when nothing is to be cut near them any more.
    """
    at: Vec2 = (0.0, 0.0)
    found: list[tuple[int, Cut]] = []
    travel = 0.0
    for steady in (True, False):
        left = [k for k, laid in enumerate(sheet.laid) if (not laid.tips and not laid.tabs) == steady]
        while left:
            if len(sheet.laid) <= MOST_SORTED:
                left.sort(key=lambda k: _way(at, _where(sheet.laid[k], by_body)))
            k = left.pop(0)
            laid = sheet.laid[k]
            inside = [cut for cut in by_body.get(laid.body, ()) if cut.outline not in outside]
            free = [cut for cut in by_body.get(laid.body, ()) if cut.outline in outside]
            for some in (inside, free):
                while some:
                    cut = min(some, key=lambda one: _way(at, on_sheet(laid, one.pierce_mm)))
                    some.remove(cut)
                    place = on_sheet(laid, cut.pierce_mm)
                    travel += rapid_s(at, place, limits)
                    at = place
                    found.append((k, cut))
    return Ordered(tuple(found), travel + rapid_s(at, (0.0, 0.0), limits))


def _where(laid: Laid, by_body: Mapping[int, Sequence[Cut]]) -> Vec2:
    some = by_body.get(laid.body, ())
    return on_sheet(laid, some[0].pierce_mm) if some else (laid.x_mm, laid.y_mm)


def on_sheet(laid: Laid, point: Vec2) -> Vec2:
    """A point of the drawing where it lies on the sheet."""
    cos, sin = turned(laid.turn_deg)
    return laid.x_mm + cos * point[0] - sin * point[1], laid.y_mm + sin * point[0] + cos * point[1]


def rapid_s(a: Vec2, b: Vec2, limits: CutterLimits) -> float:
    """From one place to another with the torch off, each axis at its own speed."""
    return max(
        block_time_s(abs(q - p), speed / 60.0, limits.accel_mm_s2)
        for p, q, speed in zip(a, b, limits.rapid_mm_min, strict=True)
    )


def _way(a: Vec2, b: Vec2) -> float:
    return math.dist(a, b)
