"""Holes off or across the axis: centred, then drilled with a drill of their size."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.mill.lacking import Lack, easiest
from steadyrest.stations.mill.slots import Milled
from steadyrest.stations.mill.spindles import Place, speed
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule


def hole(place: Place, *, diameter_mm: float, depth_mm: float, limits_mm: float) -> Milled:
    """A drilled hole.

    Args:
        place: machine and metal.
        diameter_mm, depth_mm: of the hole.
        limits_mm: width of its diameter's limits.
    Returns: the way, or every reason against it.
    """
    drills = [tool for tool in place.machine.tools if tool.kind == "drill"]
    match_mm = max(rule("match_mm"), rule("match_share") * limits_mm)
    near = [tool for tool in drills if abs(tool.diameter_mm - diameter_mm) <= match_mm]
    if limits_mm < rule("match_mm"):
        why = because("mill.hole_fine", diameter_mm=diameter_mm, limits_mm=limits_mm, drilled_mm=rule("match_mm"))
        return Milled(None, 0.0, 0, (), (why,))
    if not near:
        why = because("mill.no_drill", machine=place.machine.name, diameter_mm=diameter_mm)
        return Milled(None, 0.0, 0, (), (why,), (Lack("drill", diameter_mm, diameter_mm, depth_mm),))
    tries = [_drilled(place, tool, depth_mm) for tool in near]
    good = [milled for milled in tries if not milled.refused]
    if good:
        return min(good, key=lambda milled: (_off_mm(milled.tool, diameter_mm), milled.cut_s))
    lacks = easiest(milled.lacks for milled in tries)
    return Milled(None, 0.0, 0, (), tuple(reason for milled in tries for reason in milled.refused), lacks)


def _off_mm(tool: Tool | None, diameter_mm: float) -> float:
    return abs(tool.diameter_mm - diameter_mm) if tool is not None else math.inf


def _drilled(place: Place, tool: Tool, depth_mm: float) -> Milled:
    number = float(tool.number)
    if depth_mm > tool.max_depth_mm:
        why = because("mill.tool_short", tool=number, depth_mm=depth_mm, allowed_mm=tool.max_depth_mm)
        return Milled(tool, 0.0, 0, (), (why,), (Lack("drill", tool.diameter_mm, tool.diameter_mm, depth_mm),))
    rpm = speed(place, tool, "drill")
    if isinstance(rpm, Reason):
        return Milled(tool, 0.0, 0, (), (rpm,))
    point = math.radians(rule("point_deg"))
    limits, metal = place.limits, place.material
    full = cutting.drill_feed(metal.group, tool.diameter_mm)
    feed = min(full, limits.max_feed_mm_min / rpm.value)
    torque_nm, thrust_n = edge.drilling(
        metal.kc11_mpa, metal.mc, diameter_mm=tool.diameter_mm, feed_mm_rev=feed, point_rad=point
    )
    power_w = torque_nm * rpm.value * math.pi / 30.0
    reasons: list[Reason] = []
    if torque_nm > limits.max_torque_nm:
        reasons.append(because("mill.drill_torque", tool=number, torque_nm=torque_nm, allowed_nm=limits.max_torque_nm))
    if power_w > limits.power.power_w(rpm.value):
        allowed = limits.power.power_w(rpm.value)
        reasons.append(because("mill.drill_power", tool=number, power_w=power_w, allowed_w=allowed))
    if thrust_n > limits.max_force_n:
        reasons.append(because("mill.drill_force", tool=number, force_n=thrust_n, allowed_n=limits.max_force_n))
    if reasons:
        return Milled(tool, 0.0, 0, (), tuple(reasons))
    way_mm = depth_mm + tool.diameter_mm / (2.0 * math.tan(point / 2.0)) + rule("approach_mm")
    pecks = max(math.ceil(depth_mm / (rule("peck_diameters") * tool.diameter_mm)) - 1, 0)
    used = Figure(feed, "mm/rev", (because("mill.feed_drill", diameter_mm=tool.diameter_mm),))
    return Milled(tool, way_mm / (rpm.value * feed) * 60.0, 1 + pecks, (used, rpm))
