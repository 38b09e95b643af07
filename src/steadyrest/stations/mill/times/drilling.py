"""Drilling: a spot, then down in depth cycles, with the feed that torque, power and thrust allow."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.spindles import Place, speed
from steadyrest.stations.mill.times.cut import NOTHING, Cut, no_cut, soonest, together
from steadyrest.stations.mill.times.motion import Drive, drive_of
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule

FINER = 10  # feeds tried, each four fifths of the one before
SIZE_MM = 0.051  # a drill stands for a size within this, a reamer within a fifth of it


def drilled(place: Place, *, low_mm: float, high_mm: float, depth_mm: float, through: bool) -> Cut:
    """A hole drilled from the solid with the largest drills whose size lies between two.

    Args:
        place: machine and metal.
        low_mm, high_mm: smallest and largest diameter that will do.
        depth_mm: of full diameter.
        through: the point goes out at the far side.
    Returns: spot and drilling, or every drill's reason against it.
    """
    drills = [t for t in place.machine.tools if t.kind == "drill" and low_mm - 1e-6 <= t.diameter_mm <= high_mm + 1e-6]
    if not drills:
        why = because("milling.no_drill", machine=place.machine.name, low_mm=low_mm, high_mm=high_mm)
        wanted = _wanted_mm(low_mm, high_mm)
        return no_cut(why, lacks=(Lack("drill", wanted, max(low_mm, 0.0), depth_mm),))
    return soonest(_spotted(place, tool, depth_mm, through) for tool in drills)


def _wanted_mm(low_mm: float, high_mm: float) -> float:
    """The size to ask for between two: a whole tenth or half of a tenth, as drills are sold, the largest there is."""
    middle = (low_mm + high_mm) / 2.0
    if high_mm - low_mm <= 2.0 * SIZE_MM + 1e-9:
        return middle
    tenths = math.floor(high_mm * 10.0 + 1e-6) / 10.0
    return tenths if tenths >= low_mm - 1e-9 else middle


def _spotted(place: Place, tool: Tool, depth_mm: float, through: bool) -> Cut:
    down = drill(place, tool, depth_mm=depth_mm, through=through)
    return down if down.refused else together((spot(place, tool), down))


def spot(place: Place, drill_tool: Tool) -> Cut:
    """The spot that a drill of high-speed steel starts in; none where there is no centre drill, or it is carbide.

    Args:
        place: machine and metal.
        drill_tool: the drill that follows.
    Returns: the cut.
    """
    spots = [tool for tool in place.machine.tools if tool.kind == "centre drill"]
    if not spots or drill_tool.made_of == "carbide":
        return NOTHING
    tool = min(spots, key=lambda one: abs(one.diameter_mm - drill_tool.diameter_mm))
    deep_mm = min(rule("spot_share") * drill_tool.diameter_mm, tool.diameter_mm, tool.max_depth_mm)
    return drill(place, tool, depth_mm=deep_mm, through=True, pointed=False)


def drill(place: Place, tool: Tool, *, depth_mm: float, through: bool, pointed: bool = True) -> Cut:
    """One drill to one depth.

    Args:
        place: machine and metal.
        tool: the drill.
        depth_mm: of full diameter.
        through: the point goes out at the far side.
        pointed: the point's own length is added.
    Returns: the cut with its depth cycles, or what stands against it.
    """
    number = float(tool.number)
    if depth_mm > min(tool.max_depth_mm, tool.reach_mm):
        allowed = min(tool.max_depth_mm, tool.reach_mm)
        why = because("mill.tool_short", tool=number, depth_mm=depth_mm, allowed_mm=allowed)
        return no_cut(why, lacks=(Lack(tool.kind, tool.diameter_mm, tool.diameter_mm, depth_mm),))
    rpm = speed(place, tool, "drill")
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    feed = _feed(place, tool, rpm.value)
    if not isinstance(feed, Figure):
        return no_cut(*feed)
    tip_mm = tool.diameter_mm / (2.0 * math.tan(math.radians(rule("point_deg")) / 2.0)) if pointed else 0.0
    whole_mm = depth_mm + tip_mm + (rule("through_mm") if through and pointed else 0.0)
    drive = drive_of(place.limits)
    cut_s, travel_s, cycles = depth_cycles(drive, whole_mm, tool.diameter_mm, rpm.value * feed.value)
    figures = [feed, rpm]
    if cycles > 1:
        told = because("milling.cycles", cycles=float(cycles), depth_mm=depth_mm, tool=number)
        figures.insert(0, Figure(float(cycles), "", (told,)))
    return Cut(((tool, cut_s, travel_s),), tuple(figures), (), rule("spread_holes"))


def depth_cycles(drive: Drive, whole_mm: float, diameter_mm: float, feed_mm_min: float) -> tuple[float, float, int]:
    """A hole in depth cycles: the first three diameters at once, then one by one, out each time to clear the chips.

    Args:
        drive: what the axes do.
        whole_mm: depth, point and break-through included.
        diameter_mm: of the drill.
        feed_mm_min: down.
    Returns: (cutting s, getting there s, how many cycles).
    """
    clear_mm = rule("approach_mm")
    first, after = rule("peck_diameters") * diameter_mm, rule("peck_next_diameters") * diameter_mm
    stops = [min(whole_mm, first)]
    while stops[-1] < whole_mm - 1e-9:
        stops.append(min(whole_mm, stops[-1] + after))
    cut_s = travel_s = at_mm = 0.0
    for stop in stops:
        # Down in rapid to a little above where it was, on at feed, and out.
        cut_s += drive.piece_s(stop - at_mm + min(clear_mm, at_mm if at_mm else clear_mm), feed_mm_min)
        travel_s += drive.upward_s(max(at_mm - clear_mm, 0.0) + clear_mm if at_mm else 0.0)
        travel_s += drive.upward_s(stop + clear_mm)
        at_mm = stop
    return cut_s, travel_s, len(stops)


def _feed(place: Place, tool: Tool, rpm: float) -> Figure | tuple[Reason, ...]:
    """The usual feed, made finer until torque, power and thrust bear it."""
    metal, limits, number = place.material, place.limits, float(tool.number)
    usual = cutting.drill_feed(metal.group, tool.diameter_mm)
    most = limits.max_feed_mm_min / rpm
    point = math.radians(rule("point_deg"))
    reasons: list[Reason] = []
    for k in range(FINER):
        feed = min(usual, most) * 0.8**k
        torque_nm, thrust_n = edge.drilling(
            metal.kc11_mpa, metal.mc, diameter_mm=tool.diameter_mm, feed_mm_rev=feed, point_rad=point
        )
        power_w, has_w = torque_nm * rpm * math.pi / 30.0, limits.power.power_w(rpm)
        reasons = []
        if torque_nm > limits.max_torque_nm:
            most_nm = limits.max_torque_nm
            reasons.append(because("mill.drill_torque", tool=number, torque_nm=torque_nm, allowed_nm=most_nm))
        if power_w > has_w:
            reasons.append(because("mill.drill_power", tool=number, power_w=power_w, allowed_w=has_w))
        if thrust_n > limits.max_force_n:
            most_n = limits.max_force_n
            reasons.append(because("mill.drill_force", tool=number, force_n=thrust_n, allowed_n=most_n))
        if not reasons:
            why = because("mill.feed_drill", diameter_mm=tool.diameter_mm)
            finer = (because("milling.feed_finer", usual_mm_rev=usual),) if k else ()
            return Figure(feed, "mm/rev", (*finer, why))
    return tuple(reasons)
