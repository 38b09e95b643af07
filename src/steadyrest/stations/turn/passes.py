"""Depth, feed and speed of a turning cut, each as the least of what material, tool, spindle, holding and work allow."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import LatheLimits, Machine, Material, Tool
from steadyrest.stations import edge
from steadyrest.stations.turn.clamping import Clamping
from steadyrest.stations.turn.holding import Hold, grip_at
from steadyrest.tables.cutting import turning_feed
from steadyrest.tables.practice import rule

FEED_STEPS = 6


@dataclass(frozen=True, slots=True)
class Setting:
    """Where a cut happens: machine, metal, tool, holding, the speed aimed at, roughness and allowance wanted."""

    machine: Machine
    limits: LatheLimits
    material: Material
    tool: Tool
    clamping: Clamping
    hold: Hold
    speed_m_min: float
    ra_um: float
    finish_mm: float

    def with_tool(self, tool: Tool) -> Setting:
        return replace(self, tool=tool)


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut, in so many passes. figures: what bounded it. refused: why it cannot be done; then times are 0."""

    passes: int
    cut_s: float
    rpm: float
    feed_mm_rev: float
    figures: tuple[Figure, ...]
    refused: tuple[Reason, ...] = ()


def no_cut(*reasons: Reason) -> Cut:
    return Cut(0, 0.0, 0.0, 0.0, (), reasons)


def spindle(setting: Setting, diameter_mm: float, share: float = 1.0) -> Figure | Reason:
    """Spindle speed at a diameter: the least of metal, machine, chuck and tool holder; never below the slowest gear.

    Args:
        setting: where it cuts.
        diameter_mm: where the edge is; > 0.
        share: of the cutting speed (grooving runs slower).
    Returns: rpm with its reasons; a Reason where the slowest speed is still too fast for this metal.
    """
    limits = setting.limits
    speed = setting.speed_m_min * share
    wanted = edge.spindle_rpm(speed, diameter_mm)
    found = least(
        (
            Figure(wanted, "rpm", (because("turn.rpm_metal", speed_m_min=speed, diameter_mm=diameter_mm),)),
            Figure(limits.max_rpm, "rpm", (because("turn.rpm_machine", machine=setting.machine.name),)),
            setting.hold.rpm_limit(limits),
            Figure(setting.tool.holder_max_rpm, "rpm", (because("turn.rpm_holder", tool=float(setting.tool.number)),)),
        )
    )  # fmt: skip
    if found.value >= limits.min_rpm:
        return found
    fastest = top_speed(setting.material, setting.tool)
    slowest = edge.cutting_speed(limits.min_rpm, diameter_mm)
    if slowest > fastest:
        return because(
            "turn.too_fast", min_rpm=limits.min_rpm, diameter_mm=diameter_mm, speed_m_min=slowest, allowed_m_min=fastest
        )
    why = because("turn.rpm_slowest", machine=setting.machine.name, speed_m_min=slowest)
    return Figure(limits.min_rpm, "rpm", (why, *found.why))


def top_speed(material: Material, tool: Tool) -> float:
    """The upper end of the metal's turning speeds for this tool material, m/min."""
    return (material.vc_carbide_m_min if tool.made_of == "carbide" else material.vc_hss_m_min)[1]


def depth(
    setting: Setting, *, rpm: float, diameter_mm: float, feed_mm_rev: float, at_mm: tuple[float, float]
) -> Figure:
    """The deepest cut at this feed: the least of tool, power, torque, feed force, grip and spring of the work.

    Args:
        setting: where it cuts.
        rpm, diameter_mm, feed_mm_rev: of this cut.
        at_mm: from and to, distance from the jaws.
    Returns: mm, with what binds and what would bind next.
    """
    limits, tool, metal = setting.limits, setting.tool, setting.material
    n_mm = edge.turning_force(metal.kc11_mpa, metal.mc, depth_mm=1.0, feed_mm_rev=feed_mm_rev, lead_rad=tool.lead_rad)
    speed = edge.cutting_speed(rpm, diameter_mm)
    power_w = limits.power.power_w(rpm)
    held = grip_at(setting.hold, limits, rpm)
    grip_n = held.value * setting.clamping.grip_mm / diameter_mm
    spring = setting.hold.beam.worst_mm_n(*at_mm)
    bend_mm = rule("rough_bend_mm")
    return least(
        (
            Figure(tool.max_depth_mm, "mm", (because("turn.depth_tool", tool=float(tool.number)),)),
            Figure(60.0 * power_w / (speed * n_mm), "mm", (because("turn.depth_power", power_w=power_w, at_rpm=rpm),)),
            Figure(
                2000.0 * limits.max_torque_nm / (diameter_mm * n_mm), "mm",
                (because("turn.depth_torque", torque_nm=limits.max_torque_nm),),
            ),
            Figure(
                limits.max_force_n / (rule("axial_share") * n_mm), "mm",
                (because("turn.depth_force", force_n=limits.max_force_n),),
            ),
            Figure(grip_n / n_mm, "mm", (because("turn.depth_grip", force_n=grip_n), *held.why)),
            Figure(
                bend_mm / (rule("radial_share") * n_mm * spring) if spring > 0 else math.inf, "mm",
                (because("turn.depth_spring", bend_mm=bend_mm, reach_mm=setting.clamping.reach_mm),),
            ),
        )
    )  # fmt: skip


def rough(setting: Setting, *, from_mm: float, to_mm: float, length_mm: float, at_mm: tuple[float, float]) -> Cut:
    """Roughing from one diameter to another, at the feed that is through soonest.

    Args:
        setting: where it cuts.
        from_mm, to_mm: diameters, from > to.
        length_mm: of the stretch; the air before it is not counted (air_s).
        at_mm: from and to, distance from the jaws.
    Returns: the cut; refused where not even the finest feed leaves a depth worth taking.
    """
    rpm = spindle(setting, from_mm)
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    radial_mm = (from_mm - to_mm) / 2.0
    inner_rpm = _held_rpm(setting, to_mm, rpm.value)
    best: Cut | None = None
    shallowest: Figure | None = None
    for feed in feeds(setting):
        allowed = depth(setting, rpm=rpm.value, diameter_mm=from_mm, feed_mm_rev=feed.value, at_mm=at_mm)
        if inner_rpm > rpm.value:  # the spindle speeds up inwards: power, and what the jaws hold, may be less there
            inner = depth(setting, rpm=inner_rpm, diameter_mm=to_mm, feed_mm_rev=feed.value, at_mm=at_mm)
            allowed = inner if inner.value < allowed.value else allowed
        shallowest = allowed
        if allowed.value < min(rule("least_depth_mm"), radial_mm):
            continue
        passes = max(math.ceil(radial_mm / allowed.value - 1e-9), 1)
        turns_s = 60.0 * sum(
            1.0 / _held_rpm(setting, from_mm - (from_mm - to_mm) * k / passes, rpm.value) for k in range(1, passes + 1)
        )
        cut_s = turns_s * length_mm / feed.value
        if best is None or cut_s < best.cut_s - 1e-9:
            best = Cut(passes, cut_s, rpm.value, feed.value, (allowed, feed, rpm))
    if best is not None:
        return best
    assert shallowest is not None
    why = because("turn.no_depth", depth_mm=shallowest.value, wanted_mm=rule("least_depth_mm"))
    return no_cut(why, *shallowest.why)


def _held_rpm(setting: Setting, diameter_mm: float, outer_rpm: float) -> float:
    """Spindle speed further in: a control holds the surface speed up to the cap, by hand the gear stays."""
    limits = setting.limits
    if not limits.controlled:
        return outer_rpm
    cap = min(limits.max_rpm, setting.hold.rpm_limit(limits).value, setting.tool.holder_max_rpm)
    wanted = edge.spindle_rpm(setting.speed_m_min, max(diameter_mm, 1e-3))
    return max(min(wanted, cap), outer_rpm)


def air_s(cut: Cut, starts: int) -> float:
    """Feed through the air before and after so many passes of a cut.

    Args:
        cut: with its speed and feed.
        starts: passes that begin in the air; one that comes out of a stretch before it does not.
    Returns: s.
    """
    return starts * 2.0 * rule("approach_mm") / (cut.rpm * cut.feed_mm_rev) * 60.0 if starts > 0 else 0.0


def feeds(setting: Setting) -> tuple[Figure, ...]:
    """Roughing feeds worth trying, the largest first: from what metal and nose allow down to where an edge rubs."""
    band = turning_feed(setting.material.group, "rough")
    tool = setting.tool
    most = least(
        (
            Figure(band.middle, "mm/rev", (because("turn.feed_metal", band.source, material=setting.material.id),)),
            Figure(
                rule("rough_feed_of_nose") * tool.edge_mm, "mm/rev", (because("turn.feed_nose", nose_mm=tool.edge_mm),)
            ),
        )
    )
    least_feed = rule("least_feed_mm_rev")
    if most.value <= least_feed:
        return (most,)
    ratio = (least_feed / most.value) ** (1.0 / (FEED_STEPS - 1))
    finer = because("turn.feed_finer", full_mm_rev=most.value)
    return (most, *(Figure(most.value * ratio**i, "mm/rev", (finer, *most.why)) for i in range(1, FEED_STEPS)))


def finish(
    setting: Setting,
    *,
    diameter_mm: float,
    length_mm: float,
    at_mm: tuple[float, float],
    width_mm: float,
    share: float = 1.0,
) -> Cut:
    """The finishing pass: the feed that roughness and nose allow, finer where the work would spring out of its limits.

    Args:
        setting: where it cuts; its tool is the finishing tool.
        diameter_mm: finished.
        length_mm: of the stretch and of the shoulder before it; the air before it is not counted (air_s).
        at_mm: from and to, distance from the jaws.
        width_mm: of the size's limits.
        share: of the cutting speed.
    Returns: the cut in one pass; refused where the work springs too much at any feed.
    """
    rpm = spindle(setting, diameter_mm, share)
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    tool, metal = setting.tool, setting.material
    band = turning_feed(metal.group, "finish")
    smooth = edge.feed_for_roughness(setting.ra_um, max(tool.edge_mm, 0.05))
    feed = least(
        (
            Figure(band.high, "mm/rev", (because("turn.feed_metal", band.source, material=metal.id),)),
            Figure(smooth, "mm/rev", (because("turn.feed_smooth", ra=setting.ra_um, nose_mm=tool.edge_mm),)),
        )
    )
    allowed_mm = rule("finish_bend_share") * width_mm
    depth_mm = setting.finish_mm / 2.0
    spring = setting.hold.beam.worst_mm_n(*at_mm)
    tried = [feed.value * 0.7**i for i in range(5)]
    for value in (v for v in tried if v >= rule("least_feed_mm_rev") or v == feed.value):
        force = edge.turning_force(
            metal.kc11_mpa, metal.mc, depth_mm=depth_mm, feed_mm_rev=value, lead_rad=tool.lead_rad
        )
        bends_mm = 2.0 * rule("radial_share") * force * spring
        if bends_mm <= allowed_mm:
            why = feed.why if value == feed.value else (because("turn.feed_spring", bend_mm=allowed_mm), *feed.why)
            used = Figure(value, "mm/rev", why)
            cut_s = length_mm / (rpm.value * value) * 60.0
            return Cut(1, cut_s, rpm.value, value, (used, rpm))
    return no_cut(
        because("turn.spring", diameter_mm=diameter_mm, allowed_mm=allowed_mm, reach_mm=setting.clamping.reach_mm)
    )


def plunge(setting: Setting, *, from_mm: float, to_mm: float, width_mm: float) -> Cut:
    """Grooving: plunges side by side with the grooving tool, or one with the part-off tool.

    Args:
        setting: where it cuts; its tool is the grooving tool.
        from_mm, to_mm: diameters, from > to >= 0.
        width_mm: of the groove.
    Returns: the cut; refused where the tool is too wide or does not reach.
    """
    tool = setting.tool
    deep_mm = (from_mm - to_mm) / 2.0
    refused: list[Reason] = []
    if deep_mm > tool.max_depth_mm:
        refused.append(
            because("turn.groove_deep", tool=float(tool.number), depth_mm=deep_mm, allowed_mm=tool.max_depth_mm)
        )
    if width_mm < tool.width_mm - 0.01:
        refused.append(
            because("turn.groove_narrow", tool=float(tool.number), width_mm=width_mm, allowed_mm=tool.width_mm)
        )
    rpm = spindle(setting, from_mm, rule("plunge_speed_share"))
    if isinstance(rpm, Reason):
        refused.append(rpm)
    if refused or isinstance(rpm, Reason):
        return no_cut(*refused)
    count = 1 + math.ceil(max(width_mm - tool.width_mm, 0.0) / (0.8 * tool.width_mm) - 1e-9)
    feed = Figure(rule("groove_feed_mm_rev"), "mm/rev", (because("turn.feed_groove"),))
    force = edge.cutting_force(
        setting.material.kc11_mpa, setting.material.mc, chip_mm=feed.value, width_mm=tool.width_mm
    )
    grip_n = grip_at(setting.hold, setting.limits, rpm.value).value * setting.clamping.grip_mm / from_mm
    if force > min(grip_n, 2000.0 * setting.limits.max_torque_nm / from_mm):
        return no_cut(because("turn.groove_force", force_n=force, grip_n=grip_n))
    cut_s = count * (deep_mm + rule("retract_mm")) / (rpm.value * feed.value) * 60.0
    return Cut(count, cut_s, rpm.value, feed.value, (feed, rpm))


def face(setting: Setting, *, diameter_mm: float, length_mm: float, hole_mm: float = 0.0) -> Cut:
    """Facing so much off an end: at constant surface speed up to the cap, by hand at the one speed of the outside.

    Args:
        setting: where it cuts; its tool is the facing tool.
        diameter_mm: of the end.
        length_mm: what is faced off.
        hole_mm: diameter of a hole in the middle.
    Returns: the cut, two passes at least (one rough, one fine).
    """
    rpm = spindle(setting, diameter_mm)
    if isinstance(rpm, Reason):
        return no_cut(rpm)
    feed = feeds(setting)[0]
    at = (setting.clamping.reach_mm, setting.clamping.reach_mm)
    allowed = depth(setting, rpm=rpm.value, diameter_mm=diameter_mm, feed_mm_rev=feed.value, at_mm=at)
    if allowed.value < 0.05:
        return no_cut(because("turn.no_depth", depth_mm=allowed.value, wanted_mm=0.05), *allowed.why)
    passes = max(math.ceil(length_mm / allowed.value - 1e-9), 1) + 1
    holds_rpm = setting.hold.rpm_limit(setting.limits).value
    cap = min(setting.limits.max_rpm, holds_rpm, setting.tool.holder_max_rpm)
    outer_mm = diameter_mm / 2.0 + rule("approach_mm")
    if setting.limits.controlled:
        one_s = edge.facing_time_s(
            from_radius_mm=outer_mm, to_radius_mm=hole_mm / 2.0, feed_mm_rev=feed.value, max_rpm=max(cap, rpm.value),
            speed_m_min=edge.cutting_speed(rpm.value, diameter_mm),
        )  # fmt: skip
    else:
        one_s = (outer_mm - hole_mm / 2.0) / (rpm.value * feed.value) * 60.0
    return Cut(passes, passes * one_s, rpm.value, feed.value, (allowed, feed, rpm))
