"""Removal: a block of 200 mm square at 0.25 mm, programs of up to a million moves, beside the same in plain numpy.

Growth first (ours alone, by moves), then each kind beside the peer on as many moves as the peer can bear. Both must
leave the same heights before time counts. `python speed/removal.py [CASE]`.
"""

from __future__ import annotations

import json
import math
import sys
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "src"))
sys.path.insert(0, str(Path(__file__).resolve().parent))

from _shared import each_in_its_own_process, line, once, peak_mb

from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.meet import meet
from steadyrest.program.removal.setting import Setting
from steadyrest.program.removal.tool_shape import tool_shape
from steadyrest.program.run import Moves

FloatArray = npt.NDArray[np.float64]
FINE_MM = 0.25
BLOCK = BoxBlank((0.0, 0.0, -40.0), (200.0, 200.0, 0.0))
TOOLS = {
    1: tool_shape(1, "ball end mill", diameter_mm=10.0),
    2: tool_shape(2, "end mill", diameter_mm=16.0),
    3: tool_shape(3, "end mill", diameter_mm=12.0, edge_mm=2.0),
    4: tool_shape(4, "turning", diameter_mm=0.0),
}


def moves_of(points: FloatArray, tool: int, *, rapid_first: bool = True) -> Moves:
    """Straight feeds from point to point, (n + 1, 3)."""
    n = len(points) - 1
    motion = np.ones(n, dtype=np.int8)
    if rapid_first:
        motion[0] = 0
    flat = np.zeros(n)
    return Moves(
        line=np.arange(1, n + 1), motion=motion, plane=np.zeros(n, dtype=np.int8), start_mm=points[:-1].copy(),
        end_mm=points[1:].copy(), centre_mm=np.full((n, 3), np.nan), turns=flat,
        length_mm=np.linalg.norm(np.diff(points, axis=0), axis=1), feed_mm_min=np.full(n, 2000.0),
        feed_per_turn_mm=flat, rpm=np.full(n, 8000.0), surface_m_min=flat, rpm_cap=np.full(n, np.inf),
        tool=np.full(n, tool), tool_length_mm=flat, offset_mm=np.zeros((n, 3)), rotary_deg=np.zeros((n, 3)),
        cycle=np.zeros(n, dtype=bool), exact_stop=np.zeros(n, dtype=bool), skip=np.zeros(n, dtype=bool),
    )  # fmt: skip


def surface(count: int) -> FloatArray:
    """Rows to and fro over a wavy surface, `count` moves in all over the whole block."""
    rows = max(int(math.sqrt(count / 4.0)), 2)
    along = np.linspace(-2.0, 202.0, max(count // rows, 2))
    x = np.concatenate([along if row % 2 == 0 else along[::-1] for row in range(rows)])
    y = np.repeat(np.linspace(0.0, 200.0, rows), len(along))
    z = -8.0 + 4.0 * np.sin(x / 17.0) * np.cos(y / 23.0)
    return np.column_stack([x, y, z])


def levels(count: int) -> FloatArray:
    """Level pocketing: rings inwards at each depth, in short chords, `count` moves in all."""
    rings = [np.linspace(0.0, 2.0 * math.pi, max(count // 260, 8)) for _ in range(260)]
    points: list[FloatArray] = []
    for k, angle in enumerate(rings):
        radius = 90.0 - 7.0 * (k % 13)
        deep = np.full(len(angle), -1.5 * (k // 13 + 1))
        points.append(np.column_stack([100 + radius * np.cos(angle), 100 + radius * np.sin(angle), deep]))
    return np.vstack(points)


def facing(count: int) -> FloatArray:
    """A bar turned down in many short moves, X a radius."""
    passes = max(count // 5000, 1)
    z = np.linspace(2.0, -150.0, max(count // passes, 2))
    x = np.concatenate([np.full(len(z), 49.0 - 30.0 * k / passes) + 0.3 * np.sin(z / 5.0) for k in range(passes)])
    return np.column_stack([x, np.zeros(len(x)), np.tile(z, passes)])


def plain(points: FloatArray, *, ball_mm: float, flat: bool) -> FloatArray:
    """The peer: for each move, numpy over the cells of its box, by the same closed forms."""
    n = round(200.0 / FINE_MM)
    heights = np.zeros((n, n))
    axis = (np.arange(n) + 0.5) * FINE_MM
    for (ax, ay, az), (bx, by, bz) in pairwise(points):
        i = slice(*np.searchsorted(axis, (min(ax, bx) - ball_mm, max(ax, bx) + ball_mm)))
        j = slice(*np.searchsorted(axis, (min(ay, by) - ball_mm, max(ay, by) + ball_mm)))
        px, py = axis[None, i] - ax, axis[j, None] - ay
        long = max(math.hypot(bx - ax, by - ay), 1e-12)
        ux, uy, rise = (bx - ax) / long, (by - ay) / long, (bz - az) / long
        along, q2 = px * ux + py * uy, (py * ux - px * uy) ** 2
        half = np.sqrt(np.maximum(ball_mm**2 - q2, 0.0))
        best = -math.copysign(1.0, rise) * half if flat else -rise * half / math.sqrt(1.0 + rise * rise)
        low, high = np.maximum(-along, -half), np.minimum(long - along, half)
        u = np.clip(best, low, np.maximum(high, low))
        z = az + rise * (along + u)
        if not flat:
            z = z + ball_mm - np.sqrt(np.maximum(ball_mm**2 - q2 - u * u, 0.0))
        there = (low <= high) & (q2 <= ball_mm**2)
        heights[j, i] = np.where(there, np.minimum(heights[j, i], z), heights[j, i])
    return heights


def alone(case: str, moves: Moves, machine: str = "mill", sides: dict | None = None) -> None:
    """One size of one kind, ours only: time, time of the processor, moves a second, memory."""
    blank, fine = (BLOCK, FINE_MM) if machine == "mill" else (RoundBlank(100.0, (-160.0, 1.0)), 0.01)
    few = moves_of(surface(40) if machine == "mill" else facing(40), int(moves.tool[0]))
    meet(few, blank, TOOLS, machine=machine, resolution_mm=fine, settings=sides)
    begun = time.process_time()
    took = once(lambda: meet(moves, blank, TOOLS, machine=machine, resolution_mm=fine, settings=sides))
    told = {"case": case, "moves": len(moves), "ours_s": round(took, 3), "cpu_s": round(time.process_time() - begun, 3)}
    print(json.dumps({**told, "moves_per_s": round(len(moves) / took), "peak_mb": round(peak_mb(), 1)}), flush=True)


UP = Setting(((1, 0, 0), (0, 1, 0), (0, 0, 1)), (0.0, 0.0, 0.0))
RIGHT = Setting(((0, 0, 1), (0, 1, 0), (-1, 0, 0)), (200.0, 0.0, 0.0))
FRONT = Setting(((1, 0, 0), (0, 0, -1), (0, 1, 0)), (0.0, 0.0, 0.0))
SIDES = {(0.0, 0.0, 0.0): UP, (0.0, 90.0, 0.0): RIGHT, (90.0, 0.0, 0.0): FRONT}


def three_sides(count: int) -> Moves:
    """A wavy surface from above, then level pockets from the right and from the front, `count` moves in all."""
    top, ring = surface(count // 3), levels(count // 3) * (0.1, 0.1, 0.5)
    right, front = np.add(ring, (10.0, 90.0, 0.0)), np.add(ring, (90.0, -30.0, 0.0))
    moves = moves_of(np.vstack([top, right, front]), 1)
    rotary = np.zeros((len(moves), 3))
    rotary[len(top) - 1 : len(top) - 1 + len(right), 1] = 90.0
    rotary[len(top) - 1 + len(right) :, 0] = 90.0
    keep = np.ones(len(moves), dtype=bool)
    keep[[len(top) - 1, len(top) + len(right) - 1]] = False  # from one side to the next the spindle does not cut
    return replace(moves, rotary_deg=rotary, skip=~keep)


def growth(kind: str) -> None:
    """Ten times as many moves, and again."""
    for count in (10_000, 100_000, 1_000_000):
        if kind == "surface, ball 10":
            alone(kind, moves_of(surface(count), 1))
        elif kind == "surface, bull nose 12":
            alone(kind, moves_of(surface(count), 3))
        elif kind == "three sides, ball 10":
            alone(kind, three_sides(count), sides=SIDES)
        elif kind == "levels, end mill 16":
            alone(kind, moves_of(levels(count), 2))
        else:
            alone(kind, moves_of(facing(count), 4), "lathe")


def beside(kind: str) -> None:
    """As many moves as the peer can bear, the same heights asked of both."""
    points, tool, wide, flat = (surface(20_000), 1, 5.0, False) if "ball" in kind else (levels(20_000), 2, 8.0, True)
    moves = moves_of(points, tool)
    meet(moves_of(surface(40), tool), BLOCK, TOOLS, machine="mill", resolution_mm=FINE_MM)
    ours = meet(moves, BLOCK, TOOLS, machine="mill", resolution_mm=FINE_MM)
    theirs = plain(points, ball_mm=wide, flat=flat)
    assert np.abs(ours.left.heights_mm - theirs).max() < 1e-6, "the two leave different heights"
    ours_s = once(lambda: meet(moves, BLOCK, TOOLS, machine="mill", resolution_mm=FINE_MM))
    line(kind, ours_s=ours_s, peer="numpy", peer_s=once(lambda: plain(points, ball_mm=wide, flat=flat)))


CASES = {
    "surface": lambda: growth("surface, ball 10"),
    "bull": lambda: growth("surface, bull nose 12"),
    "levels": lambda: growth("levels, end mill 16"),
    "sides": lambda: growth("three sides, ball 10"),
    "lathe": lambda: growth("turning, 0.01 mm"),
    "beside-ball": lambda: beside("20,000 moves, ball 10"),
    "beside-levels": lambda: beside("20,000 moves, levels, end mill 16"),
}

if __name__ == "__main__":
    each_in_its_own_process(__file__, CASES)
