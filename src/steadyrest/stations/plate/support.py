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
    falls = {number: tabs(shape, setting) if small(shape, slat_gap_mm) else 0 for number, shape in shapes.items()}
    found: list[Laid] = []
    turned: dict[tuple[int, float], Polygon] = {}
    for k, laid in enumerate(sheet.laid):
        if falls[laid.body]:
            found.append(replace(laid, tabs=falls[laid.body]))
            continue
        key = (laid.body, laid.turn_deg)
        if key not in turned:
            turned[key] = rotate(shapes[laid.body], laid.turn_deg, origin=(0.0, 0.0))
        x0, _, x1, _ = turned[key].bounds
        if k < MOST_LOOKED_AT:
            tips = _tips(translate(turned[key], laid.x_mm, laid.y_mm), slat_gap_mm)
        else:
            # Without looking: a part shorter than two gaps may stand anywhere between them.
            tips = x1 - x0 < 2.0 * slat_gap_mm
        found.append(replace(laid, tips=tips))
    return replace(sheet, laid=tuple(found))


def _tips(shape: Polygon, gap_mm: float) -> bool:
    """Whether a part's centre of mass lies outside of the slats that carry it."""
    x0, y0, x1, y1 = shape.bounds
    carried = [
        k * gap_mm
        for k in range(math.ceil(x0 / gap_mm), math.floor(x1 / gap_mm) + 1)
        if LineString(((k * gap_mm, y0 - 1.0), (k * gap_mm, y1 + 1.0))).intersects(shape)
    ]
    return not carried or not min(carried) < shape.centroid.x < max(carried)


def small(shape: Polygon, gap_mm: float) -> bool:
    """Whether a part falls between two slats whichever way it lies."""
    corners = list(Polygon(shape.exterior).convex_hull.boundary.coords)
    return max(math.dist(a, b) for a in corners for b in corners) < gap_mm


def tabs(shape: Polygon, setting: Setting) -> int:
    """How many bridges hold a small part: two, or one where it is smaller than four of them."""
    return 2 if shape.exterior.length > 40.0 * setting.figure("tab_mm") else 1
