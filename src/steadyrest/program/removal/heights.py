"""The field of heights: a mill's stock seen along the spindle, and the loop that lowers it.

Each cell holds how high the metal stands at its centre. A tool is a profile turned about its axis (tool_shape.py).
Beside a straight piece of path, the height of the path plus the lift of the profile is convex along the path, so a tool
cuts lowest over a cell either at an end of the piece, or where profile and path rise alike: a closed form. A height is
therefore exact at the cell's centre; only what lies between two centres is not seen. Tiles of cells carry a bound from
above, so that a move in air, or over ground already lower, costs next to nothing.

Everything that the loop calls stands in this module: a compiled cache looks at its own file only.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import filled, loop

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

TILE = 16  # cells along a tile's side
BULL = 1
# Columns of what one move did.
REMOVED, DEPTH, SIDE_LOW, SIDE_HIGH, HIT, HOLDER_HIT = range(6)
DID_COLUMNS = 6
# Columns of a tool's row.
FORM, RADIUS, FLAT, CORNER, SLOPE, CUTS, TEST_RADIUS, LENGTH, HOLDER = range(9)
TOOL_COLUMNS = 9
TOUCH, TOUCH_HOLDER, CUT = range(3)  # what a piece of path is asked, in order


@loop(inner=True)
def _lift(form: int, radius: float, flat: float, corner: float, slope: float, away: float) -> float:
    """How far above the tip the tool ends, `away` from its axis."""
    if away <= flat:
        return 0.0
    if form == BULL:
        over = min(away - (radius - corner), corner)
        return corner - math.sqrt(corner * corner - over * over)
    return (away - flat) * slope


@loop(inner=True)
def _pull(form: int, radius: float, flat: float, corner: float, slope: float, q2: float, u: float) -> float:
    """How fast the lift grows with u, on a line at sqrt(q2) from the axis."""
    away = math.sqrt(q2 + u * u)
    if away <= flat or away == 0.0:
        return 0.0
    if form != BULL:
        return slope * u / away
    over = away - (radius - corner)
    rest = corner * corner - over * over
    if rest <= 0.0:
        return math.copysign(1e30, u)
    return over / math.sqrt(rest) * u / away


@loop(inner=True)
def _lowest(
    form: int, radius: float, flat: float, corner: float, slope: float, q2: float, ua: float, ub: float, rise: float
) -> float:
    """The least of rise u + lift(u) between ua and ub, on a line at sqrt(q2) from the axis; it is convex in u."""
    if corner <= 0.0 and form == BULL:
        return rise * (ua if rise > 0.0 else ub)
    if rise + _pull(form, radius, flat, corner, slope, q2, ua) >= 0.0:
        ub = ua
    elif rise + _pull(form, radius, flat, corner, slope, q2, ub) <= 0.0:
        ua = ub
    while ub - ua > 1e-6:
        u = 0.5 * (ua + ub)
        if rise + _pull(form, radius, flat, corner, slope, q2, u) >= 0.0:
            ub = u
        else:
            ua = u
    u = 0.5 * (ua + ub)
    return rise * u + _lift(form, radius, flat, corner, slope, math.sqrt(q2 + u * u))


@loop()
def _span(y: float, x0: float, y0: float, x1: float, y1: float, radius: float) -> tuple[float, float]:
    """From where to where along a row the tool passes; (1, 0) where it does not."""
    dx, dy = x1 - x0, y1 - y0
    if abs(dy) < 1e-12:
        chord2 = radius * radius - (y - y0) * (y - y0)
        if chord2 < 0.0:
            return 1.0, 0.0
        half = math.sqrt(chord2)
        return min(x0, x1) - half, max(x0, x1) + half
    ta, tb = (y - radius - y0) / dy, (y + radius - y0) / dy
    if ta > tb:
        ta, tb = tb, ta
    ta, tb = max(ta, 0.0), min(tb, 1.0)
    if ta > tb:
        return 1.0, 0.0
    long = math.sqrt(dx * dx + dy * dy)
    ny = -dx / long if dy > 0.0 else dx / long
    t = min(max((y - y0 - radius * ny) / dy, ta), tb)
    off = y - y0 - t * dy
    right = x0 + t * dx + math.sqrt(max(radius * radius - off * off, 0.0))
    t = min(max((y - y0 + radius * ny) / dy, ta), tb)
    off = y - y0 - t * dy
    return x0 + t * dx - math.sqrt(max(radius * radius - off * off, 0.0)), right


@loop(inner=True)
def _first(low: float, origin: float, cell: float) -> int:
    return math.ceil((low - origin) / cell - 0.5)


@loop()
def _last(high: float, origin: float, cell: float) -> int:
    return math.floor((high - origin) / cell - 0.5)


@loop(inner=True)
def _sweep(
    heights: FloatArray, marks: IntArray, bounds: FloatArray, stale: BoolArray, tile_marks: IntArray, frame: FloatArray,
    x0: float, y0: float, z0: float, x1: float, y1: float, z1: float,
    form: int, radius: float, flat: float, corner: float, slope: float,
    lowers: bool, mark: int, did: FloatArray, spans: FloatArray,
) -> int:  # fmt: skip
    """One straight piece of path. Returns other stretches' bits where it passes; `did` gathers the rest."""
    ox, oy, cx, cy, bottom = frame[0], frame[1], frame[2], frame[3], frame[4]
    ny, nx = heights.shape
    low_z = max(min(z0, z1), bottom)
    j0, j1 = max(_first(min(y0, y1) - radius, oy, cy), 0), min(_last(max(y0, y1) + radius, oy, cy), ny - 1)
    i0, i1 = max(_first(min(x0, x1) - radius, ox, cx), 0), min(_last(max(x0, x1) + radius, ox, cx), nx - 1)
    if j0 > j1 or i0 > i1:
        return 0
    dx, dy, dz = x1 - x0, y1 - y0, z1 - z0
    long = math.sqrt(dx * dx + dy * dy)
    upright = long < 1e-9
    ux, uy = (1.0, 0.0) if upright else (dx / long, dy / long)
    rise = 0.0 if upright else dz / long
    stretch = math.sqrt(1.0 + rise * rise)
    lean = rise / stretch
    tip = min(z0, z1)
    r2, flat2 = radius * radius, flat * flat
    ball = form == BULL and flat <= 0.0 and corner > 0.0
    # lift(d) >= linear (d d - flat flat) + square (d d - flat flat) ** 2, for d up to the radius.
    linear, square = 0.0, 0.0
    if ball:
        linear = 0.5 / radius
    elif form != BULL:
        linear = slope / max(radius + flat, 1e-12)
    elif corner > 0.0:
        square = 0.5 / (corner * (radius + flat) ** 2)
    # The same from the middle of a short piece: d >= away - half and away <= R + half, so
    # d d >= away away - 2 (R + half) half.
    mid_x, mid_y = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    mid_low = tip - linear * (radius + 0.5 * long) * long
    over = 0
    removed, depth, side_low, side_high, hit = 0.0, 0.0, did[SIDE_LOW], did[SIDE_HIGH], 0.0
    for tj in range(j0 // TILE, j1 // TILE + 1):
        ja, jb = max(j0, tj * TILE), min(j1, tj * TILE + TILE - 1)
        for j in range(ja, jb + 1):
            spans[j - ja, 0], spans[j - ja, 1] = _span(oy + (j + 0.5) * cy, x0, y0, x1, y1, radius)
        for ti in range(i0 // TILE, i1 // TILE + 1):
            if stale[tj, ti]:
                bounds[tj, ti] = _highest(heights, tj, ti, bottom)
                stale[tj, ti] = False
            nothing = bounds[tj, ti] <= low_z
            others = tile_marks[tj, ti] & ~mark if lowers else 0
            if nothing and others & ~over == 0:
                continue
            ia0, ib0 = max(i0, ti * TILE), min(i1, ti * TILE + TILE - 1)
            cut = False
            for j in range(ja, jb + 1):
                ia = max(ia0, _first(spans[j - ja, 0], ox, cx))
                ib = min(ib0, _last(spans[j - ja, 1], ox, cx))
                y = oy + (j + 0.5) * cy
                py = y - y0
                if others & ~over == 0:
                    # Most cells that the tool stands over are lower already: seen from both ends of the row inwards.
                    base = mid_low + linear * ((y - mid_y) * (y - mid_y) - flat2)
                    while ia <= ib and heights[j, ia] <= max(
                        base + linear * (ox + (ia + 0.5) * cx - mid_x) ** 2, low_z
                    ):
                        ia += 1
                    while ia <= ib and heights[j, ib] <= max(
                        base + linear * (ox + (ib + 0.5) * cx - mid_x) ** 2, low_z
                    ):
                        ib -= 1
                for i in range(ia, ib + 1):
                    height = heights[j, i]
                    if height <= low_z:
                        over |= marks[j, i]
                        continue
                    px = ox + (i + 0.5) * cx - x0
                    along = px * ux + py * uy
                    q = py * ux - px * uy
                    q2 = q * q
                    past = along if upright else max(-along, along - long, 0.0)
                    d2 = q2 + past * past
                    if d2 > r2:
                        continue
                    over |= marks[j, i]
                    beyond = max(d2 - flat2, 0.0)
                    if height <= tip + beyond * (linear + square * beyond):
                        continue
                    if rise == 0.0:
                        z = tip + _lift(form, radius, flat, corner, slope, math.sqrt(d2))
                    elif ball:
                        half2 = r2 - q2
                        half = math.sqrt(half2)
                        u = -lean * half
                        if u < -along:
                            z = z0 + radius - math.sqrt(max(half2 - along * along, 0.0))
                        elif u > long - along:
                            z = z1 + radius - math.sqrt(max(half2 - (long - along) * (long - along), 0.0))
                        else:
                            z = z0 + rise * along + radius - half * stretch
                    else:
                        half = math.sqrt(r2 - q2)
                        ua, ub = max(-along, -half), min(long - along, half)
                        z = z0 + rise * along + _lowest(form, radius, flat, corner, slope, q2, ua, ub, rise)
                    z = max(z, bottom)
                    if z < height:
                        if lowers:
                            heights[j, i] = z
                            marks[j, i] |= mark
                            cut = True
                            removed += height - z
                            side_low, side_high = min(side_low, q), max(side_high, q)
                            depth = max(depth, height - z)
                        else:
                            hit = max(hit, height - z)
            if cut:
                stale[tj, ti] = True
                tile_marks[tj, ti] |= mark
    did[REMOVED] += removed
    did[DEPTH] = max(did[DEPTH], depth)
    did[SIDE_LOW], did[SIDE_HIGH] = side_low, side_high
    did[HIT] = max(did[HIT], hit)
    return over & ~mark


@loop(inner=True)
def _highest(heights: FloatArray, tj: int, ti: int, bottom: float) -> float:
    top = bottom
    for j in range(tj * TILE, min(tj * TILE + TILE, heights.shape[0])):
        for i in range(ti * TILE, min(ti * TILE + TILE, heights.shape[1])):
            top = max(top, heights[j, i])
    return top


@loop()
def _piece(
    heights: FloatArray, marks: IntArray, bounds: FloatArray, stale: BoolArray, tile_marks: IntArray, frame: FloatArray,
    x0: float, y0: float, z0: float, x1: float, y1: float, z1: float,
    tool: FloatArray, rapid: bool, probing: bool, mark: int, margin: float,
    did: FloatArray, scratch: FloatArray, spans: FloatArray,
) -> int:  # fmt: skip
    """One straight piece: what a rapid hits, what the holder hits, then what is cut away."""
    filled(scratch, 0.0)
    over = 0
    # One call of the loop for all three, since each place that calls it would be compiled anew.
    for what in range(CUT + 1):
        form, wide, flat, corner, slope, up = int(tool[FORM]), tool[RADIUS], tool[FLAT], tool[CORNER], tool[SLOPE], 0.0
        if what == TOUCH:
            # The tool drawn in by the margin on all sides: to touch, or to run along a finished wall, is no fault.
            if not rapid:
                continue
            wide, up = tool[TEST_RADIUS], margin
            if form == BULL:
                corner = min(max(corner - margin, 0.0), wide)
                flat = wide - corner
            else:
                flat = min(flat, wide)
                up = margin * math.sqrt(1.0 + slope * slope)
        elif what == TOUCH_HOLDER:
            wide = tool[HOLDER] - margin
            if wide <= 0.0 or tool[LENGTH] <= 0.0:
                continue
            form, flat, corner, slope, up = BULL, wide, 0.0, 0.0, tool[LENGTH] + margin
        elif tool[CUTS] == 0.0 or probing:
            continue
        scratch[HIT] = 0.0
        bits = _sweep(
            heights, marks, bounds, stale, tile_marks, frame, x0, y0, z0 + up, x1, y1, z1 + up,
            form, wide, flat, corner, slope, what == CUT, mark, did if what == CUT else scratch, spans,
        )  # fmt: skip
        if what == CUT:
            over = bits
        elif scratch[HIT] > 0.0:
            column = HIT if what == TOUCH else HOLDER_HIT
            did[column] = max(did[column], scratch[HIT] + (up if what == TOUCH else margin))
    return over


@loop()
def lower(
    heights: FloatArray, marks: IntArray, bounds: FloatArray, stale: BoolArray, tile_marks: IntArray, frame: FloatArray,
    whose: IntArray, pieces: FloatArray, motion: npt.NDArray[np.int8], skip: BoolArray, row: IntArray,
    mark_of: IntArray, tools: FloatArray, margin: float,
    removed: FloatArray, depth: FloatArray, width: FloatArray, hit: FloatArray, holder: FloatArray, over: IntArray,
    did: FloatArray, scratch: FloatArray, spans: FloatArray,
) -> None:  # fmt: skip
    """Lower the field by straight pieces, in order, and write down what each move did.

    Args:
        heights, marks: (ny, nx) where the metal stands; bits of the stretches that cut here.
        bounds, stale, tile_marks: (tiles, tiles) none of a tile's heights is above; bound to be renewed; bits.
        frame: (6,) corner x, y; cell x, y; bottom, top of the blank.
        whose, pieces: (m,) and (m, 6) the pieces and their moves, in the field's coordinates; no move is split.
        motion, skip: (n,) as in Moves. row: (n,) row of `tools`, -1 for none. mark_of: (n,) bit of the move's stretch.
        tools: (t, 9) shapes. margin: mm that a rapid may touch.
        removed, depth, width, hit, holder: (n,) written. over: (n,) bits of the stretches that had made room for it.
        did, scratch, spans: (DID_COLUMNS,) twice and (TILE, 2), room to reckon in.
    """
    area = frame[2] * frame[3]
    cell = math.sqrt(area)
    bits = 0
    for m in range(len(whose)):
        n, mark = whose[m], int(mark_of[whose[m]])
        if row[n] < 0:
            continue
        tool = tools[row[n]]
        if m == 0 or whose[m - 1] != n:
            filled(did, 0.0)
            bits = 0
        did[SIDE_LOW], did[SIDE_HIGH] = math.inf, -math.inf
        bits |= _piece(
            heights, marks, bounds, stale, tile_marks, frame, pieces[m, 0], pieces[m, 1], pieces[m, 2],
            pieces[m, 3], pieces[m, 4], pieces[m, 5], tool, motion[n] == 0, bool(skip[n]), mark, margin,
            did, scratch, spans,
        )  # fmt: skip
        hit[n], holder[n] = did[HIT], did[HOLDER_HIT]
        if did[REMOVED] > 0.0:
            removed[n] = did[REMOVED] * area
            depth[n] = did[DEPTH]
            width[n] = min(max(width[n], did[SIDE_HIGH] - did[SIDE_LOW] + cell), 2.0 * tool[RADIUS])
        # Below the blank's top it would have cut, had nobody been here before: it relies on them, metal or none.
        if did[REMOVED] > 0.0 or (motion[n] != 0 and min(pieces[m, 2], pieces[m, 5]) < frame[5] - margin):
            over[n] = bits
