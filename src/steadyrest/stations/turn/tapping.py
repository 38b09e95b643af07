"""Tapping on the axis: torque against spindle and jaws, depth against the hole, speed against the slide."""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.turn import passes as cuts
from steadyrest.stations.turn.holding import grip_at
from steadyrest.stations.turn.passes import Cut, Setting
from steadyrest.stations.turn.threading import Threaded, speed
from steadyrest.stations.turn.threads import Thread
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule

ALIKE_MM = 0.01


def fits(tool: Tool, thread: Thread) -> bool:
    """Whether a tap or die is the one for a thread."""
    return abs(tool.diameter_mm - thread.diameter_mm) <= ALIKE_MM and abs(tool.pitch_mm - thread.pitch_mm) <= ALIKE_MM


def torque_nm(setting: Setting, thread: Thread) -> float:
    """Torque of a tap or die near its end, Nm: what the machine, the jaws or the hand must carry."""
    metal = setting.material
    specific = float(edge.specific_force(metal.kc11_mpa, metal.mc, rule("tap_chip_mm")))
    return rule("tap_worn") * edge.tapping_torque_nm(
        specific, diameter_mm=thread.diameter_mm, pitch_mm=thread.pitch_mm
    )  # fmt: skip


def tapped(setting: Setting, tool: Tool, thread: Thread) -> Threaded:
    """An inside thread cut with a tap.

    Args:
        setting: where it cuts.
        tool: the tap of this thread.
        thread: what is to be cut.
    Returns: the way; refused with every limit that is missed.
    """
    at, limits, number = setting.with_tool(tool), setting.limits, float(tool.number)
    lead_mm = rule("tap_lead_turns") * thread.pitch_mm
    refused: list[Reason] = []
    if thread.left or thread.starts > 1:
        refused.append(because("thread.tap_plain", tool=number, feature=thread.feature))
    if thread.reach_mm > tool.max_depth_mm:
        refused.append(because("thread.tap_short", tool=number, depth_mm=thread.reach_mm, allowed_mm=tool.max_depth_mm))
    if thread.after_mm < lead_mm:
        refused.append(because("thread.tap_blind", tool=number, room_mm=thread.after_mm, need_mm=lead_mm))
    if not limits.controlled and not limits.tailstock:
        refused.append(because("turn.no_tailstock", machine=setting.machine.name))
    behind_mm = thread.after_mm - lead_mm
    rpm = _speed(at, replace(thread, after_mm=behind_mm if behind_mm > 0 else math.inf))
    if isinstance(rpm, tuple):
        return Threaded(None, cuts.no_cut(*refused, *rpm), 0.0)
    refused.extend(_torque(setting, thread, tool, rpm.value))
    if refused:
        return Threaded(None, cuts.no_cut(*refused), 0.0)
    asks = torque_nm(setting, thread)
    way_mm = rule("approach_mm") + thread.reach_mm + min(lead_mm, thread.after_mm)
    one_s = edge.move_time_s(way_mm, rpm.value * thread.pitch_mm, limits.accel_mm_s2)
    used = Figure(asks, "Nm", (because("thread.tap_torque", tool=number, torque_nm=asks, worn=rule("tap_worn")),))
    cut = Cut(1, 2.0 * one_s + 2.0 * rule("tap_reverse_s"), rpm.value, thread.pitch_mm, (used, rpm))
    cautions = [because("caution.thread_fingers"), because("caution.tap")]
    return Threaded(tool, cut, 0.0, tuple(cautions))


def _speed(at: Setting, thread: Thread) -> Figure | tuple[Reason, ...]:
    """Spindle speed of tapping: the tap's own, and never more than threading allows at this pitch and room."""
    metal = at.material
    band = cutting.cutting_speed(metal.group, work="drill", tool="hss")
    if band is None:
        return (because("thread.tap_metal", tool=float(at.tool.number), material=metal.id),)
    share = rule("tap_speed_share") * band.middle / at.speed_m_min
    plain = cuts.spindle(at, thread.diameter_mm, share)
    room = speed(at, thread)
    if isinstance(plain, Reason) or isinstance(room, tuple):
        return (*((plain,) if isinstance(plain, Reason) else ()), *(room if isinstance(room, tuple) else ()))
    return least((plain, room))


def _torque(setting: Setting, thread: Thread, tool: Tool, rpm: float) -> tuple[Reason, ...]:
    limits, number = setting.limits, float(tool.number)
    asks = torque_nm(setting, thread)
    grip_nm = grip_at(setting.hold, limits, rpm).value * setting.clamping.grip_mm / 2000.0
    has_w, asks_w = limits.power.power_w(rpm), asks * rpm * math.pi / 30.0
    found: list[Reason] = []
    if asks > limits.max_torque_nm:
        found.append(because("thread.tap_spindle", tool=number, torque_nm=asks, allowed_nm=limits.max_torque_nm))
    if asks > grip_nm:
        found.append(because("thread.tap_grip", tool=number, torque_nm=asks, allowed_nm=grip_nm))
    if asks_w > has_w:
        found.append(because("thread.tap_power", tool=number, power_w=asks_w, allowed_w=has_w))
    return tuple(found)
