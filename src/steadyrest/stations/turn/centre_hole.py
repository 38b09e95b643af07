"""Centre holes at a turned part's end: a small countersink with its pilot is drilled with a centre drill.

A scan reads it as a short cone and what is left of its pilot; neither is bored to a size.
"""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Stretch
from steadyrest.stations.turn import bores
from steadyrest.stations.turn.booking import Side
from steadyrest.tables.practice import rule


def countersink_mm(side: Side) -> float:
    """The diameter at the end face of what is a centre hole on this side; 0 where it shows none.

    Args:
        side: what is asked of one clamping.
    Returns: mm.
    """
    found = side.way.bores
    if not found:
        return 0.0
    mouth, deep = found[0][0], max(depth for _, depth in found)
    wide = mouth.largest_mm
    if not _is_countersink(mouth) or deep > rule("centre_hole_deep") * wide:
        return 0.0
    within = all(stretch.largest_mm <= wide + bores.OPEN_MM for stretch, _ in found)
    return wide if within and _drills(side, wide) else 0.0


def _is_countersink(stretch: Stretch) -> bool:
    """Whether a stretch is a cone about as steep as a centre's point."""
    wide, narrow = stretch.largest_mm, min(stretch.diameter_from_mm, stretch.diameter_to_mm)
    if stretch.length_mm <= 0:
        return False
    angle = math.degrees(2.0 * math.atan((wide - narrow) / 2.0 / stretch.length_mm))
    return abs(angle - 60.0) <= rule("centre_angle_off_deg")


def _drills(side: Side, wide_mm: float) -> list[Tool]:
    """Centre drills whose countersink comes to a diameter: their body is some two and a half times their pilot."""
    drills = [tool for tool in side.setting.machine.tools if tool.kind == "centre drill"]
    body = rule("centre_body_share")
    return [tool for tool in drills if tool.diameter_mm + bores.OPEN_MM < wide_mm <= body * tool.diameter_mm]


def drilled(side: Side, wide_mm: float) -> tuple[Tool, bores.Cut] | None:
    """Drill it with the smallest centre drill that comes to its diameter.

    Args:
        side: what is asked of one clamping.
        wide_mm: of the countersink at the end face.
    Returns: the tool and its cut; None where power, force or grip refuse each.
    """
    for tool in sorted(_drills(side, wide_mm), key=lambda tool: (tool.diameter_mm, tool.number)):
        # Its pilot goes as deep as it is thick, the countersink at 60 degrees from there.
        depth_mm = tool.diameter_mm + (wide_mm - tool.diameter_mm) * math.sqrt(3.0) / 2.0
        cut = bores.drill(side.setting, tool, depth_mm)
        if not cut.refused:
            return tool, cut
    return None


def told(tool: Tool, wide_mm: float) -> Figure:
    """What the sheet says of it."""
    return Figure(wide_mm, "mm", (because("turn.centre_hole", tool=float(tool.number), pilot_mm=tool.diameter_mm),))
