"""Facing: rows to and fro over a whole face, the last pass thin."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times.cut import NOTHING, Cut, no_cut, soonest
from steadyrest.stations.mill.times.engagement import WORTH_MM, engaged
from steadyrest.stations.mill.times.motion import drive_of
from steadyrest.stations.mill.times.rows import rows_over
from steadyrest.tables.practice import rule

FACING = ("face mill", "end mill", "slot drill")


def face(place: Place, *, length_mm: float, width_mm: float, depth_mm: float) -> Cut:
    """The soonest way of facing so much off a rectangle, with the tools there are.

    Args:
        place: machine and metal.
        length_mm, width_mm: of the face.
        depth_mm: what comes off.
    Returns: the cut, or every tool's reason against it.
    """
    if depth_mm <= 0 or length_mm <= 0 or width_mm <= 0:
        return NOTHING
    tools = [tool for tool in place.machine.tools if tool.kind in FACING]
    if not tools:
        return no_cut(because("mill.no_tool", machine=place.machine.name, kind="face mill"), lacks=(Lack("face mill"),))
    long, wide = max(length_mm, width_mm), min(length_mm, width_mm)
    return soonest(_with(place, tool, long, wide, depth_mm) for tool in tools)


def _with(place: Place, tool: Tool, length_mm: float, width_mm: float, depth_mm: float) -> Cut:
    # A face no wider than the cutter is cut in one row; else the rows share it evenly.
    step_mm = rule("face_step_share") * tool.diameter_mm
    rows = rows_over(
        length_mm, width_mm, diameter_mm=tool.diameter_mm, step_mm=step_mm, over_mm=rule("approach_mm"), walled=False
    )
    share = min(width_mm, step_mm) / tool.diameter_mm if rows.count == 1 else rows.step_mm / tool.diameter_mm
    run = engaged(place, tool, min(max(share, 0.05), 1.0))
    if isinstance(run, Reason):
        return no_cut(run)
    if run.depth.value < WORTH_MM:
        why = because("mill.no_depth", tool=float(tool.number), depth_mm=run.depth.value)
        return no_cut(why, *run.depth.why)
    last_mm = min(rule("face_finish_mm"), depth_mm)
    passes = 1 + math.ceil(max(depth_mm - last_mm, 0.0) / run.depth.value - 1e-9)
    drive = drive_of(place.limits)
    cut_s = passes * rows.time_s(drive, run.feed_mm_min)
    lift_mm = depth_mm + rule("approach_mm")
    travel_s = passes * (2.0 * drive.upward_s(lift_mm) + drive.across_s(length_mm))
    count = Figure(
        float(passes * rows.count), "", (because("milling.rows", rows=float(rows.count), step_mm=rows.step_mm),)
    )
    return Cut(((tool, cut_s, travel_s),), (run.depth, count, run.feed, run.rpm), (), rule("spread_rows"))
