"""A tool that needs coolant, cuts, and never gets it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.run import EventKind
from steadyrest.program.timing.machine_time import cuts
from steadyrest.shop.figure import because


def coolant(case: Case) -> tuple[Finding, ...]:
    """Tools that cut dry throughout though they need coolant, at the line where each first cuts.

    Args:
        case: what is judged.
    Returns: one finding a tool.
    """
    moves = case.run.moves
    on = np.zeros(len(moves), dtype=np.bool_)
    switched = [(event.before, bool(event.value)) for event in case.events(EventKind.COOLANT)]
    for (at, is_on), (until, _) in pairwise((*switched, (len(moves), False))):
        on[at:until] = is_on
    cutting = cuts(moves)
    found: list[Finding] = []
    for tool in case.machine.tools:
        if not tool.needs_coolant:
            continue
        its = np.flatnonzero(cutting & (moves.tool == tool.number))
        if len(its) and not bool(on[its].any()):
            name = f"T{tool.number}"
            found.append(
                Finding(
                    "coolant",
                    int(moves.line[its[0]]),
                    because("coolant.what", tool=name),
                    because("coolant.do", tool=name),
                )
            )
    return tuple(found)
