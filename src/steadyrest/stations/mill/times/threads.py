"""Inside threads: tapped with a tap of their size, or milled; the hole first."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.spindles import Place, milling
from steadyrest.stations.mill.times.cut import Cut, all_lacks, no_cut, soonest, together
from steadyrest.stations.mill.times.drilling import drilled
from steadyrest.stations.mill.times.motion import drive_of
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule

ALIKE_MM = 0.01
FORM = 3.0 * math.sqrt(3.0) / 4.0  # height of a full thread, both sides, over its pitch


def threaded(place: Place, thread: tuple[float, float, float], *, depth_mm: float, through: bool) -> Cut:
    """A thread from the solid: spot, hole, tap or thread mill.

    Args:
        place: machine and metal.
        thread: (major diameter mm, pitch mm, length of full thread mm).
        depth_mm: of the hole.
        through: the hole goes out at the far side.
    Returns: the soonest way, or every reason against it.
    """
    major, pitch, _ = thread
    low = major - FORM * pitch * rule("thread_full_percent") / 100.0
    high = major - FORM * pitch * rule("thread_scant_percent") / 100.0
    hole = drilled(place, low_mm=low, high_mm=high, depth_mm=depth_mm, through=through)
    ways = [*_tapped(place, thread, depth_mm, through), *_milled(place, thread, low)]
    if not ways:
        why = because("milling.no_tap", machine=place.machine.name, diameter_mm=major, pitch_mm=pitch)
        lack = no_cut(why, lacks=(Lack("tap", major, major, thread[2], pitch),))
        return no_cut(*hole.refused, why, lacks=all_lacks([cut for cut in (hole, lack) if cut.refused]))
    cut = soonest(ways)
    if hole.refused or cut.refused:
        both = [one for one in (hole, cut) if one.refused]
        return no_cut(*hole.refused, *cut.refused, lacks=all_lacks(both))
    return together((hole, cut))


def _tapped(place: Place, thread: tuple[float, float, float], depth_mm: float, through: bool) -> list[Cut]:
    major, pitch, _ = thread
    return [
        _tap(place, tool, thread, depth_mm, through)
        for tool in place.machine.tools
        if tool.kind == "tap" and abs(tool.diameter_mm - major) <= ALIKE_MM and abs(tool.pitch_mm - pitch) <= ALIKE_MM
    ]


def _tap(place: Place, tool: Tool, thread: tuple[float, float, float], depth_mm: float, through: bool) -> Cut:
    major, pitch, length = thread
    metal, limits, number = place.material, place.limits, float(tool.number)
    lead_mm = rule("tap_lead_turns") * pitch
    refused: list[Reason] = []
    if not limits.controlled:
        refused.append(because("milling.tap_by_hand", machine=place.machine.name))
    if length > tool.max_depth_mm:
        refused.append(because("mill.tool_short", tool=number, depth_mm=length, allowed_mm=tool.max_depth_mm))
    if not through and length + lead_mm > depth_mm + 1e-6:
        refused.append(because("milling.tap_blind", tool=number, room_mm=depth_mm - length, need_mm=lead_mm))
    band = cutting.cutting_speed(metal.group, work="drill", tool="hss")
    if band is None:
        return no_cut(*refused, because("mill.no_speed", tool=number, material=metal.id))
    speed = rule("tap_speed_share") * band.middle
    wanted = edge.spindle_rpm(speed, major)
    rpm = least(
        (
            Figure(wanted, "rpm", (because("mill.rpm_metal", band.source, speed_m_min=speed),)),
            Figure(limits.max_rpm, "rpm", (because("mill.rpm_machine", machine=place.machine.name),)),
            Figure(tool.holder_max_rpm, "rpm", (because("mill.rpm_holder", tool=number),)),
            Figure(limits.max_feed_mm_min / pitch, "rpm", (because("mill.feed_machine", machine=place.machine.name),)),
        )
    )  # fmt: skip
    turning = max(rpm.value, limits.min_rpm)
    specific = float(edge.specific_force(metal.kc11_mpa, metal.mc, rule("tap_chip_mm")))
    asks_nm = rule("tap_worn") * edge.tapping_torque_nm(specific, diameter_mm=major, pitch_mm=pitch)
    asks_w, has_w = asks_nm * turning * math.pi / 30.0, limits.power.power_w(turning)
    if asks_nm > limits.max_torque_nm:
        refused.append(because("milling.tap_torque", tool=number, torque_nm=asks_nm, allowed_nm=limits.max_torque_nm))
    if asks_w > has_w:
        refused.append(because("milling.tap_power", tool=number, power_w=asks_w, allowed_w=has_w))
    if refused:
        only_short = length > tool.max_depth_mm and len(refused) == 1
        return no_cut(*refused, lacks=(Lack("tap", major, major, length, pitch),) if only_short else ())
    drive = drive_of(limits)
    way_mm = rule("approach_mm") + length + lead_mm
    cut_s = 2.0 * (drive.piece_s(way_mm, turning * pitch) + rule("tap_reverse_s"))
    told = because("milling.tap", tool=number, torque_nm=asks_nm, worn=rule("tap_worn"))
    figures = (Figure(asks_nm, "Nm", (told,)), rpm)
    return Cut(((tool, cut_s, 0.0),), figures, (), rule("spread_holes"), (because("caution.tap"),))


def _milled(place: Place, thread: tuple[float, float, float], hole_mm: float) -> list[Cut]:
    major, pitch, _ = thread
    return [
        _thread_mill(place, tool, thread, hole_mm)
        for tool in place.machine.tools
        if tool.kind == "thread mill" and (not tool.pitch_mm or abs(tool.pitch_mm - pitch) <= ALIKE_MM)
        and tool.diameter_mm < 0.9 * (major - FORM * pitch)
    ]  # fmt: skip


def _thread_mill(place: Place, tool: Tool, thread: tuple[float, float, float], hole_mm: float) -> Cut:
    """Round in a helix: a mill of full form cuts its own length in one turn, a single tooth one pitch a turn."""
    major, pitch, length = thread
    number = float(tool.number)
    if not place.limits.controlled:
        return no_cut(because("milling.thread_mill_by_hand", machine=place.machine.name))
    if length > tool.reach_mm:
        why = because("mill.tool_short", tool=number, depth_mm=length, allowed_mm=tool.reach_mm)
        return no_cut(why, lacks=(Lack(tool.kind, tool.diameter_mm, tool.diameter_mm, length),))
    run = milling(place, tool)
    if isinstance(run, Reason):
        return no_cut(run)
    in_one_mm = tool.max_depth_mm if tool.pitch_mm else pitch
    turns = math.ceil(length / in_one_mm - 1e-9) if tool.pitch_mm else length / pitch + 1.0
    round_mm = math.pi * (major - tool.diameter_mm)
    # The feed counts at the edge; the tool's middle goes a smaller circle.
    inside = run.feed_mm_min.value * (major - tool.diameter_mm) / major
    drive = drive_of(place.limits)
    passes = rule("thread_mill_passes")
    # In and out on half a circle each.
    cut_s = passes * (turns + 1.0) * drive.piece_s(round_mm, inside)
    travel_s = passes * 2.0 * drive.upward_s(length + rule("approach_mm"))
    told = because("milling.thread_mill", tool=number, turns=float(turns), passes=passes, hole_mm=hole_mm)
    figures = (Figure(float(turns), "", (told,)), run.feed_mm_min, run.rpm)
    return Cut(((tool, cut_s, travel_s),), figures, (), rule("spread_holes"))
