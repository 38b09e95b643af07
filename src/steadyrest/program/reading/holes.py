"""Canned cycles on the machine: which holes, at which levels, from a block to rows of the run."""

from __future__ import annotations

import math

from steadyrest.program.reading import modal
from steadyrest.program.reading.control import AXES, PLANE_AXES, Block, Control
from steadyrest.program.reading.cycles import MOST_PECKS, Hole, steps
from steadyrest.program.reading.homes import goal_of
from steadyrest.program.reading.modal import Cycle
from steadyrest.program.reading.path import put
from steadyrest.program.run import EventKind, Motion, Plane

_MOST_REPEATS = 9_999


def cycle_on(control: Control, does: str) -> None:
    """Put a canned cycle in force; the first level and what was given stay from one to the next.

    Args:
        control: the control. does: what its word means.
    """
    state = control.state
    if state.cycle is None:
        across = PLANE_AXES[_drill_plane(control)][2]
        level = state.nose[across] - (state.length_mm if across == 2 else 0.0)
        state.cycle = Cycle(does, level, motion_before=state.motion)
    state.cycle.does = does
    state.motion = modal.CYCLE


def _drill_plane(control: Control) -> Plane:
    return Plane.XY if control.dialect.kind == "lathe" else control.state.plane


def keep(control: Control, block: Block, cycle: Cycle) -> None:
    """Keep what a block says of its cycle, for this hole and the next.

    Args:
        control: the control. block: its words. cycle: the one in force.
    """
    state = control.state
    u, v, across = PLANE_AXES[_drill_plane(control)]
    zero = state.offset()[across]
    near, bottom = control.size(block, "R"), control.size(block, AXES[across])
    if near is not None:
        cycle.near = near if state.absolute else cycle.level - zero + near
    if bottom is not None:
        above = cycle.level - zero if cycle.near is None else cycle.near
        cycle.bottom = bottom if state.absolute else above + bottom
    if "Q" in block.letters:
        cycle.q_mm = abs(control.size(block, "Q") or 0.0)
    if "P" in block.letters and not block.word_that("call", "call with arguments", "return", "dwell"):
        cycle.dwell_s = control.seconds(block, "P")
    if cycle.does == "back bore":
        aside = [control.size(block, "IJK"[axis]) or 0.0 for axis in (u, v)]
        cycle.shift_mm = (aside[0], aside[1])
        back = control.size(block, "IJK"[across])
        if back is not None:
            cycle.back = back if state.absolute else (cycle.bottom or 0.0) + back


def holes(control: Control, block: Block, cycle: Cycle) -> None:
    """Make the block's holes: one, or as many as L or K says, each further by an incremental step.

    Args:
        control: the control. block: its words. cycle: the one in force.
    """
    letter = "K" if "L" not in block.letters and cycle.does != "back bore" else "L"
    times = min(control.whole(block, letter, 1.0), _MOST_REPEATS)
    if cycle.bottom is None or cycle.near is None:
        control.unknown(block.line, "cycle without depth or R")
        return
    near, bottom, back = _levels(control, cycle)
    if "peck" in cycle.does and cycle.q_mm > 0.0 and abs(near - bottom) / cycle.q_mm > MOST_PECKS:
        control.unknown(block.line, f"Q{block.letters.get('Q', 0.0):g}")
        return
    if cycle.does == "peck" and cycle.q_mm <= 0.0:
        control.unknown(block.line, "peck without Q")
    state = control.state
    axes = PLANE_AXES[_drill_plane(control)]
    across = axes[2]
    out = math.copysign(1.0, near - bottom)
    back_to = near if state.to_near or (cycle.level - near) * out < 0.0 else cycle.level
    hole = Hole(
        near, bottom, back_to, cycle.q_mm, dwell=cycle.dwell_s > 0.0, clear_mm=control.dialect.peck_clear_mm,
        break_mm=control.dialect.chip_break_mm, shift_mm=cycle.shift_mm, back=back,
    )  # fmt: skip
    for _ in range(times):
        goal = goal_of(control, block) or list(state.nose)
        goal[across] = state.nose[across]
        _hole(control, block.line, cycle, hole, axes, goal)


def _levels(control: Control, cycle: Cycle) -> tuple[float, float, float]:
    """R, Z and K in machine coordinates."""
    zero = control.state.offset()[PLANE_AXES[_drill_plane(control)][2]]
    near, bottom = cycle.near or 0.0, cycle.bottom or 0.0
    return zero + near, zero + bottom, zero + (bottom if cycle.back is None else cycle.back)


def _hole(control: Control, line: int, cycle: Cycle, hole: Hole, axes: tuple[int, int, int], goal: list[float]) -> None:
    state = control.state
    u, v, across = axes
    high = state.length_mm if across == 2 else 0.0
    near, out = hole.near, math.copysign(1.0, hole.near - hole.bottom)
    if (state.nose[across] - high - near) * out < 0.0:  # never sideways below R
        up = list(state.nose)
        up[across] = near + high
        put(control, line, Motion.RAPID, up, cycle=True)
        goal[across] = near + high
    put(control, line, Motion.RAPID, goal, cycle=True)
    for step in steps(cycle.does, hole):
        if step.kind == "dwell":
            control.said.event(EventKind.DWELL, line, control.rows.count, cycle.dwell_s)
        elif step.kind == "wait":
            control.said.event(EventKind.STOP, line, control.rows.count)
        else:
            to = list(goal)
            to[u] += step.shift_mm[0]
            to[v] += step.shift_mm[1]
            to[across] = step.level + high
            put(control, line, Motion.RAPID if step.kind == "rapid" else Motion.LINE, to, cycle=True)
