"""A run cut into stretches: what one tool does between two changes, in one part.

A *stretch* is everything between two tool changes, bar pulls or hold points in which something is cut. A *part* ends
where the bar is pulled on; a run without bar pulls is one part.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.program.run import EventKind, Motion, Run

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stretch:
    """One tool's work between two boundaries.

    tool: its number. part: which part it belongs to, from 0. first, end: its moves, first and one past the last.
    line: of the file, where it begins to cut. cut_s: time in the cut. begins_s, ends_s: of its first and last
    cut, on the run's clock.
    """

    tool: int
    part: int
    first: int
    end: int
    line: int
    cut_s: float
    begins_s: float
    ends_s: float


def cutting(run: Run) -> npt.NDArray[np.bool_]:
    """Which moves count as cutting: feed moves, probing left out."""
    return (run.moves.motion != Motion.RAPID) & ~run.moves.skip


def clock(run: Run, move_s: FloatArray, event_s: FloatArray | None = None) -> FloatArray:
    """When each move begins.

    Args:
        run: one execution.
        move_s: (n,) each move's time.
        event_s: (m,) each event's time; None where they take none.
    Returns: (n + 1,) s from the run's beginning; the last is its end.
    """
    n = len(run.moves)
    waits = np.zeros(n + 1)
    if event_s is not None and len(event_s):
        np.add.at(waits, [event.before for event in run.events], event_s)
    return np.concatenate([[0.0], np.cumsum(move_s)]) + np.cumsum(waits)


def stretches(run: Run, move_s: FloatArray, event_s: FloatArray | None = None) -> tuple[Stretch, ...]:
    """The stretches of a run, in order; those that cut nothing are left out.

    Args:
        run: one execution.
        move_s: (n,) each move's time.
        event_s: (m,) each event's time; None where they take none.
    Returns: the stretches.
    Raises: ValueError: move_s has not one time a move.
    """
    moves = run.moves
    if len(move_s) != len(moves):
        raise ValueError(f"stretches: {len(move_s)} times for {len(moves)} moves")
    cuts = cutting(run)
    begins_s = clock(run, move_s, event_s)
    in_cut = np.concatenate([[0.0], np.cumsum(np.where(cuts, move_s, 0.0))])
    changes = np.flatnonzero(np.diff(moves.tool)) + 1 if len(moves) else np.zeros(0, dtype=np.int64)
    breaks = [e.before for e in run.events if e.kind in (EventKind.BAR, EventKind.HOLD_POINT, EventKind.TOOL_CHANGE)]
    edges = sorted({0, len(moves), *changes.tolist(), *breaks})
    ends = part_ends(run)
    found: list[Stretch] = []
    for first, end in pairwise(edges):
        cut_s = float(in_cut[end] - in_cut[first])
        if cut_s <= 0:
            continue
        where = np.flatnonzero(cuts[first:end])
        begins, last = first + int(where[0]), first + int(where[-1])
        found.append(
            Stretch(
                tool=int(moves.tool[begins]),
                part=bisect_right(ends, first),
                first=first,
                end=end,
                line=int(moves.line[begins]),
                cut_s=cut_s,
                begins_s=float(begins_s[begins]),
                ends_s=float(begins_s[last] + move_s[last]),
            )
        )
    return tuple(found)


def part_ends(run: Run) -> list[int]:
    """Where parts end: the moves before which the bar is pulled on after something was cut."""
    cuts = np.concatenate([[0], np.cumsum(cutting(run))])
    ends: list[int] = []
    since = 0
    for event in run.events:
        if event.kind is EventKind.BAR and cuts[event.before] > since:
            ends.append(event.before)
            since = int(cuts[event.before])
    return ends


def first_stop_s(run: Run, begins_s: FloatArray, *, switch_on: bool) -> float:
    """When the program first stops till somebody comes.

    Args:
        run: one execution.
        begins_s: (n + 1,) when each move begins.
        switch_on: the switch for stops that may be passed over.
    Returns: s from the run's beginning; inf if it never does.
    """
    return next(
        (
            float(begins_s[event.before])
            for event in run.events
            if event.kind is EventKind.STOP and (event.value == 0 or switch_on)
        ),
        float("inf"),
    )
