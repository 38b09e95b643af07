"""A finishing tool cuts where a smaller roughing tool cut before, and nothing was measured between.

The small one breaks unseen, leaves its corner standing, and the large one runs into it. *Where* is judged by what the
tools sweep, on a grid seen along the spindle (a lathe: beside it); what passes above the blank does not cut.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop, put
from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.reading.arcs import swept
from steadyrest.program.run import EventKind, FloatArray, IntArray, Motion, Plane
from steadyrest.program.timing.extents import reached_mm
from steadyrest.program.timing.machine_time import cuts
from steadyrest.shop.figure import because
from steadyrest.shop.leaving import BoxBlank, LeavingTool

LINE, CW = int(Motion.LINE), int(Motion.ARC_CW)
XY, ZX = int(Plane.XY), int(Plane.ZX)
CELLS = 512  # along the longer side at most
CELLS_OF_TOOL = 12  # across the smallest tool
EDGE_MM = 2.0  # how wide a turning tool's cut counts beside its path


def hold_points(case: Case) -> tuple[Finding, ...]:
    """Every gap in which a hold point with both limits is missing, at the block where the finishing tool meets it.

    Args:
        case: what is judged.
    Returns: one finding for each finishing tool and each stretch without a hold point.
    """
    moves = case.run.moves
    called = {int(number) for number in np.unique(moves.tool)}
    listed = {tool.number: tool for tool in case.machine.tools if tool.number in called}
    rough = [tool for tool in listed.values() if tool.role == "rough"]
    finish = [
        tool
        for tool in listed.values()
        if tool.role == "finish" and any(other.diameter_mm < tool.diameter_mm for other in rough)
    ]
    if not finish:
        return ()
    its = {tool.number for tool in (*rough, *finish)}
    which = np.flatnonzero(cuts(moves) & np.isin(moves.tool, list(its)) & ~_above_blank(case))
    if not len(which):
        return ()
    epoch = np.zeros(len(moves), dtype=np.int64)
    for event in case.events(EventKind.HOLD_POINT):
        if event.value > 0:
            epoch[event.before :] += 1
    return _findings(case, which, epoch, rough, finish)


def _findings(
    case: Case, which: IntArray, epoch: IntArray, rough: list[LeavingTool], finish: list[LeavingTool]
) -> tuple[Finding, ...]:
    moves = case.run.moves
    lathe = case.machine.kind == "lathe"
    row = {tool.number: at for at, tool in enumerate(rough)}
    rough_row = np.array([row.get(int(t), -1) for t in moves.tool[which]], dtype=np.int64)
    radius = {
        tool.number: EDGE_MM if lathe else 0.5 * tool.diameter_mm for tool in (*rough, *finish) if tool.diameter_mm
    }
    radii = np.array([radius.get(int(t), 0.0) for t in moves.tool[which]])
    diameters = np.array([tool.diameter_mm for tool in rough])
    of_move = {tool.number: tool.diameter_mm for tool in finish}
    finish_mm = np.array([of_move.get(int(t), 0.0) for t in moves.tool[which]])
    u, v = (2, 0) if lathe else (0, 1)
    low, high = reached_mm(moves)
    low = np.minimum(low[which], moves.start_mm[which]) - radii[:, None]
    high = np.maximum(high[which], moves.start_mm[which]) + radii[:, None]
    origin = np.array([low[:, u].min(), low[:, v].min()])
    size = np.array([high[:, u].max(), high[:, v].max()]) - origin
    positive = radii[radii > 0]
    cell = max(float(size.max()) / CELLS, 2.0 * float(positive.min()) / CELLS_OF_TOOL if len(positive) else 0.1, 1e-3)
    cells = np.ceil(size / cell).astype(np.int64) + 1
    hits = np.full(len(which), -1, np.int64)
    seen = np.full((len(diameters), cells[0], cells[1]), -1, np.int32)
    _meetings(
        which, moves.motion, moves.plane, moves.start_mm, moves.end_mm, moves.centre_mm, moves.turns,
        epoch, moves.tool, rough_row, radii, diameters, finish_mm, origin, cell, cells, u, v,
        seen, hits, np.zeros(3), np.zeros(3),
    )  # fmt: skip
    found: dict[tuple[int, int], Finding] = {}
    for at, hit in zip(which, hits, strict=True):
        key = (int(moves.tool[at]), int(epoch[at]))
        if hit < 0 or key in found:
            continue
        finisher, rougher = f"T{key[0]}", f"T{rough[int(hit)].number}"
        found[key] = Finding(
            "hold point",
            int(moves.line[at]),
            because("hold_point.what", finish=finisher, rough=rougher),
            because("hold_point.do", finish=finisher, rough=rougher),
        )
    return tuple(found.values())


def _above_blank(case: Case) -> npt.NDArray[np.bool_]:
    """(n,) which moves pass above the blank, or outside a bar; none where nobody said what the blank is."""
    moves = case.run.moves
    blank = case.said.blank if case.said else None
    if blank is None:
        return np.zeros(len(moves), dtype=np.bool_)
    start, end = moves.start_mm - moves.offset_mm, moves.end_mm - moves.offset_mm
    if case.machine.kind == "lathe" and not isinstance(blank, BoxBlank):
        least = np.minimum(np.abs(start[:, 0]), np.abs(end[:, 0]))
        return least >= 0.5 * blank.diameter_mm - 1e-9
    top = blank.max_mm[2] if isinstance(blank, BoxBlank) else blank.z_mm[1]
    return np.minimum(start[:, 2], end[:, 2]) >= top - 1e-9


@loop()
def _meetings(
    which: IntArray,
    motion: npt.NDArray[np.int8],
    plane: npt.NDArray[np.int8],
    start: FloatArray,
    end: FloatArray,
    centre: FloatArray,
    turns: FloatArray,
    epoch: IntArray,
    tool: IntArray,
    rough_row: IntArray,
    radii: FloatArray,
    diameters: FloatArray,
    finish_mm: FloatArray,
    origin: FloatArray,
    cell: float,
    cells: IntArray,
    u: int,
    v: int,
    seen: npt.NDArray[np.int32],
    hits: IntArray,
    place: FloatArray,
    ahead: FloatArray,
) -> None:
    """For each cutting move the roughing tool that it `hits` without a hold point since; -1 for none.

    Once told, a finishing tool is not asked again until the next hold point.
    """
    told_tool, told_epoch = -1, -1
    for k in range(len(which)):
        i = which[k]
        if rough_row[k] < 0 and tool[i] == told_tool and epoch[i] == told_epoch:
            continue
        pieces = 1
        turn = 0.0
        arc = motion[i] > LINE
        a, b = (0, 1) if plane[i] == XY else ((2, 0) if plane[i] == ZX else (1, 2))
        angle, radius = 0.0, 0.0
        if arc:
            clockwise = motion[i] == CW
            turn = swept(start[i, a], start[i, b], end[i, a], end[i, b], centre[i, a], centre[i, b], clockwise)
            turn = (turn + 2.0 * math.pi * turns[i]) * (-1.0 if clockwise else 1.0)
            angle = math.atan2(start[i, b] - centre[i, b], start[i, a] - centre[i, a])
            radius = math.sqrt((start[i, a] - centre[i, a]) ** 2 + (start[i, b] - centre[i, b]) ** 2)
            flat = math.sqrt(min(0.5, 2.0 * 0.25 * cell / max(radius, 0.25 * cell)))
            pieces = max(math.ceil(abs(turn) / (2.0 * flat)), 1)
        put(place, start[i])
        for piece in range(pieces):
            share = (piece + 1) / pieces
            for axis in range(3):
                ahead[axis] = start[i, axis] + (end[i, axis] - start[i, axis]) * share
            if arc and piece < pieces - 1:
                ahead[a] = centre[i, a] + radius * math.cos(angle + turn * share)
                ahead[b] = centre[i, b] + radius * math.sin(angle + turn * share)
            x0, y0, x1, y1 = place[u] - origin[0], place[v] - origin[1], ahead[u] - origin[0], ahead[v] - origin[1]
            put(place, ahead)
            r = radii[k]
            dx, dy = x1 - x0, y1 - y0
            long2 = dx * dx + dy * dy
            for p in range(max(int((min(x0, x1) - r) / cell), 0), min(int((max(x0, x1) + r) / cell) + 1, cells[0])):
                for q in range(max(int((min(y0, y1) - r) / cell), 0), min(int((max(y0, y1) + r) / cell) + 1, cells[1])):
                    x, y = (p + 0.5) * cell - x0, (q + 0.5) * cell - y0
                    t = min(max((x * dx + y * dy) / long2, 0.0), 1.0) if long2 > 0.0 else 0.0
                    if (x - t * dx) ** 2 + (y - t * dy) ** 2 > r * r:
                        continue
                    if rough_row[k] >= 0:
                        seen[rough_row[k], p, q] = epoch[i]
                    elif hits[k] < 0:
                        for row in range(len(diameters)):
                            if diameters[row] < finish_mm[k] and seen[row, p, q] == epoch[i]:
                                hits[k] = row
                                told_tool, told_epoch = tool[i], epoch[i]
                                break
