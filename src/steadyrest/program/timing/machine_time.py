"""How long a run takes on one machine: limited by its acceleration, move by move.

Two rules for what happens between blocks. *stop*: every block ends at rest, the closed form L/v + v/a, or 2 sqrt(L/a)
where the speed is not reached. *rounded*: the control looks ahead; a corner is taken as fast as the path may be off
there (look_ahead.py). A rapid goes axis by axis at each one's own speed, and takes as long as the slowest.

Feed per turn under constant surface speed changes along the move; turning_time.py integrates it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numba import njit

from steadyrest.program.run import EventKind, FloatArray, Motion, Moves, Run
from steadyrest.program.timing.look_ahead import rounded_times
from steadyrest.program.timing.turning_time import turning_times
from steadyrest.shop.leaving import LeavingMachine, Vector

RAPID = int(Motion.RAPID)


@dataclass(frozen=True, slots=True)
class MachineTiming:
    """What a machine's time depends on.

    rapid_mm_min: by axis. accel_mm_s2: along the path. corner_mm: how far off a corner may be cut; None: every block
    ends at rest. tool_change_s: each change to another tool. spindle_s_per_rpm: each start from standing, by the
    speed that it starts to.
    """

    rapid_mm_min: Vector
    accel_mm_s2: float
    corner_mm: float | None = None
    tool_change_s: float = 0.0
    spindle_s_per_rpm: float = 0.0


@dataclass(frozen=True, slots=True)
class ToolTime:
    """How long a tool cuts: its feed moves, and the feed part of cycles. calls: how often it came into the spindle."""

    number: int
    cut_s: float
    calls: int


@dataclass(frozen=True, slots=True)
class RunTime:
    """total_s: the whole run. move_s: (moves,), event_s: (events,). tools: in the order they were first called."""

    total_s: float
    move_s: FloatArray
    event_s: FloatArray
    tools: tuple[ToolTime, ...]


def timing_of(machine: LeavingMachine) -> MachineTiming:
    """The constants that the shop file gives.

    Args:
        machine: as the leaving check knows it.
    Returns: its timing; spindle starts take no time there.
    """
    return MachineTiming(machine.rapid_mm_min, machine.accel_mm_s2, machine.corner_mm, machine.tool_change_s)


def block_time_s(length_mm: float, speed_mm_s: float, accel_mm_s2: float) -> float:
    """A block from rest to rest: L/v + v/a where the speed is reached (L >= v2/a), else 2 sqrt(L/a).

    Args:
        length_mm: of the path; >= 0.
        speed_mm_s: programmed; > 0, inf allowed.
        accel_mm_s2: along the path; > 0, inf allowed.
    Returns: s.
    Source: uniform acceleration; the command line's contract, section 1.
    """
    return float(_block_time(length_mm, speed_mm_s, accel_mm_s2))


def run_time(run: Run, timing: MachineTiming) -> RunTime:
    """The time of every move, every event, and each tool's cutting time.

    Args:
        run: as read.
        timing: the machine's constants.
    Returns: times; a feed move without a feed takes none (the reader has said so).
    """
    moves = run.moves
    speeds = np.asarray(timing.rapid_mm_min) / 60
    rapid_s = _rapid_times(moves.motion, moves.start_mm, moves.end_mm, speeds, timing.accel_mm_s2)
    if timing.corner_mm is None:
        move_s = _stop_times(moves.motion, moves.length_mm, moves.feed_mm_min / 60, rapid_s, timing.accel_mm_s2)
    else:
        move_s = rounded_times(run, rapid_s, timing.accel_mm_s2, timing.corner_mm)
    _turning(moves, move_s, timing.accel_mm_s2)
    event_s = _event_times(run, timing)
    move_s.flags.writeable = event_s.flags.writeable = False
    return RunTime(
        total_s=math.fsum((float(np.sum(move_s)), float(np.sum(event_s)))),
        move_s=move_s,
        event_s=event_s,
        tools=_tools(run, move_s),
    )


def cuts(moves: Moves) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """(n,) which moves feed: G1, G2, G3 and the feed part of cycles. A probing move does not."""
    return (moves.motion != RAPID) & ~moves.skip


def nose_mm(moves: Moves) -> FloatArray:
    """(n, 3) where the spindle's gauge point stands at each move's end: a tool length above the point, along Z."""
    nose = np.array(moves.end_mm, dtype=np.float64)
    nose[:, 2] += moves.tool_length_mm
    return nose


def _turning(moves: Moves, move_s: FloatArray, accel_mm_s2: float) -> None:
    """Put in the moves whose speed changes as the surface speed is held."""
    changing = np.flatnonzero((moves.motion != RAPID) & (moves.feed_per_turn_mm > 0) & (moves.surface_m_min > 0))
    move_s[changing] = turning_times(moves, changing, accel_mm_s2)


def _event_times(run: Run, timing: MachineTiming) -> FloatArray:
    event_s = np.zeros(len(run.events))
    tool, turning = 0, False
    for number, event in enumerate(run.events):
        if event.kind == EventKind.DWELL:
            event_s[number] = event.value
        elif event.kind == EventKind.TOOL_CHANGE and event.value:  # T0 is no other tool: it drops an offset
            if int(event.value) != tool:
                event_s[number] = timing.tool_change_s
                turning = False
            tool = int(event.value)
        elif event.kind == EventKind.SPINDLE:
            # Under constant surface speed a spindle that starts on the axis is asked for no finite speed.
            if event.value and not turning and math.isfinite(event.value):
                event_s[number] = timing.spindle_s_per_rpm * abs(event.value)
            turning = bool(event.value)
    return event_s


def _tools(run: Run, move_s: FloatArray) -> tuple[ToolTime, ...]:
    moves = run.moves
    called: dict[int, int] = {}
    inside = 0
    for event in run.events:
        if event.kind == EventKind.TOOL_CHANGE and event.value and int(event.value) != inside:
            inside = int(event.value)
            called[inside] = called.get(inside, 0) + 1
    cutting = cuts(moves)
    return tuple(
        ToolTime(number, float(np.sum(move_s[cutting & (moves.tool == number)])), calls)
        for number, calls in called.items()
    )


@njit(cache=True)
def _block_time(length: float, speed: float, accel: float) -> float:
    if length <= 0.0 or math.isnan(speed) or speed <= 0.0:
        return 0.0
    if math.isinf(accel):
        return length / speed
    if not math.isinf(speed) and length >= speed * speed / accel:
        return length / speed + speed / accel
    return 2.0 * math.sqrt(length / accel)


@njit(cache=True)
def _rapid_times(
    motion: np.ndarray[tuple[int], np.dtype[np.int8]],
    start: FloatArray,
    end: FloatArray,
    speed: FloatArray,
    accel: float,
) -> FloatArray:
    """Of the rapids, as long as the slowest axis; 0 for the other moves."""
    times = np.zeros(len(end))
    for i in range(len(end)):
        if motion[i] == RAPID:
            for axis in range(3):
                one = _block_time(abs(end[i, axis] - start[i, axis]), speed[axis], accel)
                times[i] = max(times[i], one)
    return times


@njit(cache=True)
def _stop_times(
    motion: np.ndarray[tuple[int], np.dtype[np.int8]],
    length: FloatArray,
    speed: FloatArray,
    rapid_s: FloatArray,
    accel: float,
) -> FloatArray:
    times = np.empty(len(length))
    for i in range(len(length)):
        times[i] = rapid_s[i] if motion[i] == RAPID else _block_time(length[i], speed[i], accel)
    return times
