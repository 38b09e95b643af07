"""What lies between the slats: parts that fall through, parts that tip when they are cut free, and bridges for both."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon

from steadyrest.shop.work import Laid, SheetCut
from steadyrest.stations.plate.setting import Setting

MOST_LOOKED_AT = 200


def supported(sheet: SheetCut, shapes: Mapping[int, Polygon], setting: Setting, slat_gap_mm: float) -> SheetCut:
    """The sheet with what its parts do when they are cut free.

    Args:
        sheet: as laid.
        shapes: of each body, in the drawing's own place.
        setting: width of a bridge.
        slat_gap_mm: between slats, which stand across the sheet's length; 0: nothing falls.
    Returns: the same sheet, bridges and tipping parts marked.
    """
    if slat_gap_mm <= 0:
        return sheet
    found: list[Laid] = []
    for k, laid in enumerate(sheet.laid):
        if k >= MOST_LOOKED_AT:
            found.append(_as_likely(laid, shapes[laid.body], setting, slat_gap_mm))
            continue
        shape = translate(rotate(shapes[laid.body], laid.turn_deg, origin=(0.0, 0.0)), laid.x_mm, laid.y_mm)
        found.append(_judged(laid, shape, setting, slat_gap_mm))
    return replace(sheet, laid=tuple(found))


def _judged(laid: Laid, shape: Polygon, setting: Setting, gap_mm: float) -> Laid:
    """Where the slats stand under a part: its centre of mass must lie between two that carry it."""
    x0, y0, x1, y1 = shape.bounds
    first, last = math.ceil(x0 / gap_mm), math.floor(x1 / gap_mm)
    carried = [
        k * gap_mm
        for k in range(first, last + 1)
        if LineString(((k * gap_mm, y0 - 1.0), (k * gap_mm, y1 + 1.0))).intersects(shape)
    ]
    if small(shape, gap_mm):
        return replace(laid, tabs=tabs(shape, setting))
    middle = shape.centroid.x
    if not carried or not min(carried) < middle < max(carried):
        return replace(laid, tips=True)
    return laid


def _as_likely(laid: Laid, shape: Polygon, setting: Setting, gap_mm: float) -> Laid:
    """Without looking at its slats: a part shorter than two gaps may stand anywhere."""
    x0, _, x1, _ = rotate(shape, laid.turn_deg, origin=(0.0, 0.0)).bounds
    if small(shape, gap_mm):
        return replace(laid, tabs=tabs(shape, setting))
    return replace(laid, tips=x1 - x0 < 2.0 * gap_mm)


def small(shape: Polygon, gap_mm: float) -> bool:
    """Whether a part falls between two slats whichever way it lies."""
    corners = Polygon(shape.exterior).convex_hull.boundary.coords
    return max(math.dist(a, b) for a in corners for b in corners) < gap_mm


def tabs(shape: Polygon, setting: Setting) -> int:
    """How many bridges hold a small part: two, or one where it is smaller than four of them."""
    return 2 if shape.exterior.length > 40.0 * setting.figure("tab_mm") else 1
