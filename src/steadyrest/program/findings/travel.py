"""Paths that leave the machine's travel: the nose, offset + program (+ tool length under G43), rapid and feed."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.timing.extents import reached_mm
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.leaving import AXES

SLACK_MM = 1e-5
# More ways out than this on one side of one axis have one cause: the work zero, or the program's size.
MANY = 3


def travel(case: Case) -> tuple[Finding, ...]:
    """Every way out of the travel, at the block that leaves it.

    Staying outside is the same finding; coming back and leaving again is another one, until there are so many that the
    work zero is at fault rather than the blocks.

    Args:
        case: what is judged.
    Returns: findings in order of axis and line; none for an axis whose travel nobody gave, and none where the work
        zero in force has no machine position.
    """
    moves = case.run.moves
    if not len(moves):
        return ()
    low, high = reached_mm(moves)
    placed = _placed(case)
    length = moves.tool_length_mm
    found: list[Finding] = []
    for axis, letter in enumerate(AXES):
        if letter not in case.machine.travel_mm:
            continue
        least, most = case.machine.travel_mm[letter]
        up = length if letter == "z" else 0.0
        for limit, over in ((least, least - (low[:, axis] + up)), (most, (high[:, axis] + up) - most)):
            found += _ways_out(moves.line, np.where(placed, over, 0.0), letter.upper(), limit)
    return tuple(sorted(found, key=lambda one: one.line or 0))


def _placed(case: Case) -> npt.NDArray[np.bool_]:
    """(n,) which moves stand under a work zero whose machine position is known. An unknown one was taken as nothing."""
    moves = case.run.moves
    unknown = not case.machine.offsets_mm or any(
        odd.kind == "offset" and str(dict(odd.given).get("word", "")).startswith("G5") for odd in case.run.odds
    )
    everywhere = np.ones(len(moves), dtype=np.bool_)
    return everywhere & np.any(moves.offset_mm != 0.0, axis=1) if unknown else everywhere


def _ways_out(
    line: npt.NDArray[np.int64], over_mm: npt.NDArray[np.float64], axis: str, limit_mm: float
) -> list[Finding]:
    out = over_mm > SLACK_MM
    leaving = np.flatnonzero(out & ~np.concatenate(([False], out[:-1])))
    by_line: dict[int, float] = {}
    for at in leaving:
        inside = np.flatnonzero(~out[at:])
        until = at + int(inside[0]) if len(inside) else len(out)
        worst = float(over_mm[at:until].max())
        by_line[int(line[at])] = max(by_line.get(int(line[at]), 0.0), worst)
    if not by_line:
        return []
    if len(by_line) > MANY:
        first, worst = min(by_line), max(by_line.values())
        what = because("travel.often", axis=axis, over_mm=worst, limit_mm=limit_mm, times=str(len(by_line)))
        return [Finding("travel", first, what, because("travel.shift", axis=axis))]
    return [
        Finding("travel", where, because("travel.what", axis=axis, over_mm=worst, limit_mm=limit_mm), _do(axis))
        for where, worst in by_line.items()
    ]


def _do(axis: str) -> Reason:
    return because("travel.do", axis=axis)
