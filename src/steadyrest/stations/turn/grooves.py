"""Which tool plunges a groove, an undercut or a groove in a bore: its edge against the width, its reach, its bar."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.turn.holding import grip_at
from steadyrest.stations.turn.passes import Cut, Setting, no_cut, plunge, spindle
from steadyrest.tables.practice import rule

FINER = 6  # feeds tried, each seven tenths of the one before


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
            # With a diameter it is a bar, for bores; one for faces is bent to its ring.
            if tool.kind == kind and not tool.diameter_mm and not tool.face_from_mm
        ]
        good = [(tool, cut) for tool, cut in tried if not cut.refused]
        if good:
            return Grooved(*min(good, key=lambda one: one[1].cut_s))
        reasons.extend(reason for _, cut in tried for reason in cut.refused)
        if kind == "grooving" and not tried:
            reasons.append(because("turn.no_tool", machine=machine.name, kind=kind))
    nearest = because("turn.groove_tool", width_mm=width_mm, depth_mm=(from_mm - to_mm) / 2.0)
    return Grooved(None, no_cut(*dict.fromkeys(reasons)), nearest)


def groove_inside(setting: Setting, *, from_mm: float, to_mm: float, width_mm: float, reach_mm: float) -> Grooved:
    """A groove in a bore, plunged outwards with a grooving tool on a bar.

    Args:
        setting: where it cuts.
        from_mm, to_mm: diameters of bore and floor, from < to.
        width_mm: of the groove.
        reach_mm: from the end to the groove's far side.
    Returns: tool and cut; or every tool's reasons against it and which tool would do.
    """
    machine = setting.machine
    bars = [tool for tool in machine.tools if tool.kind == "grooving" and tool.diameter_mm > 0]
    nearest = because("turn.groove_bar", width_mm=width_mm, bore_mm=from_mm, reach_mm=reach_mm)
    if not bars:
        return Grooved(None, no_cut(because("turn.no_groove_bar", machine=machine.name)), nearest)
    tried = [(tool, _plunged(setting.with_tool(tool), from_mm, to_mm, width_mm, reach_mm)) for tool in bars]
    good = [(tool, cut) for tool, cut in tried if not cut.refused]
    if good:
        return Grooved(*min(good, key=lambda one: one[1].cut_s))
    return Grooved(None, no_cut(*dict.fromkeys(reason for _, cut in tried for reason in cut.refused)), nearest)


def _plunged(setting: Setting, from_mm: float, to_mm: float, width_mm: float, reach_mm: float) -> Cut:
    tool, limits, metal = setting.tool, setting.limits, setting.material
    number, deep_mm = float(tool.number), (to_mm - from_mm) / 2.0
    refused: list[Reason] = []
    # The tool goes in beside the far wall of the bore, and comes back as deep as it plunges.
    needs_mm = tool.diameter_mm + deep_mm + rule("inside_groove_clear_mm")
    if needs_mm > from_mm:
        refused.append(because("turn.bar_thick", tool=number, diameter_mm=needs_mm, hole_mm=from_mm))
    if reach_mm > tool.length_mm:
        refused.append(because("turn.bar_short", tool=number, depth_mm=reach_mm, allowed_mm=tool.length_mm))
    if deep_mm > tool.max_depth_mm:
        refused.append(because("turn.groove_deep", tool=number, depth_mm=deep_mm, allowed_mm=tool.max_depth_mm))
    if width_mm < tool.width_mm - 0.01:
        refused.append(because("turn.groove_narrow", tool=number, width_mm=width_mm, allowed_mm=tool.width_mm))
    rpm = spindle(setting, to_mm, rule("plunge_speed_share"))
    if isinstance(rpm, Reason):
        refused.append(rpm)
    if refused or isinstance(rpm, Reason):
        return no_cut(*refused)
    edge_mm = tool.width_mm or rule("groove_width_mm")
    grip_n = grip_at(setting.hold, limits, rpm.value).value * setting.clamping.grip_mm / to_mm
    most_n = min(grip_n, 2000.0 * limits.max_torque_nm / to_mm)
    force_n = bends_mm = math.inf
    for k in range(FINER):
        feed = rule("groove_feed_mm_rev") * 0.7**k
        force_n = edge.cutting_force(metal.kc11_mpa, metal.mc, chip_mm=feed, width_mm=edge_mm)
        bends_mm = edge.tool_bend_mm(
            rule("axial_share") * force_n,
            length_mm=tool.length_mm,
            diameter_mm=tool.diameter_mm,
            e_mpa=rule("hss_e_mpa"),
        )
        if force_n <= most_n and bends_mm <= rule("rough_bend_mm"):
            why = (because("turn.feed_groove"),) if k == 0 else (because("turn.feed_groove_finer", bend_mm=bends_mm),)
            count = 1 + math.ceil(max(width_mm - edge_mm, 0.0) / (0.8 * edge_mm) - 1e-9)
            cut_s = count * (deep_mm + rule("retract_mm")) / (rpm.value * feed) * 60.0
            return Cut(count, cut_s, rpm.value, feed, (Figure(feed, "mm/rev", why), rpm))
    reasons: list[Reason] = []
    if force_n > most_n:
        reasons.append(because("turn.groove_force", force_n=force_n, grip_n=most_n))
    if bends_mm > rule("rough_bend_mm"):
        allowed_mm = rule("rough_bend_mm")
        reasons.append(because("turn.bar_bends", tool=number, bends_mm=bends_mm, allowed_mm=allowed_mm))
    return no_cut(*reasons)
