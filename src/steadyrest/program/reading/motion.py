"""Motion, carefully: a block's lines, arcs, threads and skip moves become rows of the run."""

from __future__ import annotations

import math

from steadyrest.program.reading import modal
from steadyrest.program.reading.arcs import SAME_MM, centre_of, swept
from steadyrest.program.reading.control import PLANE_AXES, Block, Control
from steadyrest.program.reading.holes import cycle_on, holes, keep
from steadyrest.program.reading.homes import goal_of, take, turn
from steadyrest.program.reading.path import put
from steadyrest.program.run import Motion

_MOTIONS = {
    "rapid": Motion.RAPID, "line": Motion.LINE, "arc clockwise": Motion.ARC_CW, "arc counter-clockwise": Motion.ARC_CCW,
    "thread": modal.THREAD, "skip move": modal.SKIP,
}  # fmt: skip
_CYCLES = frozenset((
    "drill", "drill and dwell", "peck", "tap", "bore, feed out", "bore, stop, rapid out", "bore, stop, by hand out",
    "bore, dwell, feed out", "back bore", "peck, break chips", "tap, left hand", "bore, shift, rapid out",
))  # fmt: skip
# Words that take the block's axis words for themselves: no motion by them then.
_TAKES_AXES = frozenset((
    "set data", "home", "second home", "local zero", "preset position", "preset off", "preset back",
    "call with arguments", "dwell", "speed clamp",
))  # fmt: skip
# By how much a chord may exceed two radii through rounding of the last digit written.
LAST_DIGIT_MM, LAST_DIGIT_IN = 0.001, 0.00254


def run(control: Control, block: Block) -> None:
    """Do what a block says, jumps and calls aside: first what holds for its motion, the motion, then what follows.

    Args:
        control: the control. block: its words, sorted.
    Raises: TooMuchError: more moves than the limits allow.
    """
    if not block.does and not block.letters:
        return
    control.before_motion(block)
    state = control.state
    way = block.word_that(*_MOTIONS)
    cycle = next((does for does in reversed(block.does.values()) if does in _CYCLES), None)
    if block.word_that("cycle off") and state.cycle is not None:
        # What moved before the cycle moves again.
        state.motion, state.cycle = state.cycle.motion_before, None
    if cycle is not None:
        cycle_on(control, cycle)
    elif way is not None:
        state.cycle = None
        state.motion = _MOTIONS[block.does[way]]
    if taker := block.word_that(*_TAKES_AXES):
        take(control, block, taker)
    elif not block.unknown_way or way is not None or cycle is not None:
        _move(control, block)
    control.after_motion(block)


def _move(control: Control, block: Block) -> None:
    """The block's motion by the mode in force, where it has axis words."""
    state = control.state
    machine = block.word_that("machine coordinates in this block") is not None
    goal = goal_of(control, block, machine=machine)
    turned = turn(control, block)
    if state.motion == modal.CYCLE and state.cycle is not None:
        keep(control, block, state.cycle)
        if goal is not None:
            holes(control, block, state.cycle)
        return
    arc = state.motion in (Motion.ARC_CW, Motion.ARC_CCW)
    centred = arc and bool(block.letters.keys() & set("IJKR"))
    if goal is None and not turned and not centred:
        return
    if state.motion == modal.NO_MOTION:
        control.said.odd("motion", block.line)
        state.motion = Motion.RAPID
    stop = block.word_that("exact stop in this block") is not None
    goal = goal or list(state.nose)
    if turned and goal == state.nose and not centred:
        way = Motion.RAPID if state.motion == Motion.RAPID else Motion.LINE
        put(control, block.line, way, goal, turned=True, stop=stop, follows=True)
    elif arc and not machine:
        _arc(control, block, goal, stop=stop)
    elif state.motion == modal.THREAD:
        lead = control.size(block, "K") or (block.letters.get("F", 0.0) * state.scale)
        put(control, block.line, Motion.LINE, goal, stop=stop, follows=True, lead_mm=lead)
    elif state.motion == modal.SKIP:
        put(control, block.line, Motion.LINE, goal, stop=stop, follows=True, skip=True)
        control.store.skipped_mm = (goal[0], goal[1], goal[2] - state.length_mm)
    else:
        way = Motion.RAPID if state.motion == Motion.RAPID else Motion.LINE
        put(control, block.line, way, goal, stop=stop, follows=True)


def _arc(control: Control, block: Block, goal: list[float], *, stop: bool) -> None:
    """An arc in the plane in force, by its centre or its radius; a helix where the third axis moves too."""
    state = control.state
    u, v, w = PLANE_AXES[state.plane]
    clockwise = state.motion == Motion.ARC_CW
    nose, line = state.nose, block.line
    high = (0.0, 0.0, state.length_mm)
    radius = control.size(block, "R")
    sizes = [control.size(block, "IJK"[axis]) for axis in (u, v)]
    if radius is not None:
        cu, cv = centre_of(nose[u], nose[v], goal[u], goal[v], radius, clockwise)
        chord = math.hypot(goal[u] - nose[u], goal[v] - nose[v])
        slack = LAST_DIGIT_IN if state.scale != 1.0 else LAST_DIGIT_MM
        if chord > 2.0 * abs(radius) + slack or chord < SAME_MM:
            control.said.odd("arc", line, why="chord", chord_mm=chord, radius_mm=abs(radius))
            if chord < SAME_MM:
                put(control, line, Motion.LINE, goal, stop=stop, follows=True)
                return
    elif sizes == [None, None]:
        control.said.odd("arc", line, why="no centre")
        put(control, line, Motion.LINE, goal, stop=stop, follows=True)
        return
    else:
        centre = []
        for axis, size in zip((u, v), sizes, strict=True):
            base = state.offset()[axis] + high[axis] if state.arc_absolute else nose[axis]
            centre.append(base + (size or 0.0))
        cu, cv = centre
        first = math.hypot(nose[u] - cu, nose[v] - cv)
        last = math.hypot(goal[u] - cu, goal[v] - cv)
        if abs(first - last) > control.dialect.arc_tolerance_mm + 1e-9 or first < SAME_MM:
            control.said.odd("arc", line, why="radii", start_mm=first, end_mm=last)
    turns = max(0.0, block.letters.get(control.dialect.turns_word, 1.0) - 1.0) if control.dialect.turns_word else 0.0
    around = swept(nose[u], nose[v], goal[u], goal[v], cu, cv, clockwise) + 2.0 * math.pi * turns
    reach = 0.5 * (math.hypot(nose[u] - cu, nose[v] - cv) + math.hypot(goal[u] - cu, goal[v] - cv))
    at = [0.0, 0.0, 0.0]
    at[u], at[v], at[w] = cu, cv, nose[w]
    put(
        control, line, state.motion, goal, centre=(at[0], at[1], at[2] - state.length_mm), turns=turns,
        length_mm=math.hypot(reach * around, goal[w] - nose[w]), stop=stop, follows=True,
    )  # fmt: skip
