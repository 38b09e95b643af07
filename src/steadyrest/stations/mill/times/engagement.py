"""How much of a cutter may be in the metal: feed with the thin chip counted, depth of a pass by what binds first."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.mill.spindles import Place, milling, slot_load
from steadyrest.tables.practice import rule

WORTH_MM = 0.05  # a shallower pass is none
OPENING_LEAST = 0.25  # of the feed: slower than this a tooth rubs


@dataclass(frozen=True, slots=True)
class Engaged:
    """A cutter at work.

    step_mm: radial engagement. depth: of a pass, mm, with what binds. tooth_mm: feed per tooth.
    opening: share of the feed at which it opens a way at full width, where the metal is on both sides.
    """

    step_mm: float
    depth: Figure
    feed: Figure
    rpm: Figure
    tooth_mm: float
    opening: float = 1.0

    @property
    def feed_mm_min(self) -> float:
        return self.feed.value


def engaged(place: Place, tool: Tool, share: float) -> Engaged | Reason:
    """A cutter with a share of its diameter in the metal.

    Args:
        place: machine and metal.
        tool: the cutter.
        share: radial engagement over diameter; 0 < share <= 1.
    Returns: its feed and deepest pass; a Reason where it does not cut this metal here.
    """
    run = milling(place, tool)
    if isinstance(run, Reason):
        return run
    thin = min(thin_chip(share), rule("thin_feed_most"))
    most = place.limits.max_feed_mm_min
    feed = run.feed_mm_min
    if thin > 1.0 and feed.value < most:
        why = because("milling.feed_thin", share=share, times=thin)
        machine = because("mill.feed_machine", machine=place.machine.name)
        wanted = Figure(feed.value * thin, "mm/min", (why, *feed.why))
        feed = least((wanted, Figure(most, "mm/min", (machine,))))
    tooth = feed.value / (run.rpm.value * tool.teeth)
    depth = pass_depth(place, tool, share=share, tooth_mm=tooth, rpm=run.rpm.value)
    return Engaged(share * tool.diameter_mm, depth, feed, run.rpm, tooth)


def clearing(place: Place, tool: Tool) -> Engaged | Reason:
    """A cutter that clears a closed area: as deep as a full slot may be, at the load of the rings that follow.

    The ways that it opens are cut at full width, so much slower that they ask no more than the rings.

    Args:
        place: machine and metal.
        tool: the cutter.
    Returns: its feed and deepest pass; a Reason where it does not cut this metal here.
    """
    run = engaged(place, tool, rule("clear_step_share"))
    if isinstance(run, Reason):
        return run
    number, full = float(tool.number), 1.0
    usual = Figure(
        usual_depth(full) * tool.diameter_mm, "mm", (because("milling.depth_usual", share=full, tool=number),)
    )
    depth = least((usual, run.depth)) if usual.value < run.depth.value else run.depth
    slot = pass_depth(place, tool, share=full, tooth_mm=run.tooth_mm, rpm=run.rpm.value)
    return replace(run, depth=depth, opening=min(max(slot.value / depth.value, OPENING_LEAST), 1.0))


def thin_chip(share: float) -> float:
    """How many times the feed may grow until the thickest chip is as thick as in a full slot.

    Args:
        share: radial engagement over diameter; 0 < share <= 1.
    Returns: 1 from half the diameter on, else 1 / (2 sqrt(share (1 - share))).
    Source: chip thickness on the circle. Checked in tests/stations/mill/times/test_engagement.py.
    """
    return 1.0 if share >= 0.5 else 0.5 / math.sqrt(share * (1.0 - share))


def usual_depth(share: float) -> float:
    """Depth of a pass in diameters by practice, straight between a tenth, half and all of the cutter engaged.

    Args:
        share: radial engagement over diameter.
    Returns: diameters.
    """
    points = ((0.1, rule("side_tenth_depth")), (0.5, rule("side_half_depth")), (1.0, rule("slot_depth_of_diameter")))
    if share <= points[0][0]:
        return points[0][1]
    for (a, at_a), (b, at_b) in pairwise(points):
        if share <= b:
            return at_a + (at_b - at_a) * (share - a) / (b - a)
    return points[-1][1]


def pass_depth(place: Place, tool: Tool, *, share: float, tooth_mm: float, rpm: float) -> Figure:
    """The deepest pass: least of edge, practice, power, torque, machine's force, vise and bend of the tool.

    Args:
        place: machine and metal.
        tool: the cutter.
        share: radial engagement over diameter.
        tooth_mm: feed per tooth.
        rpm: of the spindle.
    Returns: mm, with what binds and what would bind next.
    """
    torque_nm, force_n = slot_load(place, tool, tooth_mm, share * tool.diameter_mm)
    limits, number = place.limits, float(tool.number)
    power_w = limits.power.power_w(rpm)
    grip_n = limits.vise_grip_n * rule("jaw_friction") * 2.0 / rule("holding_safety")
    bend_mm = rule("rough_bend_mm")
    flutes_mm = min(tool.max_depth_mm, tool.reach_mm)
    most_nm = limits.max_torque_nm
    powered_mm = power_w * 30.0 / (math.pi * rpm * torque_nm)
    figures = [
        Figure(flutes_mm, "mm", (because("milling.depth_flutes", tool=number),)),
        Figure(powered_mm, "mm", (because("mill.depth_power", power_w=power_w, at_rpm=rpm),)),
        Figure(most_nm / torque_nm, "mm", (because("mill.depth_torque", torque_nm=most_nm),)),
        Figure(limits.max_force_n / force_n, "mm", (because("mill.depth_force", force_n=limits.max_force_n),)),
        Figure(grip_n / force_n, "mm", (because("mill.depth_grip", grip_n=grip_n),)),
    ]
    if tool.kind != "face mill":  # a face mill's edge is short and its body stiff
        usual_mm = usual_depth(share) * tool.diameter_mm
        bent_mm = bend_mm / bend(tool, force_n)
        figures.append(Figure(usual_mm, "mm", (because("milling.depth_usual", share=share, tool=number),)))
        figures.append(Figure(bent_mm, "mm", (because("mill.depth_bend", bend_mm=bend_mm, length_mm=tool.reach_mm),)))
    return least(figures)


def bend(tool: Tool, force_n: float) -> float:
    """How far a fluted tool bends at its tip, mm.

    Args:
        tool: with stick-out and diameter.
        force_n: across it.
    Returns: mm.
    """
    e_mpa = rule("carbide_e_mpa") if tool.made_of == "carbide" else rule("hss_e_mpa")
    return edge.tool_bend_mm(
        force_n, length_mm=tool.reach_mm, diameter_mm=tool.diameter_mm, e_mpa=e_mpa, core=rule("core_share")
    )
