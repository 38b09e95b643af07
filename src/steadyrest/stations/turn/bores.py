"""Bores about the axis: drilled from the solid, then bored to size, from the end that they open to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Profile, Stretch
from steadyrest.stations import edge
from steadyrest.stations.turn.holding import grip_at
from steadyrest.stations.turn.passes import Cut, Setting, no_cut, spindle
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule

OPEN_MM = 0.05


@dataclass(frozen=True, slots=True)
class Way:
    """The bores reached from one end, nearest first: (stretch, depth from that end to its bottom), or why not."""

    bores: tuple[tuple[Stretch, float], ...]
    blocked: tuple[tuple[Stretch, Reason], ...]


def ways(profile: Profile, *, from_high: bool) -> tuple[Way, Way]:
    """Which bores are made in the first clamping, and which in the second.

    Args:
        profile: the part as turned.
        from_high: the first side is the end with the largest coordinate.
    Returns: (first, second); what neither end reaches is blocked where a bore beside it is made, else in the second.
    """
    low_mm, high_mm = profile.outside[0].from_mm, profile.outside[-1].to_mm
    first: list[tuple[Stretch, float]] = []
    second: list[tuple[Stretch, float]] = []
    blocked: list[tuple[Stretch, Reason]] = []
    for stretch in profile.inside:
        depths = {True: high_mm - stretch.from_mm, False: stretch.to_mm - low_mm}
        free = {end: _reached(profile, stretch, from_high=end) for end in (True, False)}
        ends = [end for end in (from_high, not from_high) if free[end]]
        if not ends:
            blocked.append((stretch, because("turn.bore_closed", diameter_mm=stretch.largest_mm)))
        elif ends[0] == from_high:
            first.append((stretch, depths[from_high]))
        else:
            second.append((stretch, depths[not from_high]))
    first.sort(key=lambda bore: bore[1])
    second.sort(key=lambda bore: bore[1])
    # What neither end reaches lies beside a bore, and is seen to where that is made: a groove in it may be cut there.
    own = [one for one in blocked if any(_beside(one[0], bore) for bore, _ in first)]
    others = tuple(one for one in blocked if one not in own)
    return Way(tuple(first), tuple(own)), Way(tuple(second), others)


def _beside(stretch: Stretch, bore: Stretch) -> bool:
    return min(abs(stretch.from_mm - bore.to_mm), abs(bore.from_mm - stretch.to_mm)) <= OPEN_MM


def _reached(profile: Profile, stretch: Stretch, *, from_high: bool) -> bool:
    """Whether the bore is open to that end and nothing narrower stands before it."""
    edge_mm = profile.outside[-1].to_mm if from_high else profile.outside[0].from_mm
    inside = sorted(profile.inside, key=lambda s: s.from_mm, reverse=from_high)
    for other in inside:
        near = other.to_mm if from_high else other.from_mm
        if abs(near - edge_mm) > OPEN_MM:
            return False
        if min(other.diameter_from_mm, other.diameter_to_mm) < stretch.largest_mm - OPEN_MM and other is not stretch:
            return False
        if other is stretch:
            return True
        edge_mm = other.from_mm if from_high else other.to_mm
    return False


def drill(setting: Setting, tool: Tool, depth_mm: float) -> Cut:
    """Drilling on the axis from the solid.

    Args:
        setting: where it cuts.
        tool: the drill.
        depth_mm: of the hole, point not counted.
    Returns: the cut, with pecks; refused where drill, power, torque or force do not reach.
    """
    metal, limits = setting.material, setting.limits
    made_of = "carbide" if tool.made_of == "carbide" else "hss"
    band = cutting.cutting_speed(metal.group, work="drill", tool=made_of)
    if band is None:
        return no_cut(because("turn.drill_metal", tool=float(tool.number), material=metal.id))
    if depth_mm > tool.max_depth_mm:
        return no_cut(
            because("turn.drill_short", tool=float(tool.number), depth_mm=depth_mm, allowed_mm=tool.max_depth_mm)
        )
    rpm = spindle(setting.with_tool(tool), tool.diameter_mm, band.middle / setting.speed_m_min)
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    point = math.radians(rule("point_deg"))
    full = cutting.drill_feed(metal.group, tool.diameter_mm)
    feed = next((f for f in (full * 0.8**i for i in range(10)) if _drives(setting, tool, f, rpm.value, point)), None)
    if feed is None:
        return no_cut(because("turn.drill_force", tool=float(tool.number), force_n=limits.max_force_n))
    used = Figure(feed, "mm/rev", (because("turn.feed_drill", diameter_mm=tool.diameter_mm, full_mm_rev=full),))
    pecks = max(math.ceil(depth_mm / (rule("peck_diameters") * tool.diameter_mm)) - 1, 0)
    way_mm = depth_mm + tool.diameter_mm / (2.0 * math.tan(point / 2.0)) + rule("approach_mm")
    return Cut(1 + pecks, way_mm / (rpm.value * feed) * 60.0, rpm.value, feed, (used, rpm))


def _drives(setting: Setting, tool: Tool, feed_mm_rev: float, rpm: float, point_rad: float) -> bool:
    """Whether torque, power, thrust and grip carry this drill at this feed."""
    metal, limits = setting.material, setting.limits
    torque_nm, thrust_n = edge.drilling(
        metal.kc11_mpa, metal.mc, diameter_mm=tool.diameter_mm, feed_mm_rev=feed_mm_rev, point_rad=point_rad
    )
    power_w = torque_nm * rpm * math.pi / 30.0
    held_n = grip_at(setting.hold, limits, rpm).value
    return (
        torque_nm <= min(limits.max_torque_nm, held_n * setting.clamping.grip_mm / 2000.0)
        and power_w <= limits.power.power_w(rpm)
        and thrust_n <= min(limits.max_force_n, held_n)
    )


def reamer_for(tools: Sequence[Tool], diameter_mm: float, drilled_mm: float, limits_mm: float) -> Tool | None:
    """The reamer of a size, where the hole is drilled as a reamer wants it and its limits are no finer than it holds.

    Args:
        tools: of the lathe.
        diameter_mm, drilled_mm: of the bore, and of the hole so far.
        limits_mm: width of the size's limits.
    Returns: the tool, or None.
    """
    over = rule("ream_over_mm")
    if limits_mm < rule("ream_limits_mm") or not 0.5 * over <= diameter_mm - drilled_mm <= 2.5 * over:
        return None
    return next((t for t in tools if t.kind == "reamer" and abs(t.diameter_mm - diameter_mm) <= OPEN_MM / 5.0), None)


def ream(setting: Setting, tool: Tool, depth_mm: float) -> Cut:
    """Reaming a drilled hole, in and out at feed: a reamer pulled back in rapid scores it.

    Args:
        setting: where it cuts.
        tool: the reamer.
        depth_mm: of the hole.
    Returns: the cut; refused where it does not reach, or the metal has no drilling speed to take its own from.
    """
    metal = setting.material
    made_of = "carbide" if tool.made_of == "carbide" else "hss"
    band = cutting.cutting_speed(metal.group, work="drill", tool=made_of)
    if band is None:
        return no_cut(because("turn.drill_metal", tool=float(tool.number), material=metal.id))
    if depth_mm > tool.max_depth_mm:
        return no_cut(
            because("turn.drill_short", tool=float(tool.number), depth_mm=depth_mm, allowed_mm=tool.max_depth_mm)
        )
    share = rule("ream_speed_share") * band.middle / setting.speed_m_min
    rpm = spindle(setting.with_tool(tool), tool.diameter_mm, share)
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    feed = rule("ream_feed_factor") * cutting.drill_feed(metal.group, tool.diameter_mm)
    used = Figure(feed, "mm/rev", (because("turn.feed_ream", diameter_mm=tool.diameter_mm),))
    way_mm = 2.0 * (depth_mm + 2.0 * rule("approach_mm"))
    return Cut(1, way_mm / (rpm.value * feed) * 60.0, rpm.value, feed, (used, rpm))


def bore(
    setting: Setting, tool: Tool, *, from_mm: float, to_mm: float, depth_mm: float, length_mm: float, width_mm: float
) -> Cut:
    """Boring a drilled or bored hole to size with a boring bar.

    Args:
        setting: where it cuts.
        tool: the boring bar; its diameter is the bar's.
        from_mm, to_mm: diameters, from < to.
        depth_mm: from the end to the bottom.
        length_mm: of the stretch that is bored.
        width_mm: of the size's limits.
    Returns: the cut; refused where the bar does not go in, does not reach, or bends too much.
    """  # fmt: skip
    refused: list[Reason] = []
    number = float(tool.number)
    if tool.diameter_mm + 1.0 > from_mm:
        refused.append(because("turn.bar_thick", tool=number, diameter_mm=tool.diameter_mm, hole_mm=from_mm))
    if depth_mm > tool.length_mm:
        refused.append(because("turn.bar_short", tool=number, depth_mm=depth_mm, allowed_mm=tool.length_mm))
    at = setting.with_tool(tool)
    rpm = spindle(at, to_mm)
    if isinstance(rpm, Reason):
        refused.append(rpm)
    if refused or isinstance(rpm, Reason):
        return no_cut(*refused)
    metal = setting.material
    feed = least(
        (
            Figure(
                edge.feed_for_roughness(setting.ra_um, max(tool.edge_mm, 0.05)), "mm/rev",
                (because("turn.feed_smooth", ra=setting.ra_um, nose_mm=tool.edge_mm),),
            ),
            Figure(0.5 * max(tool.edge_mm, 0.05), "mm/rev", (because("turn.feed_nose", nose_mm=tool.edge_mm),)),
        )
    )  # fmt: skip
    per_mm = rule("radial_share") * edge.turning_force(
        metal.kc11_mpa, metal.mc, depth_mm=1.0, feed_mm_rev=feed.value, lead_rad=tool.lead_rad
    )
    bend_per_mm = 2.0 * edge.tool_bend_mm(
        per_mm, length_mm=tool.length_mm, diameter_mm=tool.diameter_mm, e_mpa=rule("hss_e_mpa")
    )
    finish_mm = rule("finish_bend_share") * width_mm / bend_per_mm
    if finish_mm < 0.05:
        bends = bend_per_mm * 0.05
        allowed = rule("finish_bend_share") * width_mm
        return no_cut(because("turn.bar_bends", tool=number, bends_mm=bends, allowed_mm=allowed))
    radial_mm = (to_mm - from_mm) / 2.0
    step_mm = min(tool.max_depth_mm, rule("rough_bend_mm") * 2.0 / bend_per_mm)
    passes = 1 + math.ceil(max(radial_mm - min(finish_mm, 0.25), 0.0) / step_mm - 1e-9)
    cut_s = passes * (length_mm + 2.0 * rule("approach_mm")) / (rpm.value * feed.value) * 60.0
    bound = Figure(step_mm, "mm", (because("turn.depth_bar", diameter_mm=tool.diameter_mm, length_mm=tool.length_mm),))
    return Cut(passes, cut_s, rpm.value, feed.value, (bound, feed, rpm))
