"""Holes to size: drilled, reamed, milled round or bored, whichever is soonest of those that hold the limits."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.spindles import Place, milling, speed
from steadyrest.stations.mill.times import threads
from steadyrest.stations.mill.times.cleared import in_rings
from steadyrest.stations.mill.times.cut import Cut, no_cut, soonest, together
from steadyrest.stations.mill.times.drilling import SIZE_MM, drilled
from steadyrest.stations.mill.times.engagement import WORTH_MM, clearing
from steadyrest.stations.mill.times.motion import drive_of
from steadyrest.stations.mill.times.rings import Area, Ring, spread_of
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule

PILOT = 0.5  # of the diameter: a hole drilled before it is milled or bored to size is this wide at least


def hole(
    place: Place,
    *,
    diameter_mm: float,
    depth_mm: float,
    limits_mm: float,
    through: bool,
    flat_bottom: bool = False,
    thread: tuple[float, float, float] | None = None,
) -> Cut:
    """A hole along the spindle, with all it takes from the solid.

    Args:
        place: machine and metal.
        diameter_mm: of the hole; of a thread the hole is drilled at the tap drill's size whatever stands here.
        depth_mm: of full diameter.
        limits_mm: width of the diameter's limits.
        through: it goes out at the far side.
        flat_bottom: no drill's point may stay in it.
        thread: (major diameter mm, pitch mm, length of full thread mm), or None.
    Returns: the soonest way, or the reasons against every way.
    """
    if thread is not None:
        return threads.threaded(place, thread, depth_mm=depth_mm, through=through)
    ways: list[Cut] = [milled_round(place, diameter_mm=diameter_mm, depth_mm=depth_mm, limits_mm=limits_mm)]
    if not flat_bottom or through:
        ways.append(_drilled_only(place, diameter_mm, depth_mm, limits_mm, through))
        ways.append(_reamed(place, diameter_mm, depth_mm, limits_mm, through))
    ways.append(_bored(place, diameter_mm, depth_mm, limits_mm, through=through, flat_bottom=flat_bottom))
    return soonest(ways)


def counterbore(place: Place, *, diameter_mm: float, depth_mm: float, limits_mm: float) -> Cut:
    """A flat-bottomed widening of a hole that is there: milled round.

    Args:
        place: machine and metal.
        diameter_mm, depth_mm: of the widening.
        limits_mm: width of its diameter's limits.
    Returns: the cut, or why not.
    """
    return milled_round(place, diameter_mm=diameter_mm, depth_mm=depth_mm, limits_mm=limits_mm)


def _drilled_only(place: Place, diameter_mm: float, depth_mm: float, limits_mm: float, through: bool) -> Cut:
    if limits_mm < rule("match_mm"):
        drilled_mm = rule("match_mm")
        why = because("mill.hole_fine", diameter_mm=diameter_mm, limits_mm=limits_mm, drilled_mm=drilled_mm)
        return no_cut(why)
    low, high = diameter_mm - SIZE_MM, diameter_mm + SIZE_MM
    return drilled(place, low_mm=low, high_mm=high, depth_mm=depth_mm, through=through)


def _reamed(place: Place, diameter_mm: float, depth_mm: float, limits_mm: float, through: bool) -> Cut:
    reamers = [
        tool for tool in place.machine.tools
        if tool.kind == "reamer" and abs(tool.diameter_mm - diameter_mm) <= SIZE_MM / 5.0
    ]  # fmt: skip
    if limits_mm < rule("ream_limits_mm"):
        least_mm = rule("ream_limits_mm")
        return no_cut(because("milling.reamer_fine", limits_mm=limits_mm, least_mm=least_mm))
    over = rule("ream_over_mm")
    before = drilled(
        place, low_mm=diameter_mm - 2.5 * over, high_mm=diameter_mm - 0.5 * over, depth_mm=depth_mm, through=through
    )
    if not reamers:
        why = because("milling.no_reamer", machine=place.machine.name, diameter_mm=diameter_mm)
        lack = no_cut(why, lacks=(Lack("reamer", diameter_mm, diameter_mm, depth_mm),))
        return together((before, lack)) if before.refused else lack
    if before.refused:
        return before
    return soonest(together((before, _ream(place, tool, depth_mm))) for tool in reamers)


def _ream(place: Place, tool: Tool, depth_mm: float) -> Cut:
    number = float(tool.number)
    if depth_mm > min(tool.max_depth_mm, tool.reach_mm):
        allowed = min(tool.max_depth_mm, tool.reach_mm)
        return _short(tool, depth_mm, allowed)
    rpm = speed(place, tool, "drill")
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    turning = max(rpm.value * rule("ream_speed_share"), place.limits.min_rpm)
    feed = rule("ream_feed_factor") * cutting.drill_feed(place.material.group, tool.diameter_mm)
    feed = min(feed, place.limits.max_feed_mm_min / turning)
    drive = drive_of(place.limits)
    way_mm = depth_mm + 2.0 * rule("approach_mm")
    # In and out at feed: a reamer that is pulled back in rapid scores the hole.
    cut_s = 2.0 * drive.piece_s(way_mm, turning * feed)
    told = because("milling.ream", tool=number, rpm=turning, feed_mm_rev=feed)
    return Cut(((tool, cut_s, 0.0),), (Figure(feed, "mm/rev", (told,)),), (), rule("spread_holes"))


def milled_round(place: Place, *, diameter_mm: float, depth_mm: float, limits_mm: float) -> Cut:
    """A hole milled round: cleared in rings, then once round its wall.

    Args:
        place: machine and metal.
        diameter_mm, depth_mm: of the hole.
        limits_mm: width of the diameter's limits.
    Returns: the soonest end mill's way, or why not.
    """
    if limits_mm < rule("round_limits_mm"):
        least_mm = rule("round_limits_mm")
        return no_cut(because("milling.round_fine", limits_mm=limits_mm, least_mm=least_mm))
    mills = [
        tool for tool in place.machine.tools
        if tool.kind in ("end mill", "slot drill") and tool.diameter_mm < 0.9 * diameter_mm
    ]  # fmt: skip
    if not mills:
        why = because("milling.no_mill_for_hole", machine=place.machine.name, diameter_mm=diameter_mm)
        return no_cut(why, lacks=(Lack("end mill", 0.9 * diameter_mm, 0.0, depth_mm),))
    return soonest(_round(place, tool, diameter_mm, depth_mm) for tool in mills)


def _round(place: Place, tool: Tool, diameter_mm: float, depth_mm: float) -> Cut:
    number = float(tool.number)
    if depth_mm > tool.reach_mm:
        return _short(tool, depth_mm, tool.reach_mm)
    run = clearing(place, tool)
    if isinstance(run, Reason):
        return no_cut(run)
    if run.depth.value < WORTH_MM:
        return no_cut(because("mill.no_depth", tool=number, depth_mm=run.depth.value), *run.depth.why)
    passes = max(math.ceil(depth_mm / run.depth.value - 1e-9), 1)
    area = Area(math.pi * diameter_mm**2 / 4.0, math.pi * diameter_mm)
    step_mm = rule("clear_step_share") * tool.diameter_mm
    # A circle has no corners: each ring is one piece.
    out_mm = (diameter_mm - tool.diameter_mm) / 2.0
    around = tuple(Ring(2.0 * math.pi * (out_mm - k * step_mm), 1.0) for k in range(math.ceil(out_mm / step_mm - 1e-9)))
    drive = drive_of(place.limits)
    one = in_rings(
        drive, around, area, step_mm=step_mm, feed_mm_min=run.feed_mm_min, passes=passes, fall_mm=depth_mm / passes,
        lift_mm=depth_mm, opening=run.opening,
    )  # fmt: skip
    last = milling(place, tool)
    assert not isinstance(last, Reason), "a tool that is engaged has a speed"
    wall_mm = math.pi * (diameter_mm - tool.diameter_mm)
    height = math.ceil(depth_mm / min(tool.max_depth_mm, rule("wall_depth_share") * tool.diameter_mm) - 1e-9)
    wall_s = height * drive.piece_s(1.5 * wall_mm, last.feed_mm_min.value * (1.0 - tool.diameter_mm / diameter_mm))
    told = because("milling.round", tool=number, passes=float(passes), diameter_mm=diameter_mm)
    figures = (Figure(float(passes), "", (told,)), run.depth, run.feed, run.rpm)
    spread = spread_of(area, diameter_mm=tool.diameter_mm)
    return Cut(((tool, one.cut_s + wall_s, one.travel_s),), figures, (), spread)


def _short(tool: Tool, depth_mm: float, allowed_mm: float) -> Cut:
    """The refusal of a tool that does not reach so deep."""
    why = because("mill.tool_short", tool=float(tool.number), depth_mm=depth_mm, allowed_mm=allowed_mm)
    return no_cut(why, lacks=(Lack(tool.kind, tool.diameter_mm, tool.diameter_mm, depth_mm),))


def _bored(
    place: Place, diameter_mm: float, depth_mm: float, limits_mm: float, *, through: bool, flat_bottom: bool
) -> Cut:
    heads = [t for t in place.machine.tools if t.kind == "boring" and t.diameter_mm < diameter_mm]
    if not heads:
        why = because("milling.no_boring_head", machine=place.machine.name, diameter_mm=diameter_mm)
        fine = limits_mm >= rule("bore_limits_mm")
        lacks = (Lack("boring", 0.9 * diameter_mm, 0.0, depth_mm),) if fine else ()
        return no_cut(why, lacks=lacks)
    if limits_mm < rule("bore_limits_mm"):
        least_mm = rule("bore_limits_mm")
        return no_cut(because("milling.bore_fine", limits_mm=limits_mm, least_mm=least_mm))
    over = rule("bore_over_mm")
    under_mm = diameter_mm - over
    ways = [milled_round(place, diameter_mm=under_mm, depth_mm=depth_mm, limits_mm=rule("open_limits_mm"))]
    if not flat_bottom or through:
        low, high = max(PILOT * diameter_mm, diameter_mm - 4.0 * over), diameter_mm - 0.5 * over
        ways.append(drilled(place, low_mm=low, high_mm=high, depth_mm=depth_mm, through=through))
    before = soonest(ways)
    if before.refused:
        return before
    return soonest(together((before, _bore(place, tool, diameter_mm, depth_mm, limits_mm))) for tool in heads)


def _bore(place: Place, tool: Tool, diameter_mm: float, depth_mm: float, limits_mm: float) -> Cut:
    """Two cuts of a boring head: a trial that it is set by, and the last."""
    number = float(tool.number)
    if depth_mm > tool.reach_mm:
        return _short(tool, depth_mm, tool.reach_mm)
    made_of = "carbide" if tool.made_of == "carbide" else "hss"
    band = cutting.cutting_speed(place.material.group, work="turn", tool=made_of)
    if band is None:
        return no_cut(because("mill.no_speed", tool=number, material=place.material.id))
    rpm = min(edge.spindle_rpm(band.low, diameter_mm), place.limits.max_rpm, tool.holder_max_rpm)
    if rpm < place.limits.min_rpm:
        fast = edge.cutting_speed(place.limits.min_rpm, diameter_mm)
        return no_cut(because("mill.too_fast", tool=number, speed_m_min=fast, allowed_m_min=band.high))
    feed = rule("bore_feed_mm_rev")
    metal, deep_mm = place.material, rule("bore_over_mm") / 4.0
    across_n = rule("radial_share") * edge.turning_force(
        metal.kc11_mpa, metal.mc, depth_mm=deep_mm, feed_mm_rev=feed, lead_rad=tool.lead_rad
    )
    bar_mm = max(tool.diameter_mm, 1.0)
    bends_mm = 2.0 * edge.tool_bend_mm(across_n, length_mm=tool.reach_mm, diameter_mm=bar_mm, e_mpa=rule("hss_e_mpa"))
    allowed_mm = rule("finish_bend_share") * limits_mm
    if bends_mm > allowed_mm:
        return no_cut(because("milling.bar_bends", tool=number, bends_mm=bends_mm, allowed_mm=allowed_mm))
    drive = drive_of(place.limits)
    one_s = drive.piece_s(depth_mm + 2.0 * rule("approach_mm"), rpm * feed)
    told = because("milling.bore", tool=number, rpm=rpm, feed_mm_rev=feed, set_s=rule("bore_set_s"))
    travel_s = 2.0 * drive.upward_s(depth_mm + 2.0 * rule("approach_mm")) + rule("bore_set_s")
    figures = (Figure(feed, "mm/rev", (told,)),)
    return Cut(((tool, 2.0 * one_s, travel_s),), figures, (), rule("spread_holes"))
