"""The mill's answer: one step for the keyways, slots, flats and holes of a turned part; other bodies: prismatic.py."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from steadyrest.measure.gauges import gauge_of
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Machine, MillLimits
from steadyrest.shop.part import Feature, Profile
from steadyrest.shop.work import HoldPoint, Step, Undone
from steadyrest.stations import alone, edge, sizes
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.mill import holes, prismatic, slots
from steadyrest.stations.mill.hub_keyways import in_a_hub
from steadyrest.stations.mill.lacking import in_drawer, to_buy
from steadyrest.stations.mill.slots import Milled, Slot
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.tables.practice import rule

MILLED = ("keyway", "slot", "flat", "bore", "hexagon")
EASED = ("fillet", "chamfer")
LATER = ("pocket", "boss", "free", "thread")
FLATS = 6


@dataclass(slots=True)
class MillPlan:
    """What the step adds up to; filled feature by feature. cut_s: by tool number. views: sides it is milled from.

    indexed: hexagons, the work turned on from flat to flat.
    """

    cut_s: dict[int, float] = field(default_factory=dict[int, float])
    passes: int = 0
    figures: list[Figure] = field(default_factory=list[Figure])
    made: list[Feature] = field(default_factory=list[Feature])
    undone: list[Undone] = field(default_factory=list[Undone])
    views: set[tuple[float, ...]] = field(default_factory=set[tuple[float, ...]])
    indexed: list[str] = field(default_factory=list[str])


def answer(ask: Ask) -> Answer:
    """What this mill makes of the part.

    Args:
        ask: the part, the features wanted, the mill.
    Returns: its steps, the state after them, and the refusals.
    """
    machine, profile = ask.machine, ask.part.profile
    if machine is None or not isinstance(machine.limits, MillLimits):
        return none_made(ask, "mill", (because("mill.no_mill"),))
    if profile is None:
        return prismatic.answer(ask, machine, machine.limits)
    too_big = _too_big(ask, machine, machine.limits, profile)
    if too_big:
        return none_made(ask, "mill", too_big)
    place = Place(machine, machine.limits, ask.material)
    plan = MillPlan()
    for feature in ask.asked():
        _feature(ask, place, profile, plan, feature)
    if not plan.made:
        return Answer((), ask.state, tuple(plan.undone))
    state = replace(ask.state, done=ask.state.done | {feature.id for feature in plan.made})
    return Answer((_step(ask, place, profile, plan),), state, tuple(plan.undone))


def _too_big(ask: Ask, machine: Machine, limits: MillLimits, profile: Profile) -> tuple[Reason, ...]:
    found: list[tuple[float, Reason]] = []

    def over(key: str, has: float, allowed: float) -> None:
        if has > allowed:
            found.append((has / allowed, because(key, machine=machine.name, has_mm=has, allowed_mm=allowed)))

    length_mm, width_mm = profile.length_mm, profile.largest_mm
    reach_mm = max((tool.length_mm for tool in machine.tools), default=0.0)
    over("mill.table_length", length_mm, limits.table_mm[0])
    over("mill.table_width", width_mm, limits.table_mm[1])
    over("mill.travel_x", _span_mm(ask, profile), limits.travel_mm[0])
    over("mill.travel_y", width_mm, limits.travel_mm[1])
    over("mill.travel_z", width_mm + reach_mm + rule("mill_clear_mm"), limits.travel_mm[2])
    over("mill.vise", width_mm, limits.vise_opening_mm)
    mass_kg = ask.state.blank.mass_kg
    if mass_kg > limits.max_load_kg:
        why = because("mill.load", machine=machine.name, has_kg=mass_kg, allowed_kg=limits.max_load_kg)
        found.append((mass_kg / limits.max_load_kg, why))
    return tuple(reason for _, reason in sorted(found, key=lambda pair: -pair[0]))


def _span_mm(ask: Ask, profile: Profile) -> float:
    """Length along the part that the milled features reach over."""
    ends = [end for feature in ask.asked() if feature.along_mm for end in feature.along_mm]
    return max(ends) - min(ends) if ends else profile.length_mm


def _feature(ask: Ask, place: Place, profile: Profile, plan: MillPlan, feature: Feature) -> None:
    """Plan one feature, or refuse it."""
    hub = in_a_hub(ask, feature)
    if hub is not None:
        plan.undone.append(hub)
        return
    fine = sizes.too_fine(feature, repeat_mm=place.limits.repeat_mm, machine=place.machine.name)
    about = feature.kind in (*EASED, "bore") and sizes.coaxial(feature, profile)
    if feature.kind not in (*MILLED, *EASED) or about:
        key = "mill.not_planned" if feature.kind in LATER else "mill.not_milled"
        milled = Milled(None, 0.0, 0, (), (because(key, feature=feature.id, kind=sizes.called(feature)),))
    elif fine is not None:
        milled = Milled(None, 0.0, 0, (), (fine,))
    elif feature.kind in EASED:
        milled = _eased(place, feature)
    elif feature.kind == "bore":
        milled = _hole(place, profile, feature)
    elif feature.kind == "flat":
        milled = _flat(place, profile, feature)
    elif feature.kind == "hexagon":
        milled = _hexagon(place, profile, feature)
    else:
        milled = _slot(place, feature)
    if milled.refused or milled.tool is None:
        drawer = [why for lack in milled.lacks if (why := in_drawer(place.machine.tools, lack)) is not None]
        reasons = (*milled.refused, *drawer)
        plan.undone.append(refusal(ask, "mill", (feature.id,), reasons, to_buy(milled.lacks)))
        return
    plan.cut_s[milled.tool.number] = plan.cut_s.get(milled.tool.number, 0.0) + milled.cut_s
    plan.passes += milled.passes
    plan.figures.extend(milled.figures)
    plan.made.append(feature)
    if feature.kind == "hexagon":
        plan.indexed.append(feature.id)
    plan.views.add(tuple(round(abs(value), 2) for value in feature.axis))


def _slot(place: Place, feature: Feature) -> Milled:
    width, depth = sizes.value_mm(feature, "width_mm"), sizes.value_mm(feature, "depth_mm")
    length = sizes.value_mm(feature, "length_mm")
    if length is None and feature.along_mm is not None:
        length = abs(feature.along_mm[1] - feature.along_mm[0])
    if width is None or depth is None or length is None or min(width, depth, length) <= 0:
        return Milled(None, 0.0, 0, (), (because("mill.unknown_size", feature=feature.id),))
    exact = sizes.limits_mm(feature) is not None
    return slots.slot(place, Slot(width, depth, length, sizes.width_mm(feature), exact))


def _eased(place: Place, feature: Feature) -> Milled:
    """A corner that comes with the wall's cutter, which must be no larger than it; an edge is run along once."""
    cutters = [tool for tool in place.machine.tools if tool.kind in ("slot drill", "end mill", "ball mill")]
    radius = sizes.value_mm(feature, "radius_mm")
    if feature.inside and radius is not None and radius > rule("eased_sharp_mm"):
        cutters = [tool for tool in cutters if tool.diameter_mm <= 2.0 * radius + rule("match_mm")]
    if not cutters:
        why = because("mill.corner", machine=place.machine.name, feature=feature.id, radius_mm=radius or 0.0)
        return Milled(None, 0.0, 0, (), (why,))
    return Milled(max(cutters, key=lambda tool: tool.diameter_mm), rule("chamfer_s"), 1, ())


def _flat(place: Place, profile: Profile, feature: Feature) -> Milled:
    width, depth = sizes.value_mm(feature, "width_mm"), sizes.value_mm(feature, "depth_mm")
    length = sizes.value_mm(feature, "length_mm")
    if length is None and feature.along_mm is not None:
        length = abs(feature.along_mm[1] - feature.along_mm[0])
    radius = _around_mm(profile, feature) / 2.0
    if depth is None and width is not None and width < 2.0 * radius:
        depth = radius - math.sqrt(radius * radius - width * width / 4.0)
    if width is None and depth is not None and depth < radius:
        width = 2.0 * math.sqrt(max(2.0 * radius * depth - depth * depth, 0.0))
    if width is None or depth is None or length is None or min(width, depth, length) <= 0:
        return Milled(None, 0.0, 0, (), (because("mill.unknown_size", feature=feature.id),))
    return slots.flat(place, width_mm=width, depth_mm=depth, length_mm=length, limits_mm=sizes.width_mm(feature))


def _hexagon(place: Place, profile: Profile, feature: Feature) -> Milled:
    """Six flats about the axis, one after another."""
    across, length = sizes.value_mm(feature, "width_mm"), sizes.value_mm(feature, "length_mm")
    if across is None or length is None or min(across, length) <= 0:
        return Milled(None, 0.0, 0, (), (because("mill.unknown_size", feature=feature.id),))
    depth = (max(_around_mm(profile, feature), across / math.cos(math.pi / FLATS)) - across) / 2.0
    wide = across * math.tan(math.pi / FLATS)
    one = slots.flat(place, width_mm=wide, depth_mm=depth, length_mm=length, limits_mm=sizes.width_mm(feature))
    return replace(one, cut_s=FLATS * one.cut_s, passes=FLATS * one.passes)


def _hole(place: Place, profile: Profile, feature: Feature) -> Milled:
    diameter = sizes.value_mm(feature, "diameter_mm")
    depth = sizes.value_mm(feature, "depth_mm") or sizes.value_mm(feature, "length_mm")
    across = abs(sum(a * b for a, b in zip(feature.axis, profile.axis, strict=True))) < 1.0 - 1e-3
    if depth is None:
        depth = _around_mm(profile, feature) if across else profile.length_mm
    if diameter is None or diameter <= 0 or depth <= 0:
        return Milled(None, 0.0, 0, (), (because("mill.unknown_size", feature=feature.id),))
    return holes.hole(place, diameter_mm=diameter, depth_mm=depth, limits_mm=sizes.width_mm(feature))


def _around_mm(profile: Profile, feature: Feature) -> float:
    """The part's diameter where a feature sits; the largest if that is not known."""
    if feature.along_mm is not None:
        middle = sum(feature.along_mm) / 2.0
        for stretch in profile.outside:
            if stretch.from_mm <= middle <= stretch.to_mm:
                return stretch.largest_mm
    return profile.largest_mm


def _travel_s(place: Place, plan: MillPlan, length_mm: float) -> float:
    """Getting there: each tool in from its change, each feature approached, each pass up and back."""
    limits, clear = place.limits, rule("mill_clear_mm")
    ways = zip((length_mm, clear, clear), limits.rapid_mm_min, strict=True)
    x, y, z = (edge.move_time_s(way, speed, limits.accel_mm_s2) for way, speed in ways)
    lift = edge.move_time_s(rule("approach_mm"), limits.rapid_mm_min[2], limits.accel_mm_s2)
    tools_s = len(plan.cut_s) * (limits.tool_change_s + x + y + 2.0 * z)
    return tools_s + len(plan.made) * (x + 2.0 * z) + plan.passes * 2.0 * lift


def _step(ask: Ask, place: Place, profile: Profile, plan: MillPlan) -> Step:
    machine, habits = place.machine, ask.shop.habits
    held = [feature for feature in plan.made if sizes.needs_hold_point(feature, place.limits.repeat_mm)]
    heavy = ask.state.blank.mass_kg > habits.lift_alone_kg
    gauged = sum(1 for feature in plan.made if sizes.limits_mm(feature))
    hands_s = habits.handling_s * (1.0 + len(plan.views)) * (2.0 if heavy else 1.0)
    hands_s += gauged * habits.measure_s + len(held) * (rule("gauging_stop_s") + habits.measure_s)
    cycle = Cycle(sum(plan.cut_s.values()), _travel_s(place, plan, profile.length_mm), hands_s)
    hands_s += len(plan.indexed) * (FLATS - 1) * rule("index_by_hand_s")
    set_up_s = machine.set_up_s * (1.0 + rule("second_side_share") * (len(plan.views) - 1))
    changes, left_s = _edges(machine, plan, ask.quantity)
    run = alone.Run(machine, ask.material, "cut", False, False, cycle.run_s, left_s, place.limits.controlled)
    why_not = alone.bans(run)
    cautions = [because("caution.vise"), because("caution.cutter")]
    if heavy:
        cautions.append(because("caution.lift", mass_kg=ask.state.blank.mass_kg, alone_kg=habits.lift_alone_kg))
    phases = lot_phases(
        cycle, set_up_s=set_up_s, quantity=ask.quantity, who=ask.shop.operators(machine.id), alone=not why_not,
        prove_out=habits.prove_out, edge_changes=changes,
    )  # fmt: skip
    runs_alone, why_not = alone.settled(phases, why_not, ask.quantity)
    return Step(
        id="mill",
        station="mill",
        machine=machine.id,
        holding=because("mill.hold", diameter_mm=profile.largest_mm, views=float(len(plan.views))),
        phases=phases,
        makes=tuple(feature.id for feature in plan.made),
        limits=tuple(dict.fromkeys(plan.figures)),
        cautions=tuple(cautions),
        hold_points=tuple(_hold_point(ask, feature) for feature in held),
        unattended=runs_alone,
        unattended_why=why_not,
        tools=tuple(f"T{t.number} {t.kind} {t.diameter_mm:g}" for t in machine.tools if t.number in plan.cut_s),
        split=split(cycle, habits.prove_out),
        tool_s=tuple(sorted(plan.cut_s.items())),
        notes=tuple(because("mill.indexed", feature=name) for name in plan.indexed),
    )  # fmt: skip


def _edges(machine: Machine, plan: MillPlan, quantity: int) -> tuple[int, float]:
    """How often a cutter is changed over the lot, and the life left of the most worn."""
    changes, left = 0, math.inf
    for tool in machine.tools:
        if tool.number in plan.cut_s:
            worn = min(tool.used_s / tool.life_s, 1.0)
            changes += math.floor(worn + plan.cut_s[tool.number] * quantity / tool.life_s)
            left = min(left, tool.life_s * (1.0 - worn))
    return changes, left


def _hold_point(ask: Ask, feature: Feature) -> HoldPoint:
    limits = sizes.limits_mm(feature)
    assert limits is not None, "a hold point stands only where there are limits"
    gauge = gauge_of(ask.shop, feature, limits[1])
    return HoldPoint(
        feature.id, limits[0], limits[1], gauge.id if gauge else "none", because("mill.hold_point", feature=feature.id)
    )
