"""The run met with its stock, its part and what stands beside: from the shop file's words to the stock model's."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from steadyrest.program.findings.chips import chips
from steadyrest.program.findings.collision import collisions
from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.findings.gouge import gouge
from steadyrest.program.findings.stock import stock
from steadyrest.program.night.stretches import part_ends
from steadyrest.program.removal import blank as removal_blank
from steadyrest.program.removal.meet import Met, meet
from steadyrest.program.removal.pulled import meet_each
from steadyrest.program.removal.setting import Rotary, Setting
from steadyrest.program.removal.tool_shape import ToolShape, tool_shape
from steadyrest.program.run import EventKind
from steadyrest.program.turned_work import settings_of
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Material
from steadyrest.shop.leaving import Blank, BoxBlank, LeavingMachine

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class WithStock:
    """What came of it. met: None where nobody said what the blank is.

    findings: in no order. before_leaving: what to do first. doubts: what could not be judged.
    """

    met: Met | None
    findings: tuple[Finding, ...]
    before_leaving: tuple[Reason, ...]
    doubts: tuple[Reason, ...]


def with_stock(
    case: Case, metal: Material | None, part: removal_blank.MeshBlank | None, *, progress: Progress, stop: Stop
) -> WithStock:
    """Meet the run with its blank, with what stands beside it, and with the finished part.

    Args:
        case: what is judged.
        metal: what is cut; None where nobody said.
        part: the finished part in work coordinates; None where nobody gave it.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked now and then.
    Returns: what came of it.
    Raises: InterruptedError: stop said so.
    """
    shapes = shapes_of(case.machine)
    settings = settings_of(case.run.moves, case.machine.rotary) if case.machine.kind == "mill" else None
    met = _met(case, shapes, settings, progress, stop)
    gouged, not_held = gouge(
        case, part, shapes, settings, stop=stop, progress=lambda share: progress("meeting the finished part", share)
    )
    findings = (*collisions(case, shapes, stop), *gouged)
    emptying: tuple[Reason, ...] = ()
    if met is not None:
        full, emptying = chips(case, met, metal)
        findings = (*findings, *stock(case, met, metal), *full)
    return WithStock(met, findings, emptying, (*_turned(case, met, settings), *not_held))


def shapes_of(machine: LeavingMachine) -> dict[int, ToolShape]:
    """The shapes of a machine's tools, by number.

    Args:
        machine: as the shop file has it.
    Returns: for the stock model.
    """
    return {
        tool.number: tool_shape(
            tool.number,
            tool.kind,
            diameter_mm=tool.diameter_mm,
            role=tool.role,
            length_mm=tool.stick_out_mm or tool.length_mm,
            holder_mm=tool.holder_mm,
            edge_mm=tool.edge_mm,
            width_mm=tool.width_mm,
            reach_mm=tool.max_depth_mm,
            point_rad=tool.point_rad,
            teeth=tool.teeth,
            lead_rad=tool.lead_rad,
        )
        for tool in machine.tools
    }


def stock_blank(blank: Blank) -> removal_blank.Blank:
    """The blank as the stock model takes it.

    Args:
        blank: as the shop file has it.
    Returns: the same.
    """
    if isinstance(blank, BoxBlank):
        return removal_blank.BoxBlank(blank.min_mm, blank.max_mm)
    return removal_blank.RoundBlank(blank.diameter_mm, blank.z_mm, blank.inside_mm)


def _met(
    case: Case,
    shapes: Mapping[int, ToolShape],
    settings: Mapping[Rotary, Setting] | None,
    progress: Progress,
    stop: Stop,
) -> Met | None:
    blank = case.said.blank if case.said else None
    moves, kind = case.run.moves, case.machine.kind
    if blank is None or not len(moves):
        return None
    breaks = [event.before for event in case.events(EventKind.HOLD_POINT) if event.value > 0]

    def told(share: float) -> None:
        progress("meeting the stock", share)

    start = stock_blank(blank)
    if settings is not None:
        return meet(moves, start, shapes, machine=kind, breaks=breaks, settings=settings, stop=stop, progress=told)
    ends = part_ends(case.run)
    return meet_each(moves, ends, start, shapes, machine=kind, breaks=breaks, stop=stop, progress=told)


def _turned(case: Case, met: Met | None, settings: Mapping[Rotary, Setting] | None) -> tuple[Reason, ...]:
    """What rotary axes leave unjudged: how long they turn, and what is met where they stand."""
    moves = case.run.moves
    if not len(moves) or not bool((moves.rotary_deg != moves.rotary_deg[0]).any()):
        return ()
    if settings is None or met is None:
        return (because("leave.rotary"),)
    unmet = [int(line) for line, is_unmet in zip(moves.line, met.unmet, strict=True) if is_unmet]
    if not unmet:
        return (because("leave.rotary_met"),)
    return because("leave.rotary_met"), because("leave.rotary_unmet", line=str(unmet[0]), moves=str(len(unmet)))
