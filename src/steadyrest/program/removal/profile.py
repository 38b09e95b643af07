"""The profile: a lathe's stock as an outer and an inner radius along the axis, and the loop that cuts it.

The turning point is a point with metal over it, towards its own side. Two profiles are kept: *best*, for volumes, and
*sure*, what stands whatever the unknown breadth of an insert took away; a rapid is judged against the sure one alone.
What no longer hangs on to the chuck (the low end of the axis) has fallen off.

Everything that the loops call stands in this module or, compiled, in chords.py.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import filled, loop

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

OPEN_MM = 1e-6
ON_AXIS_MM = 0.01
OUT, IN, CENTRE = 0, 1, 2
# Columns of a tool's row.
SIDE, RADIUS, FLAT, SLOPE, WIDTH, UNSURE, REACH, THREAD, CUTS = range(9)
TOOL_COLUMNS = 9


@loop(inner=True)
def _first(low: float, origin: float, cell: float) -> int:
    return math.ceil((low - origin) / cell - 0.5)


@loop()
def _last(high: float, origin: float, cell: float) -> int:
    return math.floor((high - origin) / cell - 0.5)


@loop(inner=True)
def _cut_cell(
    outer: FloatArray, inner: FloatArray, marks: IntArray, k: int, side: int, x: float, thick: float, mark: int,
    did: FloatArray,
) -> None:  # fmt: skip
    """Cut one cell to a radius: the ring as a difference of squares of radii, how thick, whether nothing is left."""
    before = max(outer[k] ** 2 - inner[k] ** 2, 0.0)
    if side == OUT:
        outer[k] = min(outer[k], max(x, 0.0))
    else:
        inner[k] = max(inner[k], x)
    after = max(outer[k] ** 2 - inner[k] ** 2, 0.0)
    if after < before:
        did[0] += before - after
        did[1] = max(did[1], thick)
        did[2] += after == 0.0
        marks[k] |= mark


@loop(inner=True)
def _cut_line(
    outer: FloatArray, inner: FloatArray, marks: IntArray, origin: float, cell: float,
    x0: float, z0: float, x1: float, z1: float, side: int, behind: float, ahead: float, reach: float,
    mark: int, did: FloatArray,
) -> int:  # fmt: skip
    """The point goes straight, with an edge from `behind` below its z to `ahead` above. Returns the marks it meets."""
    n = len(outer)
    over = 0
    if z0 > z1:
        x0, z0, x1, z1 = x1, z1, x0, z0
    k0, k1 = max(_first(z0 - behind, origin, cell), 0), min(_last(z1 + ahead, origin, cell), n - 1)
    for k in range(k0, k1 + 1):
        z = origin + (k + 0.5) * cell
        za, zb = max(z - ahead, z0), min(z + behind, z1)
        if za > zb:
            continue
        xa = x0 if z1 == z0 else x0 + (x1 - x0) * (za - z0) / (z1 - z0)
        xb = x1 if z1 == z0 else x0 + (x1 - x0) * (zb - z0) / (z1 - z0)
        x = min(xa, xb) if side == OUT else max(xa, xb)
        over |= marks[k]
        thick = outer[k] - max(x, inner[k]) if side == OUT else min(x, outer[k]) - inner[k]
        _cut_cell(outer, inner, marks, k, side, x, thick, mark, did)
    if reach > 0.0 and side == OUT and abs(x1 - x0) > OPEN_MM and abs(z1 - z0) <= 0.02 * abs(x1 - x0):
        # Facing: a ring between the edge and an open face, no thicker than the edge is long, is chip.
        x = min(x0, x1)
        begin = max(k1 + 1, 0)
        stop = begin
        while stop < n and (stop - begin) * cell <= reach:
            if outer[stop] <= max(x, inner[stop]) + OPEN_MM:
                break
            stop += 1
        if stop >= n or outer[stop] <= max(x, inner[stop]) + OPEN_MM:
            for k in range(begin, min(stop, n)):
                over |= marks[k]
                thick = outer[k] - max(x, inner[k])
                _cut_cell(outer, inner, marks, k, side, x, thick, mark, did)
    return over


@loop(inner=True)
def _cut_centre(
    outer: FloatArray, inner: FloatArray, marks: IntArray, origin: float, cell: float, z: float,
    radius: float, flat: float, slope: float, side: int, mark: int, did: FloatArray,
) -> int:  # fmt: skip
    """A tool about the axis with its tip at z: everything above is opened to its profile."""
    over = 0
    for k in range(max(_first(z, origin, cell), 0), len(outer)):
        x = radius
        if slope > 0.0:
            x = min(radius, flat + (origin + (k + 0.5) * cell - z) / slope)
        if inner[k] >= radius:
            continue
        over |= marks[k]
        thick = min(x, outer[k]) - inner[k]
        _cut_cell(outer, inner, marks, k, side, x, thick, mark, did)
    return over


@loop(inner=True)
def _fall(outer: FloatArray, inner: FloatArray) -> float:
    """Take away what no longer hangs on to the low end; how much, as a sum of differences of squares."""
    fallen = 0.0
    hangs = True
    for k in range(len(outer)):
        solid = outer[k] > inner[k]
        if not hangs and solid:
            fallen += outer[k] ** 2 - inner[k] ** 2
            outer[k] = 0.0
        elif hangs and not solid:
            # Metal below must have been met first: an empty low end is where the chuck holds nothing yet.
            hangs = k == 0 or outer[k - 1] <= inner[k - 1]
    return fallen


@loop(inner=True)
def _depth_in(outer: FloatArray, inner: FloatArray, origin: float, cell: float, x: float, z: float) -> float:
    """How deep a point lies in the metal, across; 0 outside."""
    k = math.floor((z - origin) / cell)
    if k < 0 or k >= len(outer):
        return 0.0
    return max(min(outer[k] - x, x - inner[k]), 0.0) if inner[k] > 0.0 else max(outer[k] - x, 0.0)


@loop(inner=True)
def _point_hit(
    outer: FloatArray, inner: FloatArray, origin: float, cell: float,
    x0: float, z0: float, x1: float, z1: float, margin: float,
) -> float:  # fmt: skip
    """How deep a straight rapid of the point goes into metal that stands on both sides of it and under it."""
    long = math.hypot(x1 - x0, z1 - z0)
    top = origin + len(outer) * cell
    if max(z0, z1) < origin or min(z0, z1) > top:
        return 0.0
    steps = int(min(max(math.ceil(long / margin), 1.0), 200_000.0))
    hit = 0.0
    for step in range(steps + 1):
        x, z = abs(x0 + (x1 - x0) * step / steps), z0 + (z1 - z0) * step / steps
        deep = _depth_in(outer, inner, origin, cell, x, z)
        if deep > margin:
            deep = min(deep, _depth_in(outer, inner, origin, cell, x, z - margin))
            deep = min(deep, _depth_in(outer, inner, origin, cell, x, z + margin))
            if deep > margin:
                hit = max(hit, deep)
    return hit


@loop(inner=True)
def _centre_hit(
    outer: FloatArray, inner: FloatArray, origin: float, cell: float, z: float,
    radius: float, flat: float, slope: float, margin: float,
) -> float:  # fmt: skip
    """How deep a tool about the axis, drawn in by the margin, with its tip at z, stands in metal, across."""
    hit = 0.0
    up = z + margin * math.sqrt(1.0 + slope * slope) if slope > 0.0 else z + margin
    for k in range(max(_first(up, origin, cell), 0), len(outer)):
        x = radius - margin
        if slope > 0.0:
            x = min(x, flat + (origin + (k + 0.5) * cell - up) / slope)
        if outer[k] > inner[k]:
            hit = max(hit, min(x, outer[k]) - inner[k])
    return hit + margin if hit > 0.0 else 0.0


@loop()
def turn_down(
    outer: FloatArray, inner: FloatArray, sure_outer: FloatArray, sure_inner: FloatArray, marks: IntArray,
    origin: float, cell: float, whose: IntArray, pieces: FloatArray, motion: npt.NDArray[np.int8], skip: BoolArray,
    row: IntArray, mark_of: IntArray, tools: FloatArray, margin: float, widest: float,
    removed: FloatArray, depth: FloatArray, hit: FloatArray, over: IntArray, fallen: FloatArray,
    did: FloatArray, unused: FloatArray,
) -> None:  # fmt: skip
    """Cut the profile by straight pieces, in order, and write down what each move did.

    Args:
        outer, inner, sure_outer, sure_inner, marks: (k,) the two profiles; bits of the stretches that cut here.
        origin, cell: low end of the axis; length of a cell, mm.
        whose, pieces: (m,) and (m, 6) the pieces and their moves, in the bar's coordinates; no move is split.
        motion, skip: (n,) as in Moves. row: (n,) row of `tools`, -1 for none. mark_of: (n,) bit of the move's stretch.
        tools: (t, 9) shapes. margin: mm that a rapid may touch. widest: radius of the blank.
        removed, depth, hit, fallen: (n,) written. over: (n,) bits of the stretches that had made room.
        did, unused: (3,) room to reckon in.
    """
    disc = math.pi * cell
    bits = 0
    for m in range(len(whose)):
        n, mark = whose[m], int(mark_of[whose[m]])
        if row[n] < 0:
            continue
        tool = tools[row[n]]
        side, unmarked = int(tool[SIDE]), mark & 0
        x0, z0, x1, z1 = pieces[m, 0], pieces[m, 2], pieces[m, 3], pieces[m, 5]
        if m == 0 or whose[m - 1] != n:
            filled(did, 0.0)
            bits = 0
        cuts = tool[CUTS] > 0.0 and not skip[n]
        if side == CENTRE:
            if tool[RADIUS] <= 0.0 or abs(x0) > ON_AXIS_MM or abs(x1) > ON_AXIS_MM:
                continue
            radius, flat, slope, tip = tool[RADIUS], tool[FLAT], tool[SLOPE], min(z0, z1)
            if motion[n] == 0:
                hit[n] = max(
                    hit[n], _centre_hit(sure_outer, sure_inner, origin, cell, tip, radius, flat, slope, margin)
                )
            if cuts:
                bits |= _cut_centre(outer, inner, marks, origin, cell, tip, radius, flat, slope, side, mark, did)
                _cut_centre(
                    sure_outer, sure_inner, marks, origin, cell, tip, radius, flat, slope, side, unmarked, unused
                )
        else:
            broad = tool[WIDTH]
            if motion[n] == 0:
                hit[n] = max(hit[n], _point_hit(sure_outer, sure_inner, origin, cell, x0, z0, x1, z1, margin))
            if cuts:
                if tool[THREAD] == 0.0:
                    reach = 0.0 if broad > 0.0 else tool[REACH]
                    bits |= _cut_line(
                        outer, inner, marks, origin, cell, x0, z0, x1, z1, side, 0.0, broad, reach, mark, did
                    )
                ahead = max(broad, tool[UNSURE]) + cell
                reach = 0.0 if broad > 0.0 else math.inf
                _cut_line(
                    sure_outer, sure_inner, marks, origin, cell, x0, z0, x1, z1, side,
                    tool[UNSURE] + cell, ahead, reach, unmarked, unused,
                )  # fmt: skip
        if did[0] > 0.0:
            removed[n] = did[0] * disc
            depth[n] = did[1]
        # Within the blank it would have cut, had nobody been here before: it relies on them, metal or none.
        if did[0] > 0.0 or (motion[n] != 0 and (side != OUT or min(abs(x0), abs(x1)) < widest - margin)):
            over[n] = bits & ~mark
        if did[2] > 0.0:
            fallen[n] += _fall(outer, inner) * disc
            did[2] = 0.0
        if unused[2] > 0.0:
            _fall(sure_outer, sure_inner)
            unused[2] = 0.0
