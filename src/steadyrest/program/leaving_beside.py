"""What page and paper show beside the answer: the stretches, where it would stand and wait, and checks worth having."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from steadyrest.program.hold_advice import Advised, advised
from steadyrest.program.leave import LeavingAnswer
from steadyrest.program.run import EventKind, FloatArray
from steadyrest.program.stretches import Stretch, clock, stretches
from steadyrest.program.survival import EdgeInRun, cut_by_tool, edges_of
from steadyrest.program.tool_life import EdgeEnd


@dataclass(frozen=True, slots=True)
class Standing:
    """A place where the machine would stand and wait. before: the move it does not make. line: of the file."""

    before: int
    line: int
    at_s: float


@dataclass(frozen=True, slots=True)
class Beside:
    """stretches: of the run. begins_s: (n + 1,) when each move begins. standing: stops, in order, each line once.

    edges: tools whose life is written down, by number. advised: checks that would pay and are not there.
    """

    stretches: tuple[Stretch, ...]
    begins_s: FloatArray
    standing: tuple[Standing, ...]
    edges: tuple[EdgeInRun, ...]
    advised: tuple[Advised, ...]


def beside(
    answer: LeavingAnswer, *, metal_group: int | None = None, ends: Mapping[int, Sequence[EdgeEnd]] | None = None
) -> Beside:
    """What stands beside the answer.

    Args:
        answer: of the leaving check.
        metal_group: VDI 3323 group of what is cut; None where nobody said.
        ends: how edges ended so far, by tool.
    Returns: for page and paper.
    """
    run = answer.run
    cut = stretches(run, answer.move_s, answer.event_s)
    begins_s = clock(run, answer.move_s, answer.event_s)
    edges = edges_of(answer.machine.tools, metal_group=metal_group, ends=ends)
    seen: dict[int, Standing] = {}
    for event in run.events:
        waits = event.kind is EventKind.STOP and (event.value == 0 or answer.machine.optional_stop_switch)
        if waits and event.line not in seen:
            seen[event.line] = Standing(event.before, event.line, float(begins_s[event.before]))
    in_run = tuple(
        EdgeInRun(
            number,
            cut_s,
            max(0.0, edges[number].life_s - edges[number].used_s),
            edges[number].life.survives(edges[number].used_s, cut_s),
        )
        for number, cut_s in sorted(cut_by_tool(cut).items())
        if number in edges and math.isfinite(edges[number].life_s)
    )
    return Beside(cut, begins_s, tuple(seen.values()), in_run, advised(cut, edges, answer.hold_points))
