"""What a leaving check could not judge because nobody said it, or because the program and the records do not fit.

Doubts stand beside the answer and do not decide it: the control may well know what the shop file does not.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator

import numpy as np

from steadyrest.program.findings.finding import Case
from steadyrest.program.removal.met import Met
from steadyrest.program.run import EventKind
from steadyrest.program.timing.machine_time import cuts
from steadyrest.shop.figure import Reason, because

ROLES = ("rough", "finish", "face", "drill", "probe", "part-off")
SAME_LENGTH_MM = 0.5


def unsaid(case: Case, met: Met | None) -> tuple[Reason, ...]:
    """Every doubt about a run, the records first.

    Args:
        case: what is judged.
        met: the run met with its blank; None where nobody said what that is.
    Returns: doubts.
    """
    return (*_of_the_records(case), *_of_the_tools(case), *_of_the_run(case, met))


def _of_the_records(case: Case) -> Iterator[Reason]:
    machine, said = case.machine, case.said
    if said is None:
        yield because("leave.no_program")
    elif said.machine and said.machine != machine.name:
        yield because("leave.other_machine", machine=said.machine)
    if said is None or said.blank is None:
        yield because("leave.no_blank")
    axes = "xz" if machine.kind == "lathe" else "xyz"
    if unknown := [axis.upper() for axis in axes if axis not in machine.travel_mm]:
        yield because("leave.no_travel", axes=", ".join(unknown))
    if not machine.offsets_mm:
        yield because("leave.no_offset")
    limits = (("the top speed", machine.max_rpm), ("the acceleration", machine.accel_mm_s2))
    for what, most in limits:
        if math.isinf(most):
            yield because("leave.no_limit", what=what, machine=machine.name)
    if unknown := [a.upper() for a, v in zip("xyz", machine.rapid_mm_min, strict=True) if math.isinf(v) and a in axes]:
        yield because("leave.no_rapid", axes=", ".join(unknown))
    if math.isinf(machine.bin_litres):
        yield because("leave.no_bin")
    if case.events(EventKind.BAR) and (said is None or said.bar is None):
        yield because("leave.no_bar")
    for name in machine.doubts:
        yield because("leave.strange_key", name=name, machine=machine.name)


def _of_the_tools(case: Case) -> Iterator[Reason]:
    """Tools whose role, call or length the records do not bear out."""
    moves, feeding = case.run.moves, cuts(case.run.moves)
    listed = {tool.number: tool for tool in case.machine.tools}
    for number in np.unique(moves.tool[feeding]).tolist():
        its = np.flatnonzero(feeding & (moves.tool == number))
        line, name = f"{int(moves.line[its[0]])}", f"T{number}"
        if number == 0:
            yield because("leave.no_tool_called", line=line)
            continue
        tool = listed.get(number)
        if tool is None or tool.role == "probe":
            continue
        if tool.role not in ROLES:
            near = difflib.get_close_matches(tool.role.lower(), ROLES, n=1, cutoff=0.5)
            meant = f"; {near[0]} may be meant" if near else ""
            yield because("leave.strange_role", tool=name, role=tool.role or "none", meant=meant)
        off = np.abs(moves.tool_length_mm[its] - tool.length_mm) > SAME_LENGTH_MM
        if case.machine.kind == "mill" and tool.length_mm > 0 and off.any():
            at = int(its[int(np.argmax(off))])
            key = "leave.no_length" if moves.tool_length_mm[at] == 0 else "leave.other_length"
            yield because(key, tool=name, line=f"{int(moves.line[at])}")


def _of_the_run(case: Case, met: Met | None) -> Iterator[Reason]:
    run = case.run
    feeding = cuts(run.moves)
    if not len(run.moves):
        yield because("leave.no_moves")
    if not run.ended:
        yield because("leave.not_ended")
    if feeding.any():
        if not any(event.value for event in case.events(EventKind.SPINDLE)):
            yield because("leave.no_spindle")
        elif case.machine.kind == "mill":
            yield from _standing_after_a_change(case)
        if met is not None and not met.removed_mm3.any():
            yield because("leave.no_meeting")


def _standing_after_a_change(case: Case) -> Iterator[Reason]:
    """Tools that feed after their change with no new spindle start between: on most mills a change stops it."""
    moves, feeding = case.run.moves, cuts(case.run.moves)
    probes = {tool.number for tool in case.machine.tools if tool.role == "probe"}
    changes = [event for event in case.run.events if event.kind == EventKind.TOOL_CHANGE]
    starts = [event.before for event in case.events(EventKind.SPINDLE) if event.value]
    said = set[int]()
    for change, until in zip(changes, [*(c.before for c in changes[1:]), len(moves)], strict=True):
        number = int(change.value)
        its = np.flatnonzero(feeding[change.before : until]) + change.before
        if not len(its) or number in said or number in probes or change.before == 0:
            continue
        if not any(change.before <= start <= its[0] for start in starts):
            said.add(number)
            yield because("leave.spindle_after_change", tool=f"T{number}", line=f"{int(moves.line[its[0]])}")
