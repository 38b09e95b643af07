"""Where the program cuts into the part itself: the finished part is met as if it were the blank.

Whatever the moves would take from the nominal part is a gouge. Tools are drawn in by what is allowed, so that a cut
along the nominal surface is none.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from steadyrest.program.removal.blank import Blank
from steadyrest.program.removal.meet import meet
from steadyrest.program.removal.setting import Rotary, Setting
from steadyrest.program.removal.tool_shape import Form, ToolShape
from steadyrest.program.run import Moves


@dataclass(frozen=True, slots=True)
class Gouge:
    """A move that cuts below the nominal surface, and how deep at most, along the tool."""

    move: int
    depth_mm: float


def gouges(
    moves: Moves,
    nominal: Blank,
    tools: Mapping[int, ToolShape],
    *,
    allowed_mm: float,
    resolution_mm: float | None = None,
    settings: Mapping[Rotary, Setting] | None = None,
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[float], None] = lambda _: None,
) -> tuple[Gouge, ...]:
    """The moves of a mill that would cut into the finished part, in order.

    Args:
        moves: of the run.
        nominal: the finished part, in work coordinates of the first offset in which a tool feeds.
        tools: shapes by number; tools of unknown size are left out, since nothing true could be said of them.
        allowed_mm: how far below the nominal surface is still right; > 0.
        resolution_mm, settings, stop, progress: as for meet.
    Returns: the gouges, of a mill. Without settings the part is seen from above only: below an overhang all is metal.
    Raises: ValueError: allowed_mm is not above 0, or a resolution that cannot be. InterruptedError: stop said so.
    """
    if not allowed_mm > 0.0:
        raise ValueError(f"gouges: allowed_mm must be above 0; got {allowed_mm!r}")
    known = {number: _drawn_in(tool, allowed_mm) for number, tool in tools.items() if tool.known}
    tool = np.where(np.isin(moves.tool, list(known)), moves.tool, 0)
    up = np.zeros((len(moves), 3))
    for number, shape in known.items():
        up[tool == number, 2] = allowed_mm * math.sqrt(1.0 + shape.slope**2)
    drawn = replace(moves, tool=tool, start_mm=moves.start_mm + up, end_mm=moves.end_mm + up)
    met = meet(
        drawn,
        nominal,
        known,
        machine="mill",
        resolution_mm=resolution_mm,
        settings=settings,
        stop=stop,
        progress=progress,
    )
    return tuple(
        Gouge(int(move), float(met.depth_mm[move]) + allowed_mm) for move in np.flatnonzero(met.engaged & ~moves.skip)
    )


def _drawn_in(tool: ToolShape, by_mm: float) -> ToolShape:
    """A mill's tool smaller by so much on all sides; its tip is raised with the path."""
    radius = max(tool.radius_mm - by_mm, 0.0)
    if tool.form == Form.CONE:
        return replace(tool, radius_mm=radius, flat_mm=min(tool.flat_mm, radius))
    corner = min(max(tool.corner_mm - by_mm, 0.0), radius)
    return replace(tool, radius_mm=radius, corner_mm=corner, flat_mm=radius - corner)
