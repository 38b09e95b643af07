"""Finishing: along walls as slow as the tool's bend asks, over floors in rows, over slopes by the ridges left."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.spindles import Place, milling, slot_load
from steadyrest.stations.mill.taking import Layer, Take
from steadyrest.stations.mill.times.cut import NOTHING, Cut, no_cut
from steadyrest.stations.mill.times.engagement import bend
from steadyrest.stations.mill.times.motion import Drive, drive_of
from steadyrest.stations.mill.times.rows import rectangle, rows_over
from steadyrest.tables.practice import rule

SLOWER = (1.0, 0.7, 0.5, 0.35, 0.25)  # of the usual feed, tried where the tool bends too far


def finish_walls(place: Place, take: Take, *, limits_mm: float) -> Cut:
    """The last cut along the walls of a take.

    Args:
        place: machine and metal.
        take: its layers' walls, by its tool.
        limits_mm: width of the tightest limits among them; the tool bends at most a share of it.
    Returns: the cut; refused where the tool bends too far at any feed and depth.
    """
    tool = take.tool
    walls = [layer for layer in take.layers if layer.wall_mm > 0 and layer.depth_mm > 0]
    if not walls:
        return NOTHING
    run = milling(place, tool)
    if isinstance(run, Reason):
        return no_cut(run)
    deepest = max(layer.depth_mm for layer in walls)
    most_mm = min(tool.max_depth_mm, tool.reach_mm, rule("wall_depth_share") * tool.diameter_mm)
    height_mm = deepest / math.ceil(deepest / most_mm - 1e-9)
    held = _held(place, tool, run.tooth_mm, height_mm, limits_mm)
    if isinstance(held, Reason):
        return no_cut(held)
    share, bound = held
    feed = run.feed_mm_min.value * share
    drive = drive_of(place.limits)
    cut_s = travel_s = 0.0
    for layer in walls:
        passes = math.ceil(layer.depth_mm / most_mm - 1e-9)
        one_s, way_s = wall_s(drive, layer, tool.diameter_mm, feed)
        cut_s += passes * one_s
        travel_s += passes * way_s
    figures = (bound, run.feed_mm_min, run.rpm)
    return Cut(((tool, cut_s, travel_s),), figures, (), rule("spread_rows"))


def wall_s(drive: Drive, layer: Layer, diameter_mm: float, feed_mm_min: float) -> tuple[float, float]:
    """Once along a layer's wall: to it and off it on a quarter arc, round its corners.

    Args:
        drive: what the axes do.
        layer: with its wall.
        diameter_mm: of the tool.
        feed_mm_min: along the wall.
    Returns: (cutting s, getting there s).
    """
    loops = max(layer.regions, 1) + layer.islands
    corners = layer.corners or 4 * max(layer.regions, 1)
    outer = max(corners - 4 * (max(layer.regions, 1) - layer.islands), 0) if layer.outer is None else layer.outer
    # The tool's centre goes a shorter way inside a wall, a longer one outside: once round, pi times the diameter.
    whole = max(layer.regions, 1) - layer.islands if layer.open_share < 0.01 else 0
    length = max(layer.wall_mm - math.pi * diameter_mm * whole, 0.2 * layer.wall_mm)
    walled = 1.0 - layer.open_share
    pieces = max((corners + 2 * outer) * walled, float(loops))
    arc_mm = math.pi / 2.0 * rule("entry_arc_share") * diameter_mm
    arcs_s = 2.0 * drive.piece_s(arc_mm, feed_mm_min, drive.corner_speed())
    lift_mm = layer.top_mm + layer.depth_mm + rule("approach_mm")
    across_mm = math.sqrt(layer.area_mm2 / loops) if layer.area_mm2 > 0 else layer.wall_mm / 4.0
    way_s = loops * (2.0 * drive.upward_s(lift_mm) + drive.across_s(across_mm))
    return drive.path_s(length, pieces, feed_mm_min) + loops * arcs_s, way_s


def _held(
    place: Place, tool: Tool, tooth_mm: float, height_mm: float, limits_mm: float
) -> tuple[float, Figure] | Reason:
    """How much slower the feed must be so that the tool stays within the limits."""
    allowed_mm = rule("finish_bend_share") * limits_mm
    bends_mm = 0.0
    for share in SLOWER:
        _, force_n = slot_load(place, tool, tooth_mm * share, rule("slot_finish_mm"))
        bends_mm = bend(tool, force_n * height_mm)
        if bends_mm <= allowed_mm:
            why = because("mill.walls", bends_mm=bends_mm, allowed_mm=allowed_mm, tool=float(tool.number))
            return share, Figure(bends_mm, "mm", (why,))
    return because("mill.tool_bends", tool=float(tool.number), bends_mm=bends_mm, allowed_mm=allowed_mm)


def finish_floors(place: Place, take: Take, *, limits_mm: float) -> Cut:
    """The last cut over the flat floors of a take, in rows.

    Args:
        place: machine and metal.
        take: its floor, by its tool.
        limits_mm: width of the tightest limits of their heights.
    Returns: the cut; refused where the machine does not repeat a height so well.
    """
    tool = take.tool
    if take.floor_mm2 <= 0:
        return NOTHING
    if limits_mm < rule("refuse_ratio") * place.limits.repeat_mm:
        why = because(
            "milling.floor_fine", machine=place.machine.name, limits_mm=limits_mm, repeat_mm=place.limits.repeat_mm
        )
        return no_cut(why)
    run = milling(place, tool)
    if isinstance(run, Reason):
        return no_cut(run)
    drive = drive_of(place.limits)
    areas = max((layer.regions for layer in take.layers), default=1)
    length, width = rectangle(take.floor_mm2 / areas, _floor_around_mm(take) / areas)
    step_mm = rule("face_step_share") * tool.diameter_mm
    rows = rows_over(
        max(length - tool.diameter_mm, 0.0), width, diameter_mm=tool.diameter_mm, step_mm=step_mm, over_mm=0.0,
        walled=True,
    )  # fmt: skip
    deep_mm = max((layer.top_mm + layer.depth_mm for layer in take.layers), default=0.0) + rule("approach_mm")
    cut_s = areas * rows.time_s(drive, run.feed_mm_min.value)
    travel_s = areas * (2.0 * drive.upward_s(deep_mm) + drive.across_s(length))
    rowed = Figure(float(rows.count), "", (because("milling.rows", rows=float(rows.count), step_mm=rows.step_mm),))
    return Cut(((tool, cut_s, travel_s),), (rowed, run.feed_mm_min, run.rpm), (), rule("spread_rows"))


def _floor_around_mm(take: Take) -> float:
    """Boundary of the layer whose area is nearest to the floor's."""
    nearest = min(take.layers, key=lambda layer: abs(layer.area_mm2 - take.floor_mm2), default=None)
    if nearest is None:
        return 0.0
    if nearest.around_mm > 0:
        return nearest.around_mm
    return nearest.wall_mm / (1.0 - nearest.open_share) if nearest.open_share < 0.99 else 0.0


def finish_sloped(place: Place, *, tool: Tool, area_mm2: float, height_mm: float, ra_um: float) -> Cut:
    """The last cuts over sloped and free surfaces: rows so close that the ridges between them are low enough.

    Args:
        place: machine and metal.
        tool: a round-ended one (its edge is its nose); a flat one leaves steps and is refused.
        area_mm2: of the surface.
        height_mm: from its lowest to its highest point; rows run along it, level.
        ra_um: mean roughness wanted.
    Returns: the cut, or why not.
    """
    if area_mm2 <= 0:
        return NOTHING
    nose_mm = tool.diameter_mm / 2.0 if tool.kind == "ball mill" else tool.edge_mm
    if nose_mm <= 0:
        return no_cut(because("milling.flat_ended", tool=float(tool.number)))
    run = milling(place, tool)
    if isinstance(run, Reason):
        return no_cut(run)
    ridge_mm = min(rule("scallop_of_ra") * ra_um / 1000.0, nose_mm)
    step_mm = scallop_step_mm(nose_mm, ridge_mm)
    drive = drive_of(place.limits)
    # Rows run round or across at even heights; what they are long follows from area and rise, a square at least.
    rise_mm = max(height_mm, step_mm)
    across_mm = min(max(area_mm2 / rise_mm, step_mm), area_mm2 / step_mm)
    rows = max(math.ceil(area_mm2 / across_mm / step_mm - 1e-9), 1)
    apart_mm = area_mm2 / across_mm / rows  # spread evenly
    feed = least((run.feed_mm_min, Figure(place.limits.max_feed_mm_min, "mm/min", run.feed_mm_min.why)))
    ends = drive.corner_speed()
    cut_s = rows * (drive.piece_s(across_mm, feed.value, ends) + drive.piece_s(apart_mm, feed.value, ends))
    travel_s = 2.0 * drive.upward_s(height_mm + rule("approach_mm"))
    stepped = Figure(step_mm, "mm", (because("milling.ridge", step_mm=step_mm, ridge_um=1000.0 * ridge_mm, ra=ra_um),))
    return Cut(((tool, cut_s, travel_s),), (stepped, feed, run.rpm), (), rule("spread_rows"))


def scallop_step_mm(nose_mm: float, ridge_mm: float) -> float:
    """How far apart rows of a round nose may lie: 2 sqrt(2 R h - h2).

    Args:
        nose_mm: radius R; > 0.
        ridge_mm: height h of the ridges between; 0 < h <= R.
    Returns: mm.
    Source: geometry of the circle. Checked in tests/checks/test_milling.py.
    """
    return 2.0 * math.sqrt(2.0 * nose_mm * ridge_mm - ridge_mm * ridge_mm)
