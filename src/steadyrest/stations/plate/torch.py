"""The torch's path round an outline, half a kerf beside it, and how long it takes under the table's acceleration.

Material lies on the left of every outline, so the torch goes on its right: an outside grows by half the kerf, a cut-out
shrinks. At a corner that stands out the torch rolls round it; at one that goes in both sides end where they meet. It
pierces beside the part, comes in on a straight, and runs on a little past where it began.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely.geometry import Point, Polygon

from steadyrest.program.run import Event, EventKind, Motion, Moves, Plane, Run
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.shop.part import Edge, Flat, Vec2
from steadyrest.stock.sheet_outlines import ring_of

STRAIGHT_RAD = 1e-4
SHORT_MM = 1e-6
TRIED = 24  # edges to begin on, the longest straight first


@dataclass(frozen=True, slots=True)
class Torch:
    """What a path's time depends on: feed, kerf, lead-in, run past the end, and the table.

    slow_hole_mm: cut-outs no wider are cut at slow_share of the feed.
    """

    feed_mm_min: float
    kerf_mm: float
    lead_mm: float
    over_mm: float
    accel_mm_s2: float
    corner_mm: float | None
    slow_hole_mm: float
    slow_share: float


@dataclass(frozen=True, slots=True)
class Cut:
    """One outline cut. outline: its place in Flat; pierce_mm: where it begins, in the drawing; run_s: torch on."""

    outline: int
    pierce_mm: Vec2
    length_mm: float
    run_s: float


@lru_cache(maxsize=64)
def cuts(flat: Flat, wanted: tuple[int, ...], wide_mm: tuple[float, ...], torch: Torch) -> tuple[Cut, ...]:
    """Every outline that is cut, with its time.

    Args:
        flat: outlines as read.
        wanted: which of them.
        wide_mm: of each cut-out its width; inf for an outside.
        torch: feed, kerf, table.
    Returns: as wanted.
    """
    found: list[Cut] = []
    for k, wide in zip(wanted, wide_mm, strict=True):
        feed = torch.feed_mm_min * (torch.slow_share if wide <= torch.slow_hole_mm else 1.0)
        lead = min(torch.lead_mm, 0.4 * wide)
        path = torch_path(flat.outlines[k].edges, torch.kerf_mm, lead, torch.over_mm)
        timing = MachineTiming((1.0, 1.0, 1.0), torch.accel_mm_s2, torch.corner_mm)
        run_s = run_time(_run(path, feed), timing).total_s
        found.append(Cut(k, path[0].start, sum(length_mm(edge) for edge in path), run_s))
    return tuple(found)


def torch_path(edges: Sequence[Edge], kerf_mm: float, lead_mm: float, over_mm: float) -> list[Edge]:
    """Lead-in, the outline half a kerf beside it, and the run past its beginning.

    Args:
        edges: a closed outline, material on its left.
        kerf_mm: width of the cut.
        lead_mm: from the pierce to the outline.
        over_mm: past the closing point, at most as long as the first edge.
    Returns: edges in order.
    """
    longest = sorted(range(len(edges)), key=lambda k: (edges[k].centre is not None, -length_mm(edges[k])))
    shape = Polygon(ring_of(edges))
    outside = shape.exterior.is_ccw
    path: list[Edge] = []
    for first in longest[:TRIED]:
        path = _begun([*edges[first:], *edges[:first]], kerf_mm, lead_mm, over_mm)
        # In the waste: a pierce in the part itself, or in another arm of it, would spoil it.
        if shape.contains(Point(path[0].start)) != outside:
            break
    return path


def _begun(edges: Sequence[Edge], kerf_mm: float, lead_mm: float, over_mm: float) -> list[Edge]:
    """The path that begins where the first edge does."""
    around = offset(edges, kerf_mm / 2.0)
    if not around:
        return [Edge(edges[0].start, edges[0].start)]
    start, way = around[0].start, direction(around[0], at_end=False)
    # From the waste, which is on the right, half across and half along.
    lean = lead_mm * math.sqrt(0.5)
    pierce = (start[0] + lean * (way[1] - way[0]), start[1] - lean * (way[0] + way[1]))
    path = [Edge(pierce, start)] if lead_mm > SHORT_MM else []
    past = _part_of(around[0], min(over_mm, length_mm(around[0])))
    return [*path, *around, *([past] if past is not None else [])]


def offset(edges: Sequence[Edge], by_mm: float) -> list[Edge]:
    """A closed line shifted to its right: arcs keep their centres, outer corners are rolled round, inner ones trimmed.

    Args:
        edges: end to end.
        by_mm: how far.
    Returns: edges; an arc that is sharper than the shift is gone.
    """
    trims = [0.0] * len(edges)
    turns = [
        _angle(direction(edges[k - 1], at_end=True), direction(edge, at_end=False)) for k, edge in enumerate(edges)
    ]
    for k, turn in enumerate(turns):
        if turn < -STRAIGHT_RAD:
            trims[k] = by_mm * math.tan(min(-turn, math.radians(170.0)) / 2.0)
    found: list[Edge] = []
    for k, edge in enumerate(edges):
        if turns[k] > STRAIGHT_RAD:
            found.append(_rolled(edge.start, direction(edges[k - 1], at_end=True), turns[k], by_mm))
        shifted = _shifted(edge, by_mm, trims[k], trims[(k + 1) % len(edges)])
        if shifted is not None:
            found.append(shifted)
    return found


def _rolled(corner: Vec2, before: Vec2, turn: float, by_mm: float) -> Edge:
    """Round an outer corner, from where the one side ends to where the next begins."""
    out = (before[1] * by_mm, -before[0] * by_mm)
    cos, sin = math.cos(turn), math.sin(turn)
    end = (corner[0] + out[0] * cos - out[1] * sin, corner[1] + out[0] * sin + out[1] * cos)
    return Edge((corner[0] + out[0], corner[1] + out[1]), end, corner, turn)


def _shifted(edge: Edge, by_mm: float, low_mm: float, high_mm: float) -> Edge | None:
    """One edge beside itself, so much shorter at its start and its end; None where nothing is left of it."""
    if edge.centre is None:
        size = math.dist(edge.start, edge.end)
        if size <= low_mm + high_mm + SHORT_MM:
            return None
        x, y = (edge.end[0] - edge.start[0]) / size, (edge.end[1] - edge.start[1]) / size
        right = (y * by_mm, -x * by_mm)
        return Edge(
            (edge.start[0] + right[0] + x * low_mm, edge.start[1] + right[1] + y * low_mm),
            (edge.end[0] + right[0] - x * high_mm, edge.end[1] + right[1] - y * high_mm),
        )
    radius, sign = math.dist(edge.start, edge.centre), math.copysign(1.0, edge.turn_rad)
    beside = radius + sign * by_mm
    if beside <= 0.01 or abs(edge.turn_rad) * beside <= low_mm + high_mm + SHORT_MM:
        return None
    begin = math.atan2(edge.start[1] - edge.centre[1], edge.start[0] - edge.centre[0])
    a, b = begin + sign * low_mm / beside, begin + edge.turn_rad - sign * high_mm / beside
    cx, cy = edge.centre
    ends = [(cx + beside * math.cos(angle), cy + beside * math.sin(angle)) for angle in (a, b)]
    return Edge(ends[0], ends[1], edge.centre, b - a)


def _part_of(edge: Edge, size_mm: float) -> Edge | None:
    """The first so many mm of an edge."""
    if size_mm <= SHORT_MM:
        return None
    share = size_mm / length_mm(edge)
    if edge.centre is None:
        (x0, y0), (x1, y1) = edge.start, edge.end
        return Edge(edge.start, (x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
    turn, (cx, cy) = edge.turn_rad * share, edge.centre
    x, y = edge.start[0] - cx, edge.start[1] - cy
    end = (cx + x * math.cos(turn) - y * math.sin(turn), cy + x * math.sin(turn) + y * math.cos(turn))
    return Edge(edge.start, end, edge.centre, turn)


def length_mm(edge: Edge) -> float:
    """Length of an edge."""
    if edge.centre is None:
        return math.dist(edge.start, edge.end)
    return math.dist(edge.start, edge.centre) * abs(edge.turn_rad)


def direction(edge: Edge, *, at_end: bool) -> Vec2:
    """Unit direction of an edge where it begins or ends."""
    if edge.centre is None:
        size = math.dist(edge.start, edge.end) or 1.0
        return (edge.end[0] - edge.start[0]) / size, (edge.end[1] - edge.start[1]) / size
    point = edge.end if at_end else edge.start
    x, y = point[0] - edge.centre[0], point[1] - edge.centre[1]
    size, sign = math.hypot(x, y) or 1.0, math.copysign(1.0, edge.turn_rad)
    return -sign * y / size, sign * x / size


def _angle(before: Vec2, after: Vec2) -> float:
    """How far a line turns to the left from one direction to the next."""
    return math.atan2(before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1])


def _run(path: Sequence[Edge], feed_mm_min: float) -> Run:
    """The path as moves of a program, from rest to rest."""
    n = len(path)
    zeros, three = np.zeros(n), np.zeros((n, 3))
    start, end, centre = three.copy(), three.copy(), np.full((n, 3), np.nan)
    motion = np.full(n, int(Motion.LINE), dtype=np.int8)
    for k, edge in enumerate(path):
        start[k, :2], end[k, :2] = edge.start, edge.end
        if edge.centre is not None:
            centre[k] = (*edge.centre, 0.0)
            motion[k] = int(Motion.ARC_CCW if edge.turn_rad > 0 else Motion.ARC_CW)
    stop = np.zeros(n, dtype=np.bool_)
    stop[-1] = True
    moves = Moves(
        line=np.arange(n), motion=motion, plane=np.full(n, int(Plane.XY), dtype=np.int8), start_mm=start, end_mm=end,
        centre_mm=centre, turns=zeros, length_mm=np.array([length_mm(edge) for edge in path]),
        feed_mm_min=np.full(n, feed_mm_min), feed_per_turn_mm=zeros, rpm=zeros, surface_m_min=zeros,
        rpm_cap=np.full(n, np.inf), tool=np.zeros(n, dtype=np.int64), tool_length_mm=zeros, offset_mm=three,
        rotary_deg=three, cycle=np.zeros(n, dtype=np.bool_), exact_stop=stop, skip=np.zeros(n, dtype=np.bool_),
    )  # fmt: skip
    return Run(moves, (Event(EventKind.END, n, n),), (), n, "mm", ended=True)
