"""Driven tools: what is milled and drilled on the lathe while the work stays in its chuck.

The spindle stops at an angle (C axis) and a tool turns instead. Across the axis lie keyways, slots, flats, hexagons and
cross holes; along it the holes of a bolt circle. A tool that cannot leave the axis (no Y) cuts only what its own width
covers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import LatheLimits, Tool
from steadyrest.shop.part import Feature, Profile
from steadyrest.stations import edge, sizes
from steadyrest.stations.answer import Ask, refusal
from steadyrest.stations.turn.booking import Side, SidePlan, make, rapid_s, too_fine
from steadyrest.stations.turn.holding import grip_at
from steadyrest.tables import cutting
from steadyrest.tables.practice import rule

KINDS = ("keyway", "slot", "flat", "hexagon", "bore")
CUTTERS = ("end mill", "slot drill")
HEXAGON = 6


@dataclass(frozen=True, slots=True)
class Shape:
    """What is cut: sides of it, each so wide, deep and long; off_mm: how far its middle lies beside the axis.

    hole: drilled. walls: its width is a fit or a round end, so the tool must be no wider than it.
    around_mm: diameter of the work where it is cut. along: the tool stands along the spindle's axis.
    """

    sides: int
    width_mm: float
    depth_mm: float
    length_mm: float
    off_mm: float
    hole: bool
    walls: bool
    around_mm: float
    along: bool


@dataclass(frozen=True, slots=True)
class Driven:
    """One way: which tool, how long it cuts, what bounded it; or why not."""

    tool: Tool | None
    cut_s: float
    figures: tuple[Figure, ...]
    refused: tuple[Reason, ...] = ()


def has_driven(limits: LatheLimits) -> bool:
    """Whether anything is milled on this lathe at all."""
    return limits.driven_max_rpm > 0 and limits.c_axis


def is_driven(feature: Feature, profile: Profile) -> bool:
    """Whether a feature is one for driven tools: not about the part's own axis."""
    return feature.kind in KINDS and not (feature.kind == "bore" and sizes.coaxial(feature, profile))


def book_driven(ask: Ask, side: Side, done: SidePlan, feature: Feature) -> None:
    """Book one feature milled or drilled on this clamping, or refuse it.

    Args:
        ask: what is asked.
        side: the clamping. done: its book.
        feature: off the axis.
    """
    profile = ask.part.profile
    assert profile is not None, "only a turned part comes here"
    if too_fine(ask, side, done, feature):
        return
    shape = shape_of(profile, feature)
    if shape is None:
        why = because("turn.driven_size", feature=feature.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    way = cheapest(side, shape)
    if way.tool is None:
        nearest = because("turn.driven_on_mill", feature=feature.id)
        done.undone.append(refusal(ask, "turn", (feature.id,), way.refused, nearest))
        return
    done.cut_s[way.tool.number] = done.cut_s.get(way.tool.number, 0.0) + way.cut_s
    done.travel_s += shape.sides * (rule("driven_index_s") + 2.0 * rapid_s(side, shape.depth_mm + rule("approach_mm")))
    done.figures.extend(way.figures)
    caution = because("caution.driven", tool=float(way.tool.number))
    if caution not in done.cautions:
        done.cautions.append(caution)
    make(side, done, feature)


def shape_of(profile: Profile, feature: Feature) -> Shape | None:
    """What has to be cut for a feature; None where its sizes are not known.

    Args:
        profile: the part as turned.
        feature: off the axis.
    Returns: the shape.
    """
    length = sizes.value_mm(feature, "length_mm") or (
        abs(feature.along_mm[1] - feature.along_mm[0]) if feature.along_mm else None
    )
    width, depth = sizes.value_mm(feature, "width_mm"), sizes.value_mm(feature, "depth_mm")
    around = around_mm(profile, feature)
    across = abs(sum(a * b for a, b in zip(feature.axis, profile.axis, strict=True))) < 0.5
    off = _beside_mm(feature, profile) if across else 0.0
    if feature.kind == "bore":
        diameter = sizes.value_mm(feature, "diameter_mm")
        deep = depth or length or (around if across else profile.length_mm)
        if diameter is None or diameter <= 0 or deep <= 0:
            return None
        return Shape(1, diameter, deep, diameter, off, True, True, around, not across)
    if feature.kind in ("flat", "hexagon"):
        sides = HEXAGON if feature.kind == "hexagon" else 1
        across_mm = width if feature.kind == "hexagon" else None
        deep = (around - across_mm) / 2.0 if across_mm else depth
        if deep is None and width is not None and width < around:
            deep = (around - math.sqrt(around * around - width * width)) / 2.0
        if deep is None or length is None or min(deep, length) <= 0 or deep >= around / 2.0:
            return None
        chord = 2.0 * math.sqrt(around * deep - deep * deep)
        return Shape(sides, chord, deep, length, 0.0, False, False, around, False)
    if width is None or depth is None or length is None or min(width, depth, length) <= 0:
        return None
    return Shape(1, width, depth, length, off, False, True, around, not across)


def around_mm(profile: Profile, feature: Feature) -> float:
    """The work's diameter where a feature sits; the largest where that is not known."""
    if feature.along_mm is not None:
        middle = sum(feature.along_mm) / 2.0
        for stretch in profile.outside:
            if stretch.from_mm <= middle <= stretch.to_mm:
                return stretch.largest_mm
    return profile.largest_mm


def _beside_mm(feature: Feature, profile: Profile) -> float:
    """How far a feature's own axis passes beside the work's: across both of them."""
    a, b = feature.axis, profile.axis
    n = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    size = math.sqrt(sum(x * x for x in n))
    way = tuple(p - q for p, q in zip(feature.at_mm, profile.origin_mm, strict=True))
    return abs(sum(x * y for x, y in zip(way, n, strict=True))) / size if size > 1e-9 else 0.0


def cheapest(side: Side, shape: Shape) -> Driven:
    """The soonest of the driven tools that can, or every tool's reason against it.

    Args:
        side: the clamping, with its machine and metal.
        shape: what is cut.
    Returns: the way.
    """
    setting, limits = side.setting, side.setting.limits
    machine = setting.machine.name
    needs_y = shape.off_mm if shape.off_mm > rule("match_mm") else 0.0
    if needs_y > limits.y_mm:
        return Driven(None, 0.0, (), (because("turn.driven_y", machine=machine, needs_mm=needs_y, has_mm=limits.y_mm),))
    if shape.hole:
        tools = [tool for tool in setting.machine.tools if tool.kind == "drill" and tool.driven]
        near = [tool for tool in tools if abs(tool.diameter_mm - shape.width_mm) <= rule("match_mm")]
        if not near:
            why = because("turn.driven_no_drill", machine=machine, diameter_mm=shape.width_mm)
            return Driven(None, 0.0, (), (why,))
        tries = [_drilled(side, shape, tool) for tool in near]
    else:
        cutters = [tool for tool in setting.machine.tools if tool.kind in CUTTERS]
        if not cutters:
            return Driven(None, 0.0, (), (because("turn.driven_no_cutter", machine=machine),))
        tries = [_milled(side, shape, tool) for tool in cutters]
    good = [way for way in tries if not way.refused]
    if good:
        return min(good, key=lambda way: (way.cut_s, way.tool.number if way.tool else 0))
    return Driven(None, 0.0, (), tuple(dict.fromkeys(reason for way in tries for reason in way.refused)))


def _speed(side: Side, tool: Tool, work: cutting.Work) -> Figure | Reason:
    """How fast the tool turns: the least of metal, the drive of the turret, and its holder."""
    metal = side.setting.material
    band = cutting.cutting_speed(metal.group, work=work, tool="carbide" if tool.made_of == "carbide" else "hss")
    if band is None:
        return because("turn.driven_metal", tool=float(tool.number), material=metal.id)
    wanted = edge.spindle_rpm(band.middle, tool.diameter_mm)
    return least(
        (
            Figure(wanted, "rpm", (because("turn.driven_rpm_metal", band.source, speed_m_min=band.middle),)),
            Figure(side.setting.limits.driven_max_rpm, "rpm", (because("turn.driven_rpm_turret"),)),
            Figure(tool.holder_max_rpm, "rpm", (because("turn.rpm_holder", tool=float(tool.number)),)),
        )
    )


def _milled(side: Side, shape: Shape, tool: Tool) -> Driven:
    """Passes side by side and one below the other; wider than the tool only with a Y axis."""
    number, limits, metal = float(tool.number), side.setting.limits, side.setting.material
    refused: list[Reason] = []
    if shape.walls and tool.diameter_mm > shape.width_mm + 1e-6:
        refused.append(
            because("turn.driven_wide", tool=number, diameter_mm=tool.diameter_mm, width_mm=shape.width_mm)
        )  # fmt: skip
    beyond = (shape.width_mm - tool.diameter_mm) / 2.0
    if beyond > rule("match_mm") and beyond > limits.y_mm:
        refused.append(
            because("turn.driven_needs_y", tool=number, diameter_mm=tool.diameter_mm, width_mm=shape.width_mm,
                    needs_mm=beyond, has_mm=limits.y_mm)
        )  # fmt: skip
    if shape.depth_mm > tool.length_mm:
        refused.append(
            because("turn.driven_short", tool=number, depth_mm=shape.depth_mm, allowed_mm=tool.length_mm)
        )  # fmt: skip
    rpm = _speed(side, tool, "mill")
    if isinstance(rpm, Reason):
        refused.append(rpm)
    if refused or isinstance(rpm, Reason):
        return Driven(tool, 0.0, (), tuple(refused))
    tooth_mm = cutting.milling_feed(metal.group, tool.diameter_mm).middle
    wide = min(tool.diameter_mm, shape.width_mm)
    nm_mm, n_mm = edge.milling_load(
        metal.kc11_mpa, metal.mc, diameter_mm=tool.diameter_mm, teeth=tool.teeth, tooth_mm=tooth_mm, width_mm=wide
    )
    held_n = grip_at(side.setting.hold, limits, 0.0).value * side.setting.clamping.grip_mm / shape.around_mm
    deep = least(
        (
            Figure(rule("driven_depth_share") * tool.diameter_mm, "mm", (because("turn.driven_depth_tool"),)),
            Figure(tool.max_depth_mm, "mm", (because("turn.depth_tool", tool=number),)),
            Figure(limits.driven_torque_nm / nm_mm, "mm",
                   (because("turn.driven_depth_torque", torque_nm=limits.driven_torque_nm),)),
            Figure(limits.driven_power_w / (nm_mm * rpm.value * math.pi / 30.0), "mm",
                   (because("turn.driven_depth_power", power_w=limits.driven_power_w),)),
            Figure(held_n / n_mm, "mm", (because("turn.depth_grip", force_n=held_n),)),
        )
    )  # fmt: skip
    if deep.value < rule("driven_least_mm"):
        why = because("turn.no_depth", depth_mm=deep.value, wanted_mm=rule("driven_least_mm"))
        return Driven(tool, 0.0, (), (why, *deep.why))
    layers = max(math.ceil(shape.depth_mm / deep.value - 1e-9), 1)
    rows = max(math.ceil(shape.width_mm / tool.diameter_mm - 1e-9), 1)
    walls = 2 if shape.walls and beyond > 1e-6 else 0
    feed_mm_min = rpm.value * tool.teeth * tooth_mm
    way_mm = max(shape.length_mm - (tool.diameter_mm if shape.walls else 0.0), 0.0) + 2.0 * rule("approach_mm")
    plunge_mm = shape.depth_mm + layers * rule("approach_mm")
    one_s = (layers * rows * way_mm + walls * way_mm + 2.0 * plunge_mm) / feed_mm_min * 60.0
    feed = Figure(feed_mm_min, "mm/min", (because("turn.driven_feed", tooth_mm=tooth_mm),))
    return Driven(tool, shape.sides * one_s, (deep, feed, rpm))


def _drilled(side: Side, shape: Shape, tool: Tool) -> Driven:
    number, limits, metal = float(tool.number), side.setting.limits, side.setting.material
    if shape.depth_mm > tool.max_depth_mm:
        why = because("turn.drill_short", tool=number, depth_mm=shape.depth_mm, allowed_mm=tool.max_depth_mm)
        return Driven(tool, 0.0, (), (why,))
    rpm = _speed(side, tool, "drill")
    if isinstance(rpm, Reason):
        return Driven(tool, 0.0, (), (rpm,))
    point = math.radians(rule("point_deg"))
    full = cutting.drill_feed(metal.group, tool.diameter_mm)
    for feed in (full * 0.8**i for i in range(10)):
        torque_nm, _ = edge.drilling(
            metal.kc11_mpa, metal.mc, diameter_mm=tool.diameter_mm, feed_mm_rev=feed, point_rad=point
        )
        power_w = torque_nm * rpm.value * math.pi / 30.0
        if torque_nm <= limits.driven_torque_nm and power_w <= limits.driven_power_w:
            way_mm = shape.depth_mm + tool.diameter_mm / (2.0 * math.tan(point / 2.0)) + rule("approach_mm")
            used = Figure(feed, "mm/rev", (because("turn.feed_drill", diameter_mm=tool.diameter_mm, full_mm_rev=full),))
            return Driven(tool, way_mm / (rpm.value * feed) * 60.0, (used, rpm))
    why = because(
        "turn.driven_drill", tool=number, torque_nm=limits.driven_torque_nm, power_w=limits.driven_power_w
    )  # fmt: skip
    return Driven(tool, 0.0, (), (why,))
