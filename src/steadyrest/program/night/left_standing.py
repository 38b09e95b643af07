"""What stays as it is when the machine stops with nobody there: clamped, wet, hot, pressed, in the cut."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from steadyrest.program.night.stretches import cutting
from steadyrest.program.run import EventKind, Motion, Run
from steadyrest.shop.figure import Reason, because


def left_standing(run: Run, *, lathe: bool) -> tuple[Reason, ...]:
    """What to expect in the morning, wherever it stopped.

    Args:
        run: one execution.
        lathe: held in a chuck; else in a vise or on a table.
    Returns: reasons, those that can hurt or spoil first.
    """
    return tuple(_left(run, lathe=lathe))


def _left(run: Run, *, lathe: bool) -> Iterator[Reason]:
    kinds = {event.kind for event in run.events}
    cuts = cutting(run)
    if not cuts.any():
        return
    yield because("left.chuck") if lathe else because("left.clamped")
    if EventKind.BAR in kinds:
        yield because("left.bar")
    for tool in drills(run):
        yield because("left.in_hole", tool=f"T{tool}")
    if any(event.kind is EventKind.COOLANT and event.value > 0 for event in run.events):
        yield because("left.wet")
    else:
        yield because("left.hot")


def drills(run: Run) -> tuple[int, ...]:
    """Tools that cut straight along their own axis with rapids back: what stops there stands in the hole."""
    moves = run.moves
    if not len(moves):
        return ()
    step = moves.end_mm - moves.start_mm
    along = (np.abs(step[:, 2]) > 0) & (np.abs(step[:, :2]) < 1e-9).all(axis=1)
    drilled = cutting(run) & along & (moves.motion == Motion.LINE) & moves.cycle
    return tuple(int(tool) for tool in np.unique(moves.tool[drilled]))


def stops_at(run: Run, *, switch_on: bool) -> tuple[Reason, ...]:
    """How it stands at each line where the program itself stops.

    Args:
        run: one execution.
        switch_on: the switch for stops that may be passed over.
    Returns: one reason a line, in order.
    """
    found: dict[int, Reason] = {}
    spindle, coolant = 0.0, False
    for event in run.events:
        if event.kind is EventKind.SPINDLE:
            spindle = event.value
        elif event.kind is EventKind.COOLANT:
            coolant = event.value > 0
        elif event.kind is EventKind.STOP and (event.value == 0 or switch_on):
            key = "left.stop_turning" if spindle else "left.stop_still"
            found.setdefault(event.line, because(key, line=str(event.line), coolant="on" if coolant else "off"))
    return tuple(found.values())
