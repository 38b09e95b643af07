"""Which tool plunges a groove or an undercut: its edge against the width, its reach against the depth."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations.turn.passes import Cut, Setting, no_cut, plunge


@dataclass(frozen=True, slots=True)
class Grooved:
    """How a groove is cut. tool: None where no tool cuts it; nearest: then what would."""

    tool: Tool | None
    cut: Cut
    nearest: Reason | None = None


def groove(setting: Setting, *, from_mm: float, to_mm: float, width_mm: float) -> Grooved:
    """A groove outside: by the grooving tool that is through soonest, else by a part-off tool that is narrow enough.

    Args:
        setting: where it cuts.
        from_mm, to_mm: diameters, from > to >= 0.
        width_mm: of the groove.
    Returns: tool and cut; or every tool's reasons against it and which tool would do.
    """
    machine = setting.machine
    reasons: list[Reason] = []
    for kind in ("grooving", "part-off"):
        tried = [
            (tool, plunge(setting.with_tool(tool), from_mm=from_mm, to_mm=to_mm, width_mm=width_mm))
            for tool in machine.tools
            if tool.kind == kind
        ]
        good = [(tool, cut) for tool, cut in tried if not cut.refused]
        if good:
            return Grooved(*min(good, key=lambda one: one[1].cut_s))
        reasons.extend(reason for _, cut in tried for reason in cut.refused)
        if kind == "grooving" and not tried:
            reasons.append(because("turn.no_tool", machine=machine.name, kind=kind))
    nearest = because("turn.groove_tool", width_mm=width_mm, depth_mm=(from_mm - to_mm) / 2.0)
    return Grooved(None, no_cut(*dict.fromkeys(reasons)), nearest)
