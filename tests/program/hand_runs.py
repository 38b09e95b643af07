"""Runs made by hand for tests: a list of steps instead of a program's text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from steadyrest.program.run import Event, EventKind, Motion, Moves, Run


def run_of(steps: Sequence[tuple], *, offset=(0.0, 0.0, 0.0)) -> Run:
    """A run of steps in work coordinates, beginning at the work zero without a tool.

    ("tool", n) changes; ("rapid" | "feed" | "probe", x, y, z) moves; ("speed", rpm); ("rate", mm_min);
    ("coolant" | "stop" | "check" | "bar" | "dwell", value). Each step is a line of its own.
    """
    at, tool, rpm, rate = np.zeros(3), 0, 0.0, 100.0
    rows: list[tuple] = []
    events: list[Event] = []
    for line, (word, *rest) in enumerate(steps, start=1):
        if word in ("rapid", "feed", "probe"):
            goal = np.array(rest, dtype=float)
            motion = Motion.RAPID if word == "rapid" else Motion.LINE
            rows.append((line, motion, at, goal, 0.0 if word == "rapid" else rate, rpm, tool, word == "probe"))
            at = goal
            continue
        (value,) = rest
        if word == "rate":
            rate = float(value)
            continue
        if word == "tool":
            tool = int(value)
        if word == "speed":
            rpm = float(value)
        kind = {
            "tool": EventKind.TOOL_CHANGE, "speed": EventKind.SPINDLE, "coolant": EventKind.COOLANT,
            "stop": EventKind.STOP, "check": EventKind.HOLD_POINT, "bar": EventKind.BAR, "dwell": EventKind.DWELL,
        }[word]  # fmt: skip
        events.append(Event(kind, line, len(rows), float(value)))
    n = len(rows)
    off = np.array(offset, dtype=float)

    def column(k: int, dtype: type = float) -> np.ndarray:
        return np.array([row[k] for row in rows], dtype=dtype)

    start = np.array([row[2] for row in rows], dtype=float).reshape(n, 3) + off
    end = np.array([row[3] for row in rows], dtype=float).reshape(n, 3) + off
    zeros = np.zeros(n)
    moves = Moves(
        line=column(0, np.int64), motion=column(1, np.int8), plane=np.zeros(n, dtype=np.int8), start_mm=start,
        end_mm=end, centre_mm=np.full((n, 3), np.nan), turns=zeros, length_mm=np.linalg.norm(end - start, axis=1),
        feed_mm_min=column(4), feed_per_turn_mm=zeros, rpm=column(5), surface_m_min=zeros, rpm_cap=np.full(n, np.inf),
        tool=column(6, np.int64), tool_length_mm=zeros, offset_mm=np.tile(off, (n, 1)), rotary_deg=np.zeros((n, 3)),
        cycle=np.zeros(n, dtype=bool), exact_stop=np.zeros(n, dtype=bool), skip=column(7, bool),
    )  # fmt: skip
    return Run(moves, tuple(events), (), len(steps), "mm", ended=True)


def times(run: Run) -> np.ndarray:
    """Each move's time at its feed, rapids at 10 m/min, without acceleration."""
    feed = np.where(run.moves.feed_mm_min > 0, run.moves.feed_mm_min, 10_000.0)
    return run.moves.length_mm / feed * 60.0


def turned_parts(count: int, *, check: bool = False, tools: Sequence[int] = (1, 2)) -> Run:
    """A bar job: each part is cut by these tools one after the other, 60 s each, then the bar is pulled."""
    steps: list[tuple] = [("speed", 1000.0), ("coolant", 1.0)]
    for _ in range(count):
        for tool in tools:
            steps += [("tool", tool), ("rapid", 20, 0, 2), ("feed", 20, 0, -98), ("rapid", 60, 0, 50)]
        if check:
            steps += [("check", 1.0)]
        steps += [("bar", 1.0)]
    return run_of(steps)
