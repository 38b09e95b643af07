"""What stands beside the work: whether a tool or its holder runs into a table, a vise, a clamp or a chuck.

A mill's tool is a cylinder that goes up without end from its tip, and its holder another one above the stick-out. Along
a straight piece the tip is below a thing's top on one stretch of the way; how near the axis then comes to the thing, in
the plane, is a closed form. A lathe's tool is its point, or for drills a cylinder about the axis; only rounds about the
axis are asked there. Touching is none: MARGIN_MM is taken off on every side, as for rapids.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.chords import pieces_of
from steadyrest.program.removal.meet import CHORD_MM, seen_at_ends
from steadyrest.program.removal.tool_shape import Side, ToolShape
from steadyrest.program.removal.work import MARGIN_MM
from steadyrest.program.run import Moves

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
Shape = BoxBlank | RoundBlank

TRIES = 40  # halvings of a convex search: far below any margin


@dataclass(frozen=True, slots=True)
class Thing:
    """Something in the way. machine: its coordinates are the machine's; else those of the work zero in force."""

    name: str
    shape: Shape
    machine: bool = False


@dataclass(frozen=True, slots=True)
class Struck:
    """A move that runs into a thing. holder: its holder does, and not the tool. depth_mm: how far in, in the plane."""

    move: int
    thing: int
    holder: bool
    depth_mm: float


def struck(
    moves: Moves,
    things: Sequence[Thing],
    tools: Mapping[int, ToolShape],
    *,
    machine: Literal["mill", "lathe"],
    home_mm: tuple[float, float, float] = (0.0, 0.0, 0.0),
    stop: Callable[[], bool] = lambda: False,
) -> tuple[Struck, ...]:
    """Every move that runs into something, in order of things and moves.

    Args:
        moves: of a run, machine coordinates.
        things: what stands there.
        tools: shapes by number; one that is not here, or of unknown size, is a line.
        machine: "mill" or "lathe".
        home_mm: where the spindle's nose is when the machine is home.
        stop: asked now and then.
    Returns: what was struck. On a mill, things in machine coordinates are asked only of moves with a tool length in
        force, since only then the tip's height is the machine's.
    Raises: InterruptedError: stop said so.
    """
    if not things or not len(moves):
        return ()
    seen = seen_at_ends(moves, machine, home_mm)
    radius, out_mm, holder = _sizes(seen, tools, machine)
    found: list[Struck] = []
    for number, thing in enumerate(things):
        zero = np.zeros(3) if thing.machine else None
        deep = np.zeros(len(moves))
        held = np.zeros(len(moves))
        placed = seen.tool > 0
        if thing.machine and machine == "mill":
            placed = placed & (seen.tool_length_mm > 0.0)
        for lot in pieces_of(seen, np.zeros(3), within_mm=CHORD_MM[machine]):
            if stop():
                raise InterruptedError
            off = seen.offset_mm[lot.move] if zero is None else zero[None, :]
            start, end = lot.ends_mm[:, :3] - off, lot.ends_mm[:, 3:] - off
            ask = placed[lot.move]
            if machine == "lathe":
                depth = _into_round(start, end, radius[lot.move], thing.shape)
                np.maximum.at(deep, lot.move, np.where(ask, depth, 0.0))
                continue
            depth = _into(start, end, radius[lot.move], 0.0 * radius[lot.move], thing.shape)
            np.maximum.at(deep, lot.move, np.where(ask, depth, 0.0))
            wide = ask & (holder[lot.move] > 0.0)
            depth = _into(start, end, holder[lot.move], out_mm[lot.move], thing.shape)
            np.maximum.at(held, lot.move, np.where(wide, depth, 0.0))
        found += [Struck(int(k), number, False, float(deep[k])) for k in np.flatnonzero(deep > 0.0)]
        found += [Struck(int(k), number, True, float(held[k])) for k in np.flatnonzero((held > 0.0) & (deep == 0.0))]
    return tuple(found)


def _sizes(moves: Moves, tools: Mapping[int, ToolShape], machine: str) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(n,) each: radius of the tool, its stick-out, and radius of the holder; 0 where not known."""
    radius, out_mm, holder = np.zeros(len(moves)), np.zeros(len(moves)), np.zeros(len(moves))
    for number, tool in tools.items():
        its = moves.tool == number
        about = machine == "mill" or tool.side == Side.CENTRE
        radius[its] = tool.radius_mm if tool.known and about else 0.0
        if tool.length_mm > 0.0:
            out_mm[its], holder[its] = tool.length_mm, tool.holder_mm / 2.0
    return radius, out_mm, holder


def _into(start: FloatArray, end: FloatArray, radius: FloatArray, up: FloatArray, shape: Shape) -> FloatArray:
    """(m,) how far cylinders that begin `up` above the tip stand in a thing, in the plane; 0 outside."""
    top = shape.max_mm[2] if isinstance(shape, BoxBlank) else shape.z_mm[1]
    z0, z1 = start[:, 2] + up, end[:, 2] + up
    low = z0 < top - MARGIN_MM
    last = z1 < top - MARGIN_MM
    fall = np.where(z1 != z0, z1 - z0, 1.0)
    cross = np.clip((top - MARGIN_MM - z0) / fall, 0.0, 1.0)
    first_t = np.where(low, 0.0, cross)
    last_t = np.where(last, 1.0, np.where(low, cross, 0.0))
    asked = low | last
    away = np.full(len(start), np.inf)
    if asked.any():
        a = start[asked] + (end - start)[asked] * first_t[asked, None]
        b = start[asked] + (end - start)[asked] * last_t[asked, None]
        away[asked] = _nearest(a, b, shape)
    deep = radius - away
    return np.where(asked & (deep > MARGIN_MM), deep, 0.0)


def _nearest(a: FloatArray, b: FloatArray, shape: Shape) -> FloatArray:
    """(m,) how near pieces come to a thing in the plane; below 0 inside. The distance is convex along a piece."""

    def away(share: FloatArray) -> FloatArray:
        x, y = (a + (b - a) * share[:, None])[:, :2].T
        if isinstance(shape, RoundBlank):
            return np.hypot(x, y) - shape.diameter_mm / 2.0
        outside_x = np.maximum(shape.min_mm[0] - x, x - shape.max_mm[0])
        outside_y = np.maximum(shape.min_mm[1] - y, y - shape.max_mm[1])
        inside = np.minimum(np.maximum(outside_x, outside_y), 0.0)
        return np.hypot(np.maximum(outside_x, 0.0), np.maximum(outside_y, 0.0)) + inside

    low, high = np.zeros(len(a)), np.ones(len(a))
    golden = 0.5 * (np.sqrt(5.0) - 1.0)
    for _ in range(TRIES):
        one, two = high - golden * (high - low), low + golden * (high - low)
        left = away(one) <= away(two)
        high, low = np.where(left, two, high), np.where(left, low, one)
    middle = 0.5 * (low + high)
    return np.minimum(away(middle), np.minimum(away(np.zeros(len(a))), away(np.ones(len(a)))))


def _into_round(start: FloatArray, end: FloatArray, radius: FloatArray, shape: Shape) -> FloatArray:
    """(m,) how far a lathe's points, or drills, go into a round about its axis; 0 outside."""
    if not isinstance(shape, RoundBlank):
        return np.zeros(len(start))
    low, high = shape.z_mm[0] + MARGIN_MM, shape.z_mm[1] - MARGIN_MM
    z0, z1 = start[:, 2], end[:, 2]
    inside = (np.minimum(z0, z1) < high) & (np.maximum(z0, z1) > low)
    run = np.where(z1 != z0, z1 - z0, 1.0)
    ta, tb = np.clip((low - z0) / run, 0.0, 1.0), np.clip((high - z0) / run, 0.0, 1.0)
    level = z1 == z0
    ta, tb = np.where(level, 0.0, ta), np.where(level, 1.0, tb)
    xa, xb = (start[:, 0] + (end - start)[:, 0] * t for t in (ta, tb))
    least = np.where(xa * xb <= 0.0, 0.0, np.minimum(np.abs(xa), np.abs(xb)))
    most = np.maximum(np.abs(xa), np.abs(xb))
    hole = shape.bore_mm / 2.0
    # A tool's point strikes the round between its bore and its outside; what stays within the bore is free.
    deep = np.minimum(shape.diameter_mm / 2.0 - least, most + radius - hole)
    return np.where(inside & (deep > MARGIN_MM), deep, 0.0)
