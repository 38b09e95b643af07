"""What the program meets: a rapid through stock, a dead spindle, a holder in the metal, more power than there is."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.removal.meet import Met
from steadyrest.program.run import FloatArray, IntArray, Motion
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Material

# Engagements narrower than this share of a cell cannot be told; power from them is noise.
LEAST_RATE_MM3_MIN = 100.0
SAME_MM = 1e-6
# More lines than this in which one tool hurries through stock have one cause.
MANY = 5


def stock(case: Case, met: Met, metal: Material | None) -> tuple[Finding, ...]:
    """Every line that meets the stock as it must not, and every tool that asks for too much.

    Args:
        case: what is judged.
        met: the run against its blank.
        metal: what is cut; None where nobody said, and then neither force nor power is judged.
    Returns: findings; a rapid once a line, the others once a tool.
    """
    return (*_rapids(case, met), *_dead(case, met), *_holders(case, met), *_overload(case, met, metal))


def _name(case: Case, at: int) -> str:
    return f"T{int(case.run.moves.tool[at])}"


def _rapids(case: Case, met: Met) -> Iterator[Finding]:
    """Once a line, and once a plunge: the rapids that follow it at its depth tell nothing new.

    A tool that does it in many lines has one cause for all of them: its height, its length, or the blank.
    """
    moves = case.run.moves
    by_tool: dict[int, dict[int, float]] = {}
    before, line = -2, 0
    out = 0 if case.machine.kind == "lathe" else 2
    for at in met.rapids_into_stock:
        # The rapid straight behind one that struck, and no farther out, comes of the same plunge.
        if at != before + 1 or moves.end_mm[at, out] > moves.start_mm[at, out] + SAME_MM:
            line = int(moves.line[at])
        before = int(at)
        lines = by_tool.setdefault(int(moves.tool[at]), {})
        lines[line] = max(lines.get(line, 0.0), float(met.rapid_mm[at]))
    for number, lines in by_tool.items():
        if len(lines) > MANY:
            deepest = max(lines.values())
            what = because("rapid.often", tool=f"T{number}", depth_mm=deepest, lines=str(len(lines)))
            yield Finding("rapid", min(lines), what, because("rapid.do_often", tool=f"T{number}"))
            continue
        for line, deep in lines.items():
            yield Finding("rapid", line, because("rapid.what", tool=f"T{number}", depth_mm=deep), because("rapid.do"))


def _once_a_tool(case: Case, moves_at: IntArray) -> Iterator[int]:
    told: set[int] = set()
    for at in moves_at:
        tool = int(case.run.moves.tool[at])
        if tool not in told:
            told.add(tool)
            yield int(at)


def _dead(case: Case, met: Met) -> Iterator[Finding]:
    for at in _once_a_tool(case, np.flatnonzero(met.dead & ~case.run.moves.skip)):
        what = because("dead_spindle.what", tool=_name(case, at))
        yield Finding("dead spindle", int(case.run.moves.line[at]), what, because("dead_spindle.do"))


def _holders(case: Case, met: Met) -> Iterator[Finding]:
    for at in _once_a_tool(case, np.flatnonzero(met.holder_mm > 0)):
        what = because("holder.what", tool=_name(case, at), depth_mm=float(met.holder_mm[at]))
        yield Finding("holder", int(case.run.moves.line[at]), what, because("holder.do", tool=_name(case, at)))


def _overload(case: Case, met: Met, metal: Material | None) -> Iterator[Finding]:
    """Power at the spindle against its curve, where metal, teeth and curve are known.

    Kienzle with the mean chip of each move: P = Q kc11 h^-mc, h = feed a tooth x sqrt(width / diameter) on a mill, the
    feed a turn on a lathe. Source: kienzle-1952.
    """
    curve = case.machine.power
    if metal is None or curve is None:
        return
    moves = case.run.moves
    cut = (met.rate_mm3_min > LEAST_RATE_MM3_MIN) & (moves.motion != Motion.RAPID) & (moves.rpm > 0)
    for number in sorted({int(tool) for tool in moves.tool[cut]}):
        tool = case.machine.tool(number)
        if tool is None:
            continue
        its = np.flatnonzero(cut & (moves.tool == number))
        per_turn = moves.feed_mm_min[its] / moves.rpm[its]
        milled = case.machine.kind == "mill"
        chip = _milled_chip(per_turn, met, its, tool.teeth, tool.diameter_mm) if milled else per_turn
        with np.errstate(divide="ignore", invalid="ignore"):
            needed_w: FloatArray = met.rate_mm3_min[its] * metal.kc11_mpa * chip**-metal.mc / 60e3
        there_w = np.array([curve.power_w(float(rpm)) for rpm in moves.rpm[its]])
        over = np.flatnonzero(np.isfinite(needed_w) & (needed_w > there_w) & (there_w > 0))
        if len(over):
            worst = int(over[np.argmax(needed_w[over] / there_w[over])])
            what = because(
                "overload.power", tool=f"T{number}", needed_w=float(needed_w[worst]), there_w=float(there_w[worst])
            )
            yield Finding("overload", int(moves.line[its[over[0]]]), what, because("overload.do", tool=f"T{number}"))


def _milled_chip(per_turn: FloatArray, met: Met, its: IntArray, teeth: int, diameter_mm: float) -> FloatArray:
    width = np.clip(met.width_mm[its], 0.0, diameter_mm if diameter_mm else math.inf)
    share = np.sqrt(width / diameter_mm) if diameter_mm else np.ones(len(its))
    return np.maximum(per_turn / max(teeth, 1) * share, 1e-3)
