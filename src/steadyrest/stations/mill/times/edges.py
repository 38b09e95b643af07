"""Chamfers along edges, and touching with a probe."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.spindles import Place, milling
from steadyrest.stations.mill.times.cut import NOTHING, Cut, no_cut, soonest
from steadyrest.stations.mill.times.motion import drive_of
from steadyrest.tables.practice import rule

PIECE_MM = 40.0  # of an edge between two corners, where nobody counted them


def chamfer(place: Place, *, edge_mm: float, width_mm: float, edges: int = 1) -> Cut:
    """Chamfers along edges that the spindle looks at.

    Args:
        place: machine and metal.
        edge_mm: their length in all.
        width_mm: of the chamfer.
        edges: separate edges, each an entry of its own.
    Returns: the cut, or why not.
    """
    if edge_mm <= 0 or width_mm <= 0:
        return NOTHING
    tools = [tool for tool in place.machine.tools if tool.kind == "chamfer mill"]
    if not tools:
        why = because("mill.no_tool", machine=place.machine.name, kind="chamfer mill")
        return no_cut(why, lacks=(Lack("chamfer mill"),))
    return soonest(_chamfer(place, tool, edge_mm, width_mm, edges) for tool in tools)


def _chamfer(place: Place, tool: Tool, edge_mm: float, width_mm: float, edges: int) -> Cut:
    number = float(tool.number)
    if width_mm > tool.max_depth_mm:
        return no_cut(because("milling.chamfer_wide", tool=number, width_mm=width_mm, allowed_mm=tool.max_depth_mm))
    run = milling(place, tool)
    if isinstance(run, Reason):
        return no_cut(run)
    feed = min(run.feed_mm_min.value * rule("chamfer_feed_factor"), place.limits.max_feed_mm_min)
    drive = drive_of(place.limits)
    pieces = max(edge_mm / PIECE_MM, float(edges))
    clear_mm = rule("approach_mm")
    cut_s = drive.path_s(edge_mm, pieces, feed) + edges * 2.0 * drive.piece_s(clear_mm, feed, drive.corner_speed())
    travel_s = edges * (2.0 * drive.upward_s(width_mm + clear_mm) + drive.across_s(math.sqrt(edge_mm * PIECE_MM)))
    told = because("milling.chamfer", tool=number, edge_mm=edge_mm, feed_mm_min=feed)
    return Cut(((tool, cut_s, travel_s),), (Figure(feed, "mm/min", (told,)), run.rpm), (), rule("spread_rows"))


def probe(place: Place, *, points: int) -> Cut:
    """Touching the work with a probe in the spindle: to each point, a quick touch, back, a slow one, away.

    Args:
        place: the machine.
        points: how many.
    Returns: the cut (a probe cuts nothing: all of it is getting there), or that there is no probe.
    """
    if points <= 0:
        return NOTHING
    probes = [tool for tool in place.machine.tools if tool.kind == "probe"]
    if not probes:
        why = because("mill.no_tool", machine=place.machine.name, kind="probe")
        return no_cut(why, lacks=(Lack("probe"),))
    drive = drive_of(place.limits)
    slow, search_mm, clear_mm = rule("probe_feed_mm_min"), rule("probe_search_mm"), rule("mill_clear_mm")
    touch_s = drive.piece_s(search_mm, 10.0 * slow) + 2.0 * drive.piece_s(search_mm / 5.0, slow)
    one_s = touch_s + drive.across_s(clear_mm) + 2.0 * drive.upward_s(clear_mm) + drive.across_s(search_mm)
    told = because("milling.probe", points=float(points), each_s=one_s)
    return Cut(((probes[0], 0.0, points * one_s),), (Figure(points * one_s, "s", (told,)),), (), rule("spread_rows"))
