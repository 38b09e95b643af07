"""The field of heights: a mill's stock seen along the spindle, and the loops that lower it.

Each cell holds how high the metal stands at its centre. A tool lowers every cell that it passes over to the lowest
height of its profile there, in closed form along a straight move, so a height is exact at the cell's centre; only what
lies between two centres is not seen. Arcs are walked in chords. Tiles of cells carry a bound from above, so that a
move in air, or over ground already lower, costs next to nothing.

Everything that the loops call stands in this module: a compiled cache looks at its own file only.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

TILE = 16  # cells along a tile's side
BULL = 1
CHORD_MM = 0.004  # how far a chord may stand off its arc
MOST_CHORDS = 100_000  # of one arc; a helix of more is walked more coarsely

# Columns of a tool's row.
FORM, RADIUS, FLAT, CORNER, SLOPE, CUTS, TEST_RADIUS, LENGTH, HOLDER = range(9)
TOOL_COLUMNS = 9
# Columns of what one move did.
REMOVED, DEPTH, SIDE_LOW, SIDE_HIGH, HIT, HOLDER_HIT = range(6)
DID_COLUMNS = 6
TOUCH, TOUCH_HOLDER, CUT = range(3)  # what a piece of path is asked, in order


@njit(cache=True, nogil=True)
def _lift(form: int, radius: float, flat: float, corner: float, slope: float, away: float) -> float:
    """How far above the tip the tool ends, `away` from its axis."""
    if away <= flat:
        return 0.0
    if form == BULL:
        over = min(away - (radius - corner), corner)
        return corner - math.sqrt(corner * corner - over * over)
    return (away - flat) * slope


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def _first(low: float, origin: float, cell: float) -> int:
    return math.ceil((low - origin) / cell - 0.5)


@njit(cache=True, nogil=True)
def _last(high: float, origin: float, cell: float) -> int:
    return math.floor((high - origin) / cell - 0.5)


@njit(cache=True, nogil=True)
def _sweep(
    heights: FloatArray, marks: IntArray, bounds: FloatArray, stale: BoolArray, tile_marks: IntArray, frame: FloatArray,
    x0: float, y0: float, z0: float, x1: float, y1: float, z1: float,
    form: int, radius: float, flat: float, corner: float, slope: float,
    lowers: bool, mark: int, did: FloatArray,
) -> int:  # fmt: skip
    """One straight piece of path. Returns the marks of the cells that it passes over; `did` gathers the rest."""
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
    over = 0
    spans = np.empty((TILE, 2))
    for tj in range(j0 // TILE, j1 // TILE + 1):
        ja, jb = max(j0, tj * TILE), min(j1, tj * TILE + TILE - 1)
        for j in range(ja, jb + 1):
            spans[j - ja, 0], spans[j - ja, 1] = _span(oy + (j + 0.5) * cy, x0, y0, x1, y1, radius)
        for ti in range(i0 // TILE, i1 // TILE + 1):
            if stale[tj, ti]:
                top = bottom
                for j in range(tj * TILE, min(tj * TILE + TILE, ny)):
                    for i in range(ti * TILE, min(ti * TILE + TILE, nx)):
                        top = max(top, heights[j, i])
                bounds[tj, ti] = top
                stale[tj, ti] = False
            nothing = bounds[tj, ti] <= low_z
            if nothing and (not lowers or (tile_marks[tj, ti] | over) == over):
                continue
            ia0, ib0 = max(i0, ti * TILE), min(i1, ti * TILE + TILE - 1)
            for j in range(ja, jb + 1):
                ia = max(ia0, _first(spans[j - ja, 0], ox, cx))
                ib = min(ib0, _last(spans[j - ja, 1], ox, cx))
                py = oy + (j + 0.5) * cy - y0
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
                    # Most cells that the tool stands over are lower already: seen without a root.
                    over_flat = max(d2 - flat2, 0.0)
                    if height <= low_z + over_flat * (linear + square * over_flat):
                        over |= marks[j, i]
                        continue
                    if rise == 0.0:
                        z = tip + _lift(form, radius, flat, corner, slope, math.sqrt(d2))
                    elif ball:
                        half2 = r2 - q2
                        u = -lean * math.sqrt(half2)
                        if u < -along:
                            z = z0 + radius - math.sqrt(max(half2 - along * along, 0.0))
                        elif u > long - along:
                            z = z1 + radius - math.sqrt(max(half2 - (long - along) * (long - along), 0.0))
                        else:
                            z = z0 + rise * along + radius - math.sqrt(half2) * stretch
                    else:
                        half = math.sqrt(r2 - q2)
                        z = (
                            z0
                            + rise * along
                            + _lowest(
                                form, radius, flat, corner, slope, q2, max(-along, -half), min(long - along, half), rise
                            )
                        )
                    z = max(z, bottom)
                    over |= marks[j, i]
                    if z < height:
                        if lowers:
                            heights[j, i] = z
                            stale[tj, ti] = True
                            marks[j, i] |= mark
                            tile_marks[tj, ti] |= mark
                            did[REMOVED] += height - z
                            did[SIDE_LOW] = min(did[SIDE_LOW], q)
                            did[SIDE_HIGH] = max(did[SIDE_HIGH], q)
                            did[DEPTH] = max(did[DEPTH], height - z)
                        else:
                            did[HIT] = max(did[HIT], height - z)
    return over


@njit(cache=True, nogil=True)
def _piece(
    heights: FloatArray, marks: IntArray, bounds: FloatArray, stale: BoolArray, tile_marks: IntArray, frame: FloatArray,
    x0: float, y0: float, z0: float, x1: float, y1: float, z1: float,
    tool: FloatArray, rapid: bool, probing: bool, mark: int, margin: float, did: FloatArray,
) -> int:  # fmt: skip
    """One straight piece: what a rapid hits, what the holder hits, then what is cut away."""
    scratch = np.zeros(DID_COLUMNS)
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
            form, wide, flat, corner, slope, what == CUT, mark, did if what == CUT else scratch,
        )  # fmt: skip
        if what == CUT:
            over = bits
        elif scratch[HIT] > 0.0:
            column = HIT if what == TOUCH else HOLDER_HIT
            did[column] = max(did[column], scratch[HIT] + (up if what == TOUCH else margin))
    return over


@njit(cache=True, nogil=True)
def arc_of(
    start: FloatArray, end: FloatArray, centre: FloatArray, plane: int, ccw: bool, length: float, chord_mm: float
) -> tuple[float, float, float, int]:
    """An arc's angle at its start, the angle it turns through (signed), its radius there, and how many chords do.

    The length tells how often it goes round, which its two ends do not.
    """
    a, b, c = plane, (plane + 1) % 3, (plane + 2) % 3
    if plane == 1:
        a, b, c = 2, 0, 1
    elif plane == 2:
        a, b, c = 1, 2, 0
    sa, sb = start[a] - centre[a], start[b] - centre[b]
    ea, eb = end[a] - centre[a], end[b] - centre[b]
    radius = math.hypot(sa, sb)
    turn = math.atan2(sa * eb - sb * ea, sa * ea + sb * eb)
    if not ccw:
        turn = -turn
    if turn < 0.0:
        turn += 2.0 * math.pi
    if radius > 0.0:
        rise = end[c] - start[c]
        path = math.sqrt(max(length * length - rise * rise, 0.0))
        turn += 2.0 * math.pi * max(round((path / radius - turn) / (2.0 * math.pi)), 0)
    step = 2.0 * math.acos(max(1.0 - chord_mm / max(radius, chord_mm), 0.5))
    chords = int(min(max(math.ceil(turn / step), 1.0), MOST_CHORDS))
    return math.atan2(sb, sa), turn if ccw else -turn, radius, chords


@njit(cache=True, nogil=True)
def arc_point(
    start: FloatArray, end: FloatArray, centre: FloatArray, plane: int, begins: float, turn: float, share: float,
    out: FloatArray,
) -> None:  # fmt: skip
    """The point of an arc at a share of its way, into `out`; a radius that differs at the end is met evenly."""
    a, b, c = 0, 1, 2
    if plane == 1:
        a, b, c = 2, 0, 1
    elif plane == 2:
        a, b, c = 1, 2, 0
    ra = math.hypot(start[a] - centre[a], start[b] - centre[b])
    rb = math.hypot(end[a] - centre[a], end[b] - centre[b])
    radius = ra + (rb - ra) * share
    out[a] = centre[a] + radius * math.cos(begins + turn * share)
    out[b] = centre[b] + radius * math.sin(begins + turn * share)
    out[c] = start[c] + (end[c] - start[c]) * share


@njit(cache=True, nogil=True)
def lower(
    heights: FloatArray, marks: IntArray, bounds: FloatArray, stale: BoolArray, tile_marks: IntArray, frame: FloatArray,
    first: int, end: int, starts: FloatArray, ends: FloatArray, centres: FloatArray, motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8], lengths: FloatArray, skip: BoolArray, row: IntArray, mark_of: IntArray,
    tools: FloatArray, origin: FloatArray, margin: float,
    removed: FloatArray, depth: FloatArray, width: FloatArray, hit: FloatArray, holder: FloatArray, over: IntArray,
) -> None:  # fmt: skip
    """Lower the field by the moves first..end, in order, and write down what each did.

    Args:
        heights, marks: (ny, nx) where the metal stands; bits of the stretches that cut here.
        bounds, stale, tile_marks: (tiles, tiles) none of a tile's heights is above; bound to be renewed; bits.
        frame: (5,) corner x, y; cell x, y; bottom.
        first, end: which moves.
        starts, ends, centres: (n, 3) machine coordinates. motion, plane, lengths, skip: (n,) as in Moves.
        row: (n,) row of `tools`, -1 for none. mark_of: (n,) the bit that this move's stretch leaves.
        tools: (m, 9) shapes. origin: (3,) machine position of the blank's zero. margin: mm that a rapid may touch.
        removed, depth, width, hit, holder: (n,) written. over: (n,) bits of the stretches that had cut where it cuts.
    """
    area = frame[2] * frame[3]
    a, b, c = np.empty(3), np.empty(3), np.empty(3)
    did = np.zeros(DID_COLUMNS)
    here, there = np.empty(3), np.empty(3)
    for n in range(first, end):
        if row[n] < 0:
            continue
        tool = tools[row[n]]
        wide = 0.0
        did[:] = 0.0
        bits = 0
        for k in range(3):
            a[k], b[k], c[k] = starts[n, k] - origin[k], ends[n, k] - origin[k], centres[n, k] - origin[k]
        begins, turn, chords = 0.0, 0.0, 1
        if motion[n] >= 2:
            begins, turn, _, chords = arc_of(a, b, c, plane[n], motion[n] == 3, lengths[n], CHORD_MM)
        here[:] = a
        for chord in range(1, chords + 1):
            there[:] = b
            if chord < chords:
                arc_point(a, b, c, plane[n], begins, turn, chord / chords, there)
            did[SIDE_LOW], did[SIDE_HIGH] = math.inf, -math.inf
            bits |= _piece(
                heights, marks, bounds, stale, tile_marks, frame, here[0], here[1], here[2],
                there[0], there[1], there[2], tool, motion[n] == 0, skip[n], mark_of[n], margin, did,
            )  # fmt: skip
            wide = max(wide, did[SIDE_HIGH] - did[SIDE_LOW])
            here[:] = there
        hit[n], holder[n] = did[HIT], did[HOLDER_HIT]
        if did[REMOVED] > 0.0:
            removed[n] = did[REMOVED] * area
            depth[n] = did[DEPTH]
            width[n] = min(max(wide, 0.0) + math.sqrt(area), 2.0 * tool[RADIUS])
            over[n] = bits & ~mark_of[n]
