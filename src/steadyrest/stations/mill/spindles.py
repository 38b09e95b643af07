"""Speed and feed of a milling tool, each as the least of what metal, tool and machine allow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Machine, Material, MillLimits, Tool
from steadyrest.stations import edge
from steadyrest.tables import cutting


@dataclass(frozen=True, slots=True)
class Spindle:
    """A tool as it runs. tooth_mm: feed per tooth. feed_mm_min: of the table."""

    rpm: Figure
    tooth_mm: float
    feed_mm_min: Figure


@dataclass(frozen=True, slots=True)
class Place:
    """Where it is milled: machine, its limits, the metal."""

    machine: Machine
    limits: MillLimits
    material: Material


def speed(place: Place, tool: Tool, work: cutting.Work) -> Figure | Reason:
    """Spindle speed of a tool: the least of metal, machine and holder; never below the machine's slowest.

    Args:
        place: machine and metal.
        tool: with its diameter.
        work: "mill" or "drill".
    Returns: rpm with reasons; a Reason where the tool does not cut the metal, or the slowest speed is too fast.
    """
    made_of = "carbide" if tool.made_of == "carbide" else "hss"
    band = cutting.cutting_speed(place.material.group, work=work, tool=made_of)
    if band is None:
        return because("mill.no_speed", tool=float(tool.number), material=place.material.id)
    wanted = edge.spindle_rpm(band.middle, tool.diameter_mm)
    found = least(
        (
            Figure(wanted, "rpm", (because("mill.rpm_metal", band.source, speed_m_min=band.middle),)),
            Figure(place.limits.max_rpm, "rpm", (because("mill.rpm_machine", machine=place.machine.name),)),
            Figure(tool.holder_max_rpm, "rpm", (because("mill.rpm_holder", tool=float(tool.number)),)),
        )
    )
    if found.value >= place.limits.min_rpm:
        return found
    slowest = edge.cutting_speed(place.limits.min_rpm, tool.diameter_mm)
    if slowest > band.high:
        return because("mill.too_fast", tool=float(tool.number), speed_m_min=slowest, allowed_m_min=band.high)
    why = because("mill.rpm_slowest", machine=place.machine.name, speed_m_min=slowest)
    return Figure(place.limits.min_rpm, "rpm", (why, *found.why))


def milling(place: Place, tool: Tool) -> Spindle | Reason:
    """Speed and feed of a slot drill or end mill.

    Args:
        place: machine and metal.
        tool: the cutter.
    Returns: how it runs, or why it does not.
    """
    rpm = speed(place, tool, "mill")
    if isinstance(rpm, Reason):
        return rpm
    band = cutting.milling_feed(place.material.group, tool.diameter_mm)
    wanted = rpm.value * tool.teeth * band.middle
    feed = least(
        (
            Figure(wanted, "mm/min", (because("mill.feed_tooth", band.source, tooth_mm=band.middle),)),
            Figure(place.limits.max_feed_mm_min, "mm/min", (because("mill.feed_machine", machine=place.machine.name),)),
        )
    )  # fmt: skip
    return Spindle(rpm, feed.value / (rpm.value * tool.teeth), feed)


def slot_load(place: Place, tool: Tool, tooth_mm: float, width_mm: float) -> tuple[float, float]:
    """What a millimetre of depth asks of the spindle and of the tool, at this feed and radial engagement.

    Args:
        place: its metal.
        tool: the cutter.
        tooth_mm: feed per tooth.
        width_mm: radial engagement, at most the cutter's diameter.
    Returns: (Nm at the spindle, N across the tool), each per mm of depth.
    """
    width_mm = min(width_mm, tool.diameter_mm)
    chip_mm = edge.mean_chip_mm(tooth_mm, diameter_mm=tool.diameter_mm, width_mm=width_mm)
    one_n = edge.cutting_force(place.material.kc11_mpa, place.material.mc, chip_mm=chip_mm, width_mm=1.0)
    arc = math.acos(1.0 - 2.0 * width_mm / tool.diameter_mm)
    in_cut = tool.teeth * arc / (2.0 * math.pi)
    return one_n * in_cut * tool.diameter_mm / 2000.0, one_n * max(in_cut, 1.0)
