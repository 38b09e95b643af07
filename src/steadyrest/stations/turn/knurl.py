"""Knurls: the step is turned smaller, and the metal pressed up between the teeth of a wheel.

A reading cannot tell a knurl from a fluted grip or a spline; a lathe with a knurling tool of its pitch offers a knurl,
and says what it takes it for.
"""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Feature, Stretch
from steadyrest.stations import edge
from steadyrest.stations.answer import Ask, refusal
from steadyrest.stations.turn.booking import Side, SidePlan, tool_of
from steadyrest.stations.turn.holding import grip_at
from steadyrest.tables.practice import rule

LOBED, ROUGH = "features.lobed", "features.rough"


def is_knurl(feature: Feature | None) -> bool:
    """Whether a stretch was read as something that rises and falls all round: a knurl, for what the reading knows."""
    return feature is not None and feature.kind == "free" and any(why.key in (LOBED, ROUGH) for why in feature.why)


def pitch_mm(feature: Feature, around_mm: float) -> float | None:
    """The pitch round the part, by how often it rises and falls; None where that was too fine to count.

    Args:
        feature: read as a knurl.
        around_mm: its diameter over the tips.
    Returns: mm.
    """
    counts = [dict(why.given).get("count") for why in feature.why if why.key == LOBED]
    count = next((value for value in counts if isinstance(value, float) and value > 1), None)
    return math.pi * around_mm / count if count else None


def wheel(side: Side, pitch: float | None) -> Tool | None:
    """The knurling tool of a pitch; of any where that is not known."""
    tools = [tool for tool in side.setting.machine.tools if tool.kind == "knurl"]
    if pitch is None:
        return tools[0] if tools else None
    near = [tool for tool in tools if abs(tool.pitch_mm - pitch) <= rule("knurl_pitch_share") * pitch]
    return min(near, key=lambda tool: abs(tool.pitch_mm - pitch), default=None)


def blank(stretch: Stretch, pitch: float) -> Stretch:
    """The step as it is turned before: half a pitch smaller, because the tips are pressed up.

    Args:
        stretch: over the tips.
        pitch: of the wheel.
    Returns: the same step, smaller.
    Source: straight knurls of DIN 82, from memory.
    """
    less = rule("knurl_blank_share") * pitch
    return replace(
        stretch, diameter_from_mm=stretch.diameter_from_mm - less, diameter_to_mm=stretch.diameter_to_mm - less
    )


def no_wheel(ask: Ask, side: Side, done: SidePlan, feature: Feature, around_mm: float) -> None:
    """Refuse a knurl for which there is no wheel, with the pitch that would do."""
    machine, pitch = side.setting.machine.name, pitch_mm(feature, around_mm)
    if tool_of(side, "knurl") is None or pitch is None:
        why = because("turn.no_tool", machine=machine, kind="knurl")
        nearest = because("turn.knurl_ask", feature=feature.id)
    else:
        has = ", ".join(f"{tool.pitch_mm:g}" for tool in side.setting.machine.tools if tool.kind == "knurl")
        why = because("turn.knurl_pitch", machine=machine, feature=feature.id, pitch_mm=pitch, has=has)
        nearest = because("turn.knurl_wanted", pitch_mm=pitch)
    done.undone.append(refusal(ask, "turn", (feature.id,), (why,), nearest))


def book_knurl(
    ask: Ask, side: Side, done: SidePlan, feature: Feature, tool: Tool, stretch: Stretch, at: tuple[float, float]
) -> None:
    """Press it, once the step is turned to its blank's size.

    Args:
        ask: what is asked. side: the clamping. done: its book.
        feature: the knurl. tool: its wheel.
        stretch: as turned. at: from and to, distance from the jaws.
    """
    setting, limits = side.setting, side.setting.limits
    pressed_n = rule("knurl_n_per_mm") * (tool.width_mm or rule("knurl_wheel_mm"))
    bends_mm = pressed_n * setting.hold.beam.worst_mm_n(*at)
    speed, around = rule("knurl_m_min"), stretch.largest_mm
    rpm = min(max(edge.spindle_rpm(speed, around), limits.min_rpm), setting.hold.rpm_limit(limits).value)
    held_n = grip_at(setting.hold, limits, rpm).value * setting.clamping.grip_mm / around
    refused: list[Reason] = []
    if bends_mm > rule("rough_bend_mm"):
        refused.append(
            because("turn.knurl_bends", feature=feature.id, force_n=pressed_n, bends_mm=bends_mm,
                    allowed_mm=rule("rough_bend_mm"))
        )  # fmt: skip
    if pressed_n * rule("radial_share") > held_n:
        refused.append(because("turn.groove_force", force_n=pressed_n * rule("radial_share"), grip_n=held_n))
    if pressed_n > limits.max_force_n:
        refused.append(because("turn.knurl_force", force_n=pressed_n, allowed_n=limits.max_force_n))
    if refused:
        if feature.id in done.made:
            done.made.remove(feature.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), refused, because("turn.knurl_nearer")))
        return
    beside = max(stretch.length_mm - (tool.width_mm or rule("knurl_wheel_mm")), 0.0)
    turns = rule("knurl_turns") + beside / rule("knurl_feed_mm_rev")
    done.cut_s[tool.number] = done.cut_s.get(tool.number, 0.0) + turns / rpm * 60.0
    blank_why = because("turn.knurl_blank", diameter_mm=around, pitch_mm=tool.pitch_mm, feature=feature.id)
    done.figures.append(Figure(around, "mm", (blank_why,)))
    done.figures.append(Figure(rpm, "rpm", (because("turn.knurl_speed", speed_m_min=speed),)))
    done.cautions.append(because("caution.knurl"))
