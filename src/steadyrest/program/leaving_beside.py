"""What page and paper show beside the answer: the stretches, where it would stand and wait, and checks worth having."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.program.checks.hold_advice import Advised, advised
from steadyrest.program.checks.reliance import MetReliance, Reliance, reliances_met
from steadyrest.program.leave import LeavingAnswer
from steadyrest.program.night.stretches import Stretch, clock, stretches
from steadyrest.program.night.survival import EdgeInRun, cut_by_tool
from steadyrest.program.run import EventKind, FloatArray
from steadyrest.program.with_stock import shapes_of, stock_blank
from steadyrest.shop.figure import Reason, because

# A run whose first part is longer is not cut again and again; what relies on what is then not said.
MOST_MOVES = 200_000
CELLS = 2_000_000
WORTH_SAYING = 0.25


@dataclass(frozen=True, slots=True)
class Standing:
    """A place where the machine would stand and wait. before: the move it does not make. line: of the file."""

    before: int
    line: int
    at_s: float


@dataclass(frozen=True, slots=True)
class Beside:
    """stretches: of the run. begins_s: (n + 1,) when each move begins. standing: stops, in order, each line once.

    edges: tools whose life is written down, by number. relies: which tool's work relies on which, the most first.
    advised: checks that would pay and are not there.
    """

    stretches: tuple[Stretch, ...]
    begins_s: FloatArray
    standing: tuple[Standing, ...]
    edges: tuple[EdgeInRun, ...]
    relies: tuple[Reason, ...]
    advised: tuple[Advised, ...]


def beside(answer: LeavingAnswer) -> Beside:
    """What stands beside the answer.

    Args:
        answer: of the leaving check.
    Returns: for page and paper.
    """
    run = answer.run
    cut = stretches(run, answer.move_s, answer.event_s)
    begins_s = clock(run, answer.move_s, answer.event_s)
    edges = answer.edges
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
    met = relying(answer, cut)
    return Beside(
        cut,
        begins_s,
        tuple(seen.values()),
        in_run,
        relies_said(met),
        advised(cut, edges, answer.hold_points, in_order(met, cut)),
    )


def relying(answer: LeavingAnswer, cut: Sequence[Stretch]) -> tuple[MetReliance, ...]:
    """Which stretch of the first part relies on which; nothing where the blank is not known or the run is too long."""
    part = [one for one in cut if one.part == 0]
    if answer.blank is None or len({one.tool for one in part}) < 2 or part[-1].end > MOST_MOVES:
        return ()
    breaks = [event.before for event in answer.run.events if event.kind is EventKind.HOLD_POINT and event.value > 0]
    return reliances_met(
        answer.run.moves,
        stock_blank(answer.blank),
        shapes_of(answer.machine),
        machine=answer.machine.kind,
        breaks=breaks,
        end=part[-1].end,
        resolution_mm=coarse_mm(answer),
    )


def coarse_mm(answer: LeavingAnswer) -> float | None:
    """A cell coarse enough that cutting many times takes no time, and fine enough for volumes of a drill."""
    if answer.met is None:
        return None
    return max(answer.met.resolution_mm, (answer.met.blank_mm3 / CELLS) ** (1 / 3))


def relies_said(met: Sequence[MetReliance]) -> tuple[Reason, ...]:
    """Tools that meet much of what another left, each pair once, the most first."""
    worst: dict[tuple[int, int], MetReliance] = {}
    for one in met:
        pair = (one.later, one.earlier)
        if one.later != one.earlier and (pair not in worst or one.met_mm3 > worst[pair].met_mm3):
            worst[pair] = one
    told = sorted((one for one in worst.values() if one.share >= WORTH_SAYING), key=lambda one: -one.share)
    return tuple(
        because("reliance.relies", later=f"T{one.later}", earlier=f"T{one.earlier}", met_mm3=one.met_mm3)
        for one in told
    )


def in_order(met: Sequence[MetReliance], cut: Sequence[Stretch]) -> tuple[Reliance, ...]:
    """Reliances by place among the first part's stretches."""

    def place(move: int) -> int | None:
        return next((k for k, one in enumerate(cut) if one.first <= move < one.end), None)

    pairs = ((one, place(one.later_first), place(one.earlier_first)) for one in met)
    return tuple(
        Reliance(later, earlier, one.met_mm3, 0.0, one.share)
        for one, later, earlier in pairs
        if later is not None and earlier is not None
    )
