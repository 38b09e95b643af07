"""Grooves and recesses sunk into a face: plunged along the axis with a tool whose shank is bent to the ring.

Such a tool goes in only between a smallest and a largest diameter: its shank would rub on the outer wall of a smaller
ring. Once the first plunge stands open it may be widened to either side.
"""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Feature, Profile, Recess
from steadyrest.stations import edge
from steadyrest.stations.answer import Ask, refusal
from steadyrest.stations.turn.booking import Side, SidePlan, count, make, too_fine
from steadyrest.stations.turn.holding import grip_at
from steadyrest.stations.turn.passes import Cut, Setting, no_cut, spindle
from steadyrest.tables.practice import rule


def recess_of(profile: Profile, feature: Feature) -> Recess | None:
    """The recess that a feature stands for, where it is sunk into a face."""
    return next((one for one in profile.recesses if one.feature == feature.id), None)


def book_face_groove(ask: Ask, side: Side, done: SidePlan, feature: Feature, recess: Recess) -> None:
    """Cut a ring into a face, or refuse it.

    Args:
        ask: what is asked.
        side: the clamping. done: its book.
        feature: the groove. recess: its ring.
    """
    if recess.opens_high != side.ends.end_high:
        why = because("turn.face_groove_hidden", feature=feature.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    if too_fine(ask, side, done, feature):
        return
    deep_mm, width_mm = recess.to_mm - recess.from_mm, (recess.outer_mm - recess.inner_mm) / 2.0
    if recess.inner_mm <= 1e-6 or _opens_to_bore(ask, recess):
        _bored_recess(ask, side, done, feature, recess)
        return
    tools = [tool for tool in side.setting.machine.tools if tool.kind == "grooving" and tool.face_from_mm > 0]
    nearest = because("turn.face_groove_tool", width_mm=width_mm, depth_mm=deep_mm, outer_mm=recess.outer_mm)
    if not tools:
        why = because("turn.no_face_tool", machine=side.setting.machine.name, outer_mm=recess.outer_mm)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,), nearest))
        return
    tried = [(tool, plunged(side.setting.with_tool(tool), recess, width_mm, deep_mm)) for tool in tools]
    good = [(tool, cut) for tool, cut in tried if not cut.refused]
    if not good:
        reasons = tuple(dict.fromkeys(reason for _, cut in tried for reason in cut.refused))
        done.undone.append(refusal(ask, "turn", (feature.id,), reasons, nearest))
        return
    tool, cut = min(good, key=lambda one: one[1].cut_s)
    _booked(side, done, feature, tool, cut, deep_mm)


def plunged(setting: Setting, recess: Recess, width_mm: float, deep_mm: float) -> Cut:
    """Plunges side by side into a face.

    Args:
        setting: where it cuts; its tool is the face grooving tool.
        recess: the ring. width_mm, deep_mm: of it.
    Returns: the cut; refused with every limit.
    """
    tool, limits, metal, number = setting.tool, setting.limits, setting.material, float(setting.tool.number)
    refused: list[Reason] = []
    if deep_mm > tool.max_depth_mm:
        refused.append(because("turn.groove_deep", tool=number, depth_mm=deep_mm, allowed_mm=tool.max_depth_mm))
    if width_mm < tool.width_mm - 0.01:
        refused.append(because("turn.groove_narrow", tool=number, width_mm=width_mm, allowed_mm=tool.width_mm))
    if recess.outer_mm < tool.face_from_mm:
        refused.append(
            because("turn.face_groove_small", tool=number, has_mm=recess.outer_mm, allowed_mm=tool.face_from_mm)
        )
    rpm = spindle(setting, recess.outer_mm, rule("plunge_speed_share"))
    if isinstance(rpm, Reason):
        refused.append(rpm)
    if refused or isinstance(rpm, Reason):
        return no_cut(*refused)
    feed = Figure(rule("groove_feed_mm_rev"), "mm/rev", (because("turn.feed_groove"),))
    force = edge.cutting_force(metal.kc11_mpa, metal.mc, chip_mm=feed.value, width_mm=tool.width_mm)
    held_n = grip_at(setting.hold, limits, rpm.value).value * setting.clamping.grip_mm / recess.outer_mm
    if force > min(held_n, 2000.0 * limits.max_torque_nm / recess.outer_mm):
        return no_cut(because("turn.groove_force", force_n=force, grip_n=held_n))
    plunges = 1 + math.ceil(max(width_mm - tool.width_mm, 0.0) / (0.8 * tool.width_mm) - 1e-9)
    cut_s = plunges * (deep_mm + rule("retract_mm")) / (rpm.value * feed.value) * 60.0
    return Cut(plunges, cut_s, rpm.value, feed.value, (feed, rpm))


def _opens_to_bore(ask: Ask, recess: Recess) -> bool:
    """Whether the ring's inner side is open to a bore: then a boring bar reaches it."""
    profile = ask.part.profile
    return profile is not None and any(
        abs(s.largest_mm - recess.inner_mm) <= 0.1 and s.from_mm <= recess.to_mm and s.to_mm >= recess.from_mm
        for s in profile.inside
    )


def _bored_recess(ask: Ask, side: Side, done: SidePlan, feature: Feature, recess: Recess) -> None:
    """A recess open to the middle, or to a bore: faced out in layers with a boring bar, from the middle outwards."""
    deep_mm, setting = recess.to_mm - recess.from_mm, side.setting
    bars = [
        tool for tool in setting.machine.tools
        if tool.kind == "boring" and tool.length_mm >= deep_mm and tool.diameter_mm + 1.0 <= recess.outer_mm
    ]  # fmt: skip
    if not bars:
        why = because("turn.no_face_bar", feature=feature.id, depth_mm=deep_mm)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    bar = min(bars, key=lambda tool: tool.length_mm)
    rpm = spindle(setting.with_tool(bar), recess.outer_mm)
    if isinstance(rpm, Reason):
        done.undone.append(refusal(ask, "turn", (feature.id,), (rpm,)))
        return
    feed = Figure(0.5 * max(bar.edge_mm, 0.1), "mm/rev", (because("turn.feed_nose", nose_mm=bar.edge_mm),))
    layers = max(math.ceil(deep_mm / bar.max_depth_mm - 1e-9), 1) + 1
    way_mm = (recess.outer_mm - recess.inner_mm) / 2.0 + rule("approach_mm")
    cut = Cut(layers, layers * way_mm / (rpm.value * feed.value) * 60.0, rpm.value, feed.value, (feed, rpm))
    _booked(side, done, feature, bar, cut, deep_mm)


def _booked(side: Side, done: SidePlan, feature: Feature, tool: Tool, cut: Cut, back_mm: float) -> None:
    count(side, done, tool, cut, back_mm)
    done.figures.extend(cut.figures)
    make(side, done, feature)
