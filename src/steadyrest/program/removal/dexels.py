"""Stock that is cut from several sides: along each line of a grid upright in z, the stretches that are metal.

The body that a tool sweeps on a straight piece of path is convex, so it takes one stretch out of each line, whichever
way the tool points; undercuts stay. Exact on each line, as the field of heights is; between lines nothing is seen. A
tool points along +-x, +-y or +-z of the blank. A line holds PARTS stretches at most; past that its thinnest goes.

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

PARTS = 8
BULL = 1
FAR = 1e9
STEPS = 48  # of a golden section: below a nanometre on a metre
GOLDEN = 0.6180339887498949
# Columns of a tool's row; the same order as in heights.py, held by a test.
FORM, RADIUS, FLAT, CORNER, SLOPE, CUTS, TEST_RADIUS, LENGTH, HOLDER = range(9)
REMOVED, DEEP_LOW, DEEP_HIGH, HIT, HOLDER_HIT = range(5)
TOUCH, TOUCH_HOLDER, CUT = range(3)


@loop(inner=True)
def _lift(form: int, radius: float, flat: float, corner: float, slope: float, away: float) -> float:
    """How far above the tip the tool ends, `away` from its axis; FAR beyond its radius."""
    if away > radius:
        return FAR
    if away <= flat:
        return 0.0
    if form == BULL:
        over = min(away - (radius - corner), corner)
        return corner - math.sqrt(corner * corner - over * over)
    return (away - flat) * slope


@loop(inner=True)
def _wide(form: int, radius: float, flat: float, corner: float, slope: float, above: float) -> float:
    """How wide the tool is, `above` its tip; -1 below it."""
    if above < 0.0:
        return -1.0
    if form == BULL:
        if above >= corner:
            return radius
        return radius - corner + math.sqrt(max(corner * corner - (corner - above) ** 2, 0.0))
    return min(radius, flat + above / slope)


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
def _along(
    form: int, radius: float, flat: float, corner: float, slope: float,
    u0: float, v0: float, w0: float, u1: float, v1: float, w1: float, u: float, v: float, highest: float,
) -> float:  # fmt: skip
    """A tool that points along the lines: the least height of its surface on the line at (u, v).

    FAR where there is none, or none below `highest`. The same closed forms as in heights.py.
    """
    du, dv = u1 - u0, v1 - v0
    long = math.sqrt(du * du + dv * dv)
    upright = long < 1e-9
    ux, uy = (1.0, 0.0) if upright else (du / long, dv / long)
    along = (u - u0) * ux + (v - v0) * uy
    across = (v - v0) * ux - (u - u0) * uy
    q2 = across * across
    past = along if upright else max(-along, along - long, 0.0)
    d2 = q2 + past * past
    if d2 > radius * radius:
        return FAR
    tip = min(w0, w1)
    beyond = max(d2 - flat * flat, 0.0)
    least = tip
    if form != BULL:
        least += beyond * slope / max(radius + flat, 1e-12)
    elif flat <= 0.0 and corner > 0.0:
        least += 0.5 * beyond / radius
    elif corner > 0.0:
        least += 0.5 * beyond * beyond / (corner * (radius + flat) ** 2)
    if least >= highest:
        return FAR
    if upright or w0 == w1:
        return tip + _lift(form, radius, flat, corner, slope, math.sqrt(d2))
    rise = (w1 - w0) / long
    half = math.sqrt(radius * radius - q2)
    if form == BULL and flat <= 0.0 and corner > 0.0:
        stretch = math.sqrt(1.0 + rise * rise)
        behind = -rise / stretch * half
        if behind < -along:
            return w0 + radius - math.sqrt(max(half * half - along * along, 0.0))
        if behind > long - along:
            return w1 + radius - math.sqrt(max(half * half - (long - along) * (long - along), 0.0))
        return w0 + rise * along + radius - half * stretch
    ua, ub = max(-along, -half), min(long - along, half)
    return w0 + rise * along + _lowest(form, radius, flat, corner, slope, q2, ua, ub, rise)


@loop()
def _across(
    form: int, radius: float, flat: float, corner: float, slope: float, side: float,
    a0: float, v0: float, w0: float, a1: float, v1: float, w1: float, a: float, v: float,
) -> tuple[float, float]:  # fmt: skip
    """A tool that points across the lines, along +-a: what it takes out of the line at (a, v); (1, 0) where nothing."""
    b0, b1 = side * (a - a0), side * (a - a1)
    if max(b0, b1) < 0.0 or (min(abs(v - v0), abs(v - v1)) > radius and (v - v0) * (v - v1) > 0.0):
        return 1.0, 0.0
    dv, dw = v1 - v0, w1 - w0
    if abs(b1 - b0) < 1e-12 or (dv == 0.0 and dw == 0.0):
        # At one depth, or straight in: a disc along a straight line.
        wide = _wide(form, radius, flat, corner, slope, max(b0, b1))
        if dv == 0.0:
            chord2 = wide * wide - (v - v0) ** 2
            if chord2 < 0.0:
                return 1.0, 0.0
            half = math.sqrt(chord2)
            return min(w0, w1) - half, max(w0, w1) + half
        low, high = (v - wide - v0) / dv, (v + wide - v0) / dv
        if low > high:
            low, high = high, low
        low, high = max(low, 0.0), min(high, 1.0)
        if low > high:
            return 1.0, 0.0
        long = math.hypot(dv, dw)
        lean = abs(dw) / long * wide
        # The disc stands highest on the line where the line meets the band's edge, if the piece gets there.
        up = -lean if (dw > 0.0) == (dv > 0.0) else lean
        top, bottom = _inside((v - v0 - up) / dv, low, high), _inside((v - v0 + up) / dv, low, high)
        above = math.sqrt(max(wide * wide - (v - v0 - dv * top) ** 2, 0.0))
        below = math.sqrt(max(wide * wide - (v - v0 - dv * bottom) ** 2, 0.0))
        return w0 + dw * bottom - below, w0 + dw * top + above
    # At an angle: where the line is inside at all is a stretch of the path, which a convex measure tells.
    low, high = 0.0, 1.0
    middle, least = 0.0, FAR
    x0, x3 = 0.0, 1.0
    for _ in range(STEPS):
        x1, x2 = x3 - GOLDEN * (x3 - x0), x0 + GOLDEN * (x3 - x0)
        f1 = _outside(form, radius, flat, corner, slope, b0 + (b1 - b0) * x1, v - v0 - dv * x1)
        f2 = _outside(form, radius, flat, corner, slope, b0 + (b1 - b0) * x2, v - v0 - dv * x2)
        if f1 < least:
            middle, least = x1, f1
        if f2 < least:
            middle, least = x2, f2
        if f1 <= f2:
            x3 = x2
        else:
            x0 = x1
    for t in (0.0, 1.0):
        f = _outside(form, radius, flat, corner, slope, b0 + (b1 - b0) * t, v - v0 - dv * t)
        if f < least:
            middle, least = t, f
    if least > 0.0:
        return 1.0, 0.0
    for begins in (True, False):
        inside, end = middle, 0.0 if begins else 1.0
        if _outside(form, radius, flat, corner, slope, b0 + (b1 - b0) * end, v - v0 - dv * end) > 0.0:
            for _ in range(STEPS):
                t = 0.5 * (inside + end)
                if _outside(form, radius, flat, corner, slope, b0 + (b1 - b0) * t, v - v0 - dv * t) > 0.0:
                    end = t
                else:
                    inside = t
        else:
            inside = end
        if begins:
            low = inside
        else:
            high = inside
    lowest, highest = 0.0, 0.0
    for k in range(2):
        sign = -1.0 if k == 0 else 1.0
        x0, x3, best = low, high, -FAR
        for _ in range(STEPS):
            x1, x2 = x3 - GOLDEN * (x3 - x0), x0 + GOLDEN * (x3 - x0)
            f1 = sign * (w0 + dw * x1) + _half(form, radius, flat, corner, slope, b0 + (b1 - b0) * x1, v - v0 - dv * x1)
            f2 = sign * (w0 + dw * x2) + _half(form, radius, flat, corner, slope, b0 + (b1 - b0) * x2, v - v0 - dv * x2)
            best = max(best, f1, f2)
            if f1 >= f2:
                x3 = x2
            else:
                x0 = x1
        if k == 0:
            lowest = -best
        else:
            highest = best
    return lowest, highest


@loop()
def _inside(t: float, low: float, high: float) -> float:
    return min(max(t, low), high)


@loop()
def _outside(form: int, radius: float, flat: float, corner: float, slope: float, above: float, off: float) -> float:
    """Above 0 where a line does not meet the tool; convex along a path."""
    if abs(off) > radius:
        return abs(off) - radius + max(_lift(form, radius, flat, corner, slope, radius) - above, 0.0)
    return _lift(form, radius, flat, corner, slope, abs(off)) - above


@loop(inner=True)
def _half(form: int, radius: float, flat: float, corner: float, slope: float, above: float, off: float) -> float:
    wide = _wide(form, radius, flat, corner, slope, max(above, 0.0))
    return math.sqrt(max(wide * wide - off * off, 0.0))


@loop()
def _take(
    lows: FloatArray, highs: FloatArray, count: int, low: float, high: float, rest: FloatArray
) -> tuple[int, float]:
    """Take low..high out of a line. Returns how many stretches are left, and how much metal went."""
    went = 0.0
    kept = 0
    new_low, new_high = rest[0], rest[1]
    for k in range(count):
        a, b = lows[k], highs[k]
        if high <= a or low >= b:
            new_low[kept], new_high[kept] = a, b
            kept += 1
            continue
        went += min(b, high) - max(a, low)
        if low > a:
            new_low[kept], new_high[kept] = a, low
            kept += 1
        if high < b:
            new_low[kept], new_high[kept] = high, b
            kept += 1
    if kept > PARTS:
        thinnest = 0
        for k in range(kept):
            if new_high[k] - new_low[k] < new_high[thinnest] - new_low[thinnest]:
                thinnest = k
        went += new_high[thinnest] - new_low[thinnest]
        for k in range(thinnest, kept - 1):
            new_low[k], new_high[k] = new_low[k + 1], new_high[k + 1]
        kept -= 1
    for k in range(kept):
        lows[k], highs[k] = new_low[k], new_high[k]
    return kept, went


@loop(inner=True)
def _sweep(
    lows: FloatArray, highs: FloatArray, counts: IntArray, marks: IntArray, frame: FloatArray,
    p: FloatArray, q: FloatArray, axis: int, side: float,
    form: int, radius: float, flat: float, corner: float, slope: float,
    lowers: bool, mark: int, did: FloatArray, box: FloatArray, rest: FloatArray,
) -> int:  # fmt: skip
    """One straight piece of path from p to q. Returns other stretches' bits where it passes."""
    ox, oy, cx, cy = frame[0], frame[1], frame[2], frame[3]
    ny, nx = counts.shape
    for k in range(2):
        box[k, 0], box[k, 1] = min(p[k], q[k]) - radius, max(p[k], q[k]) + radius
    if axis < 2:
        # The body has no end along its axis: from the deepest tip outwards it takes all.
        if side > 0.0:
            box[axis, 0], box[axis, 1] = min(p[axis], q[axis]), FAR
        else:
            box[axis, 0], box[axis, 1] = -FAR, max(p[axis], q[axis])
    i0 = max(math.ceil((max(box[0, 0], ox - cx) - ox) / cx - 0.5), 0)
    i1 = min(math.floor((min(box[0, 1], ox + nx * cx) - ox) / cx - 0.5), nx - 1)
    j0 = max(math.ceil((max(box[1, 0], oy - cy) - oy) / cy - 0.5), 0)
    j1 = min(math.floor((min(box[1, 1], oy + ny * cy) - oy) / cy - 0.5), ny - 1)
    reach_low, reach_high = min(p[2], q[2]) - radius, max(p[2], q[2]) + radius
    if axis == 2 and side > 0.0:
        reach_low, reach_high = min(p[2], q[2]), FAR
    elif axis == 2:
        reach_low, reach_high = -FAR, max(p[2], q[2])
    over = 0
    for j in range(j0, j1 + 1):
        y = oy + (j + 0.5) * cy
        for i in range(i0, i1 + 1):
            count = counts[j, i]
            over |= marks[j, i] & ~mark
            if count == 0 or highs[j, i, count - 1] <= reach_low or lows[j, i, 0] >= reach_high:
                continue
            x = ox + (i + 0.5) * cx
            if axis == 2:
                highest = highs[j, i, count - 1] if side > 0.0 else -lows[j, i, 0]
                surface = _along(
                    form, radius, flat, corner, slope, p[0], p[1], side * p[2], q[0], q[1], side * q[2], x, y, highest
                )
                if surface >= FAR:
                    continue
                low, high = (surface, FAR) if side > 0.0 else (-FAR, -surface)
            elif axis == 0:
                low, high = _across(form, radius, flat, corner, slope, side, p[0], p[1], p[2], q[0], q[1], q[2], x, y)
            else:
                low, high = _across(form, radius, flat, corner, slope, side, p[1], p[0], p[2], q[1], q[0], q[2], y, x)
            if low >= high:
                continue
            if lowers:
                left, went = _take(lows[j, i], highs[j, i], count, low, high, rest)
                if went > 0.0:
                    counts[j, i] = left
                    marks[j, i] |= mark
                    did[REMOVED] += went
                    deep = went if axis == 2 else side * ((x if axis == 0 else y) - (p[axis] + q[axis]) / 2.0)
                    did[DEEP_LOW] = 0.0 if axis == 2 else min(did[DEEP_LOW], deep)
                    did[DEEP_HIGH] = max(did[DEEP_HIGH], deep)
            else:
                for k in range(count):
                    did[HIT] = max(did[HIT], min(highs[j, i, k], high) - max(lows[j, i, k], low))
    return over


@loop()
def hollow(
    lows: FloatArray, highs: FloatArray, counts: IntArray, marks: IntArray, frame: FloatArray,
    whose: IntArray, pieces: FloatArray, offsets: FloatArray, turns: FloatArray, zeros: FloatArray, setting: IntArray,
    motion: npt.NDArray[np.int8], skip: BoolArray, row: IntArray, mark_of: IntArray, tools: FloatArray, margin: float,
    removed: FloatArray, depth: FloatArray, hit: FloatArray, holder: FloatArray, over: IntArray,
    did: FloatArray, ends: FloatArray, box: FloatArray, rest: FloatArray,
) -> None:  # fmt: skip
    """Cut the lines by straight pieces, in order, and write down what each move did.

    Args:
        lows, highs: (ny, nx, PARTS) the stretches of metal on each line, upwards. counts: (ny, nx) how many.
        marks: (ny, nx) bits of the stretches that cut here. frame: (4,) corner x, y; cell x, y.
        whose, pieces: (m,) and (m, 6) the pieces and their moves, machine coordinates. offsets: (n, 3) as in Moves.
        turns, zeros: (s, 3, 3) and (s, 3) of each setting. setting: (n,) which; -1 none.
        motion, skip: (n,) as in Moves. row: (n,) row of `tools`, -1 for none. mark_of: (n,) bit of the move's stretch.
        tools: (t, 9) shapes. margin: mm that a rapid may touch.
        removed, depth, hit, holder: (n,) written. over: (n,) bits of the stretches that had made room for it.
        did, ends, box, rest: (5,), (2, 3), (2, 2), (2, PARTS + 1) room to reckon in.
    """
    area = frame[2] * frame[3]
    p, q = ends[0], ends[1]
    bits = 0
    for m in range(len(whose)):
        n = whose[m]
        if row[n] < 0 or setting[n] < 0:
            continue
        if m == 0 or whose[m - 1] != n:
            filled(did, 0.0)
            did[DEEP_LOW] = FAR
            bits = 0
        tool, turn, zero = tools[row[n]], turns[setting[n]], zeros[setting[n]]
        axis = np.int64(2)
        for k in range(3):
            p[k] = q[k] = zero[k]
            for i in range(3):
                p[k] += turn[k, i] * (pieces[m, i] - offsets[n, i])
                q[k] += turn[k, i] * (pieces[m, 3 + i] - offsets[n, i])
            if abs(turn[k, 2]) > 0.5:
                axis = k
        side = turn[axis, 2]
        for what in range(CUT + 1):
            form, wide, flat, corner, slope = int(tool[FORM]), tool[RADIUS], tool[FLAT], tool[CORNER], tool[SLOPE]
            up = 0.0
            if what == TOUCH:
                if motion[n] != 0:
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
            elif tool[CUTS] == 0.0 or skip[n]:
                continue
            p[axis] += side * up
            q[axis] += side * up
            did[HIT] = 0.0
            found = _sweep(
                lows, highs, counts, marks, frame, p, q, axis, side, form, wide, flat, corner, slope,
                what == CUT, int(mark_of[n]), did, box, rest,
            )  # fmt: skip
            p[axis] -= side * up
            q[axis] -= side * up
            if what == CUT:
                bits |= found
            elif did[HIT] > 0.0:
                if what == TOUCH:
                    hit[n] = max(hit[n], did[HIT] + margin)
                else:
                    holder[n] = max(holder[n], did[HIT] + margin)
        if did[REMOVED] > 0.0:
            removed[n] = did[REMOVED] * area
            depth[n] = did[DEEP_HIGH] - did[DEEP_LOW] + (0.0 if axis == 2 else math.sqrt(area))
            over[n] = bits
