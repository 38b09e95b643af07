"""Keyways, slots and flats: passes of a slot drill or end mill, and the finishing cut along the walls."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.mill.lacking import Lack, easiest
from steadyrest.stations.mill.spindles import Place, Spindle, milling, slot_load
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Slot:
    """A straight slot. length_mm: overall, round ends included. limits_mm: width of the limits of its width.

    exact: its walls are a fit, so a finishing cut is made along them.
    """

    width_mm: float
    depth_mm: float
    length_mm: float
    limits_mm: float
    exact: bool


@dataclass(frozen=True, slots=True)
class Milled:
    """A slot's cutting: which tool, how long, how many passes, what bounded it; or why not.

    lacks: of a refusal that tools would undo, all of them; empty where no tool does.
    """

    tool: Tool | None
    cut_s: float
    passes: int
    figures: tuple[Figure, ...]
    refused: tuple[Reason, ...] = ()
    lacks: tuple[Lack, ...] = ()


def slot(place: Place, shape: Slot) -> Milled:
    """The soonest way to mill a slot with the tools there are.

    Args:
        place: machine and metal.
        shape: what is milled.
    Returns: the way, or every tool's reason against it.
    """
    cutters = [tool for tool in place.machine.tools if tool.kind in ("slot drill", "end mill")]
    if not cutters:
        why = because("mill.no_tool", machine=place.machine.name, kind="slot drill")
        return Milled(None, 0.0, 0, (), (why,), (_wanted(shape),))
    tries = [_with_tool(place, shape, tool) for tool in cutters]
    good = [milled for milled in tries if not milled.refused]
    if good:
        return min(good, key=lambda milled: (milled.cut_s, milled.tool.number if milled.tool else 0))
    lacks = easiest(milled.lacks for milled in tries)
    return Milled(None, 0.0, 0, (), tuple(reason for milled in tries for reason in milled.refused), lacks)


def _wanted(shape: Slot) -> Lack:
    """The cutter that the slot asks for: as wide as goes in, as long as it is deep."""
    return Lack("slot drill", _room_mm(shape), 0.0, shape.depth_mm)


def _room_mm(shape: Slot) -> float:
    return shape.width_mm - (2.0 * rule("slot_finish_mm") if shape.exact else -0.02)


def _with_tool(place: Place, shape: Slot, tool: Tool) -> Milled:
    number = float(tool.number)
    room_mm = _room_mm(shape)
    refused: list[Reason] = []
    if tool.diameter_mm > room_mm:
        refused.append(because("mill.tool_wide", tool=number, diameter_mm=tool.diameter_mm, room_mm=room_mm))
    if shape.depth_mm > min(tool.max_depth_mm, tool.length_mm):
        allowed = min(tool.max_depth_mm, tool.length_mm)
        refused.append(because("mill.tool_short", tool=number, depth_mm=shape.depth_mm, allowed_mm=allowed))
    spindle = milling(place, tool)
    if isinstance(spindle, Reason):
        refused.append(spindle)
    if refused or isinstance(spindle, Reason):
        lacks = () if isinstance(spindle, Reason) else (_wanted(shape),)
        return Milled(tool, 0.0, 0, (), tuple(refused), lacks)
    depth = slot_depth(place, tool, spindle)
    if depth.value < 0.05:
        return Milled(tool, 0.0, 0, (), (because("mill.no_depth", tool=number, depth_mm=depth.value), *depth.why))
    layers = math.ceil(shape.depth_mm / depth.value - 1e-9)
    free_mm = max(shape.width_mm - tool.diameter_mm, 0.0)
    rows = 1 + math.ceil(free_mm / (0.7 * tool.diameter_mm) - 1e-9) if free_mm > 0.02 and not shape.exact else 1
    path_mm = max(shape.length_mm - tool.diameter_mm, 0.0) * rows + tool.diameter_mm
    cut_s = layers * path_mm / spindle.feed_mm_min.value * 60.0
    passes = layers * rows
    figures = [depth, spindle.feed_mm_min, spindle.rpm]
    if shape.exact:
        walls = _walls(place, shape, tool, spindle)
        if isinstance(walls, Reason):
            return Milled(tool, 0.0, 0, (), (walls,))
        cut_s += walls.value
        passes += 1
        figures.append(walls)
    return Milled(tool, cut_s, passes, tuple(figures))


def slot_depth(place: Place, tool: Tool, spindle: Spindle) -> Figure:
    """The deepest pass at full width: the least of practice, power, torque, force, grip of the vise, bend of the tool.

    Args:
        place: machine and metal.
        tool: the cutter.
        spindle: how it runs.
    Returns: mm, with what binds and what would bind next.
    """
    torque_nm, force_n = slot_load(place, tool, spindle.tooth_mm, tool.diameter_mm)
    limits, rpm, number = place.limits, spindle.rpm.value, float(tool.number)
    power_w = limits.power.power_w(rpm)
    grip_n = limits.vise_grip_n * rule("jaw_friction") * 2.0 / rule("holding_safety")
    bend_mm = rule("rough_bend_mm")
    bends = _bend_mm(tool, force_n)
    usual_mm = rule("slot_depth_of_diameter") * tool.diameter_mm
    powered_mm = power_w * 30.0 / (math.pi * rpm * torque_nm)
    most_nm = limits.max_torque_nm
    return least(
        (
            Figure(usual_mm, "mm", (because("mill.depth_tool", tool=number),)),
            Figure(powered_mm, "mm", (because("mill.depth_power", power_w=power_w, at_rpm=rpm),)),
            Figure(most_nm / torque_nm, "mm", (because("mill.depth_torque", torque_nm=most_nm),)),
            Figure(limits.max_force_n / force_n, "mm", (because("mill.depth_force", force_n=limits.max_force_n),)),
            Figure(grip_n / force_n, "mm", (because("mill.depth_grip", grip_n=grip_n),)),
            Figure(bend_mm / bends, "mm", (because("mill.depth_bend", bend_mm=bend_mm, length_mm=tool.length_mm),)),
        )
    )  # fmt: skip


def _walls(place: Place, shape: Slot, tool: Tool, spindle: Spindle) -> Figure | Reason:
    """The finishing cut round both walls at full depth, slower where the tool would bend out of the limits."""
    allowed_mm = rule("finish_bend_share") * shape.limits_mm
    bends_mm = 0.0
    for share in (1.0, 0.7, 0.5, 0.35, 0.25):
        tooth_mm = spindle.tooth_mm * share
        _, force_n = slot_load(place, tool, tooth_mm, rule("slot_finish_mm"))
        bends_mm = _bend_mm(tool, force_n * shape.depth_mm)
        if bends_mm <= allowed_mm:
            round_mm = 2.0 * shape.length_mm + math.pi * shape.width_mm
            why = because("mill.walls", bends_mm=bends_mm, allowed_mm=allowed_mm, tool=float(tool.number))
            return Figure(round_mm / (spindle.feed_mm_min.value * share) * 60.0, "s", (why,))
    return because("mill.tool_bends", tool=float(tool.number), bends_mm=bends_mm, allowed_mm=allowed_mm)


def _bend_mm(tool: Tool, force_n: float) -> float:
    e_mpa = rule("carbide_e_mpa") if tool.made_of == "carbide" else rule("hss_e_mpa")
    return edge.tool_bend_mm(
        force_n, length_mm=tool.length_mm, diameter_mm=tool.diameter_mm, e_mpa=e_mpa, core=rule("core_share")
    )


def flat(place: Place, *, width_mm: float, depth_mm: float, length_mm: float, limits_mm: float) -> Milled:
    """A flat: the same passes, open to both sides, so any cutter goes over it in rows.

    Args:
        place: machine and metal.
        width_mm, depth_mm, length_mm: of what is taken off.
        limits_mm: width of its limits.
    Returns: the way, or every tool's reason against it.
    """
    cutters = [tool for tool in place.machine.tools if tool.kind in ("end mill", "slot drill", "face mill")]
    if not cutters:
        why = because("mill.no_tool", machine=place.machine.name, kind="end mill")
        return Milled(None, 0.0, 0, (), (why,), (Lack("end mill", 0.0, 0.0, depth_mm),))
    widest = max(tool.diameter_mm for tool in cutters)
    shape = Slot(max(width_mm, widest), depth_mm, length_mm + widest, limits_mm, exact=False)
    found = slot(place, shape)
    return replace(found, figures=found.figures)
