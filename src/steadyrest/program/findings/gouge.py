"""Cuts into the finished part, where its shape is known: below a floor, into a wall, at the wrong place.

Threading, tapping, spotting and chamfering tools are left out: parts are commonly drawn without threads and broken
edges, and what these tools take there is meant.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.removal.blank import MeshBlank
from steadyrest.program.removal.gouge import gouges
from steadyrest.program.removal.setting import Rotary, Setting
from steadyrest.program.removal.tool_shape import ToolShape
from steadyrest.shop.figure import Reason, because
from steadyrest.tables.practice import rule

NOT_DRAWN = ("tap", "thread", "spot", "centre", "center", "chamfer", "countersink", "deburr")


def gouge(
    case: Case,
    part: MeshBlank | None,
    tools: Mapping[int, ToolShape],
    settings: Mapping[Rotary, Setting] | None,
    *,
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[float], None] = lambda _: None,
) -> tuple[tuple[Finding, ...], tuple[Reason, ...]]:
    """Where a mill cuts into the finished part.

    Args:
        case: what is judged.
        part: the finished part in the program's work coordinates; None where nobody gave it.
        tools: shapes by number.
        settings: how the work lies at each position of the rotary axes; None: as in the first cut only.
        stop, progress: as for the stock.
    Returns: one finding a tool, at the line that cuts in first; and what could not be judged.
    Raises: InterruptedError: stop said so.
    """
    if part is None:
        return (), ()
    if case.machine.kind == "lathe":
        return (), (because("gouge.lathe"),)
    moves = case.run.moves
    kinds = {tool.number: tool.kind.lower() for tool in case.machine.tools}
    left_out = {number for number, kind in kinds.items() if any(word in kind for word in NOT_DRAWN)}
    aside = _aside(case) - left_out
    asked = {number: shape for number, shape in tools.items() if number not in left_out | aside}
    found = gouges(
        moves, part, asked, allowed_mm=rule("gouge_allowed_mm"), settings=settings, stop=stop, progress=progress
    )
    by_tool: dict[int, list[tuple[int, float]]] = {}
    for one in found:
        by_tool.setdefault(int(moves.tool[one.move]), []).append((int(moves.line[one.move]), one.depth_mm))
    findings: list[Finding] = []
    for number, cuts in by_tool.items():
        name, depth_mm, lines = f"T{number}", max(depth for _, depth in cuts), {line for line, _ in cuts}
        often = because("gouge.often", tool=name, depth_mm=depth_mm, lines=str(len(lines)))
        what = because("gouge.what", tool=name, depth_mm=depth_mm) if len(lines) == 1 else often
        findings.append(Finding("gouge", cuts[0][0], what, because("gouge.do", tool=name)))
    called = {int(number) for number in set(moves.tool.tolist())} & left_out
    doubts = (because("gouge.left_out", tools=", ".join(f"T{n}" for n in sorted(called))),) if called else ()
    if aside:
        doubts = (*doubts, because("gouge.aside", tools=", ".join(f"T{n}" for n in sorted(aside))))
    return tuple(findings), doubts


def _aside(case: Case) -> set[int]:
    """Tools that follow their path under a radius that nobody gave: where they really cut is not known."""
    moves = case.run.moves
    found: set[int] = set()
    for odd in case.run.odds:
        if odd.kind == "compensation" and odd.line is not None:
            found |= {int(tool) for tool in moves.tool[moves.line >= odd.line][:1]}
    return found
