"""Spindle speeds above what machine, chuck or holder may turn.

Under constant surface speed it is the speed really reached that counts: the cap, or what the smallest radius asks for.
A rapid counts at its end, a feed move all along: it may cross the axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.run import EventKind, Motion
from steadyrest.program.timing.turning_time import least_radii_mm
from steadyrest.shop.figure import because

SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class _Cap:
    """The lowest limit that applies with a tool, and what sets it."""

    rpm: float
    by: str


def speed(case: Case) -> tuple[Finding, ...]:
    """Every line that asks for too fast a spindle, or reaches it under constant surface speed.

    Args:
        case: what is judged.
    Returns: one finding a line.
    """
    found: dict[int, Finding] = {}
    told: set[tuple[int, float]] = set()  # (tool, speed) that a finding has named
    moves = case.run.moves
    tool = 0
    for event in case.run.events:
        if event.kind == EventKind.TOOL_CHANGE:
            tool = int(event.value)
        elif event.kind == EventKind.SPINDLE and event.value:
            steady = event.before >= len(moves) or not moves.surface_m_min[event.before]
            if steady and _judge(found, case, event.line, tool, abs(event.value)):
                told.add((tool, abs(event.value)))
    _steady_moves(found, told, case)
    for line, finding in _surface_moves(case).items():
        found.setdefault(line, finding)
    return tuple(found[line] for line in sorted(found))


def _cap(case: Case, number: int) -> _Cap:
    tool = case.machine.tool(number)
    caps = [_Cap(case.machine.max_rpm, "machine"), _Cap(case.machine.chuck_max_rpm, "chuck")]
    if tool is not None:
        caps.append(_Cap(tool.holder_max_rpm, f"holder of T{number}"))
    return min(caps, key=lambda cap: cap.rpm)


def _judge(found: dict[int, Finding], case: Case, line: int, tool: int, rpm: float) -> bool:
    cap = _cap(case, tool)
    if rpm <= cap.rpm * (1 + SLACK):
        return False
    if line not in found:
        asked = "more than any spindle turns" if math.isinf(rpm) else f"{rpm:.0f} rpm"
        what = because("speed.what", asked=asked, by=cap.by, limit_rpm=cap.rpm)
        found[line] = Finding("speed", line, what, because("speed.do", limit_rpm=cap.rpm))
    return True


def _steady_moves(found: dict[int, Finding], told: set[tuple[int, float]], case: Case) -> None:
    """A speed left from before, with a tool that stands it worse: found where that tool first feeds."""
    moves = case.run.moves
    feeds = np.flatnonzero((moves.motion != Motion.RAPID) & (moves.rpm > 0) & (moves.surface_m_min == 0))
    if not len(feeds):
        return
    pairs = np.stack((moves.tool[feeds].astype(np.float64), moves.rpm[feeds]), axis=1)
    _, first = np.unique(pairs, axis=0, return_index=True)
    for at in np.sort(feeds[first]):
        pair = (int(moves.tool[at]), float(moves.rpm[at]))
        if pair not in told:
            _judge(found, case, int(moves.line[at]), *pair)


def _surface_moves(case: Case) -> dict[int, Finding]:
    """Once for each cap in force and limit that it misses: the cause is the cap, or that there is none."""
    moves = case.run.moves
    found: dict[int, Finding] = {}
    told: set[tuple[float, _Cap]] = set()
    held = np.flatnonzero((moves.surface_m_min > 0) & (moves.rpm > 0))
    surface, least = moves.surface_m_min[held], least_radii_mm(moves, held)
    with np.errstate(divide="ignore"):
        reached = np.minimum(1000.0 * surface / (math.tau * least), moves.rpm_cap[held])
    limits = {int(number): _cap(case, int(number)) for number in np.unique(moves.tool[held])}
    most = np.array([limits[int(number)].rpm for number in moves.tool[held]])
    for k in np.flatnonzero(reached > most * (1 + SLACK)):
        at = int(held[k])
        number, capped = int(moves.tool[at]), float(moves.rpm_cap[at])
        if (capped, limits[number]) not in told:
            told.add((capped, limits[number]))
            _judge(found, case, int(moves.line[at]), number, float(reached[k]))
    return found
