"""The lathe's answer: two clampings, each a step; what it made, what it left, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.measure.gauges import gauge_of
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.shop.part import Feature, Profile, Stretch
from steadyrest.shop.work import HoldPoint, Step, Undone
from steadyrest.stations import alone, edge, sizes
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.stations.turn import (
    bores,
    die,
    end_steady,
    faceplate,
    feeding,
    holding,
    long_bar,
    said,
    thread_choice,
    threads,
)
from steadyrest.stations.turn.booking import Side, SidePlan
from steadyrest.stations.turn.clamping import Clamping, clamped, hole_mm, part_off_tool, parts_off, raw_of
from steadyrest.stations.turn.driven import has_driven, is_driven
from steadyrest.stations.turn.holding import Hold
from steadyrest.stations.turn.knurl import is_knurl
from steadyrest.stations.turn.passes import Setting
from steadyrest.stations.turn.side import plan
from steadyrest.stock.blank import SAME_MM, Need, need
from steadyrest.tables.practice import rule

TURNED = ("face", "shaft", "bore", "cone", "fillet", "chamfer", "groove", "thread")
CENTRE_WANTED = ("turn.stick_out", "turn.no_room_for_centre")
NO_END_STEADY = ("turn.no_end_steady", "turn.steady_size", "turn.steady_skin", "turn.steady_no_room",
                 "turn.slender_steady")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Chosen:
    """One side planned: how it is held, at which speed, and how often an edge is changed over the lot."""

    setting: Setting
    plan: SidePlan
    edge_changes: int
    edge_left_s: float
    lot_s: float


def answer(ask: Ask) -> Answer:
    """What this lathe makes of the part.

    Args:
        ask: the part with a profile, the features wanted, the blank, the lathe.
    Returns: two steps (one, if nothing is left for the second side), the state after them, and the refusals.
    """
    machine, profile = ask.machine, ask.part.profile
    if machine is None or not isinstance(machine.limits, LatheLimits):
        return none_made(ask, "turn", (because("turn.no_lathe"),))
    if profile is None and ask.state.done:
        return faceplate.answer(ask, machine, machine.limits)
    if profile is None or not ask.part.axisymmetric:
        return none_made(ask, "turn", (_no_axis(ask),))
    ask = replace(ask, part=threads.bored(sizes.within_limits(ask.part)))
    profile = ask.part.profile or profile
    turned, undone = wanted(ask, profile)
    if not turned and ask.features:
        return Answer((), ask.state, tuple(undone))
    raw_mm = raw_of(ask.state.blank)
    as_stock = raw_mm <= profile.largest_mm + SAME_MM
    if ask.state.blank.size_mm[0] < profile.largest_mm - SAME_MM:
        why = because("turn.blank_small", has_mm=ask.state.blank.size_mm[0], wanted_mm=profile.largest_mm)
        return none_made(ask, "turn", (why,))
    unfed = feeding.not_fed(ask, machine, machine.limits) if ask.state.fed else ()
    if unfed:
        return none_made(ask, "turn", unfed)
    wants = need(profile, ask.shop.habits, as_stock=as_stock)
    wants = feeding.without_spare(wants) if ask.state.fed else wants
    steps: list[Step] = []
    impossible: list[Reason] = []
    for number in (1, 2):
        clamping = clamped(ask, machine.limits, wants, number=number, raw_mm=raw_mm)
        big = [*holding.too_big(machine, machine.limits, clamping), *long_bar.too_long(ask, machine, clamping)]
        side_features = of_side(turned, profile, wants, number)
        chosen, reasons = None, tuple(big)
        if not big:
            chosen, reasons = best_way(ask, machine, clamping, wants, side_features, as_stock)
        if chosen is None:
            impossible.extend(reasons)
            continue
        undone.extend(chosen.plan.undone)
        steps.append(_step(ask, machine, chosen, clamping, number))
    if impossible:
        return none_made(ask, "turn", tuple(dict.fromkeys(impossible)), _nearest(machine, raw_mm, impossible))
    if machine.limits.second_spindle and len(steps) == 2 and steps[1].makes:
        steps = [feeding.taken_over(ask, machine, *steps)]
    by_hand, undone = die.at_bench(ask, undone)
    steps.extend(by_hand)
    made = {name for step in steps for name in step.makes}
    refused = {name for no in undone for name in no.features}
    lost = [feature.id for feature in turned if feature.id not in made | refused]
    if lost:
        undone.append(refusal(ask, "turn", lost, (because("turn.not_in_profile", features=", ".join(lost)),)))
    state = replace(ask.state, turned=2, done=ask.state.done | made)
    return Answer(tuple(steps), state, tuple(undone))


def _no_axis(ask: Ask) -> Reason:
    x, y, z = ask.part.size_mm
    return because("turn.no_axis", x_mm=x, y_mm=y, z_mm=z)


def _nearest(machine: Machine, raw_mm: float, impossible: Iterable[Reason]) -> Reason:
    """The cheapest change: of the one thing that stands against it, where there is but one; else another lathe."""
    said = {reason.key: dict(reason.given) for reason in impossible}
    if set(said) == {"turn.bar_out"}:
        return because("turn.nearest_tube", has_mm=said["turn.bar_out"]["has_mm"])
    if set(said) == {"turn.between_centres"}:
        return because("turn.nearest_bed", has_mm=said["turn.between_centres"]["has_mm"], diameter_mm=raw_mm)
    if said and set(said) <= {"turn.swing", "turn.swing_over_slide"}:
        return because("turn.nearest_swing", has_mm=raw_mm)
    if {"turn.stick_out", "turn.no_room_for_centre"} <= set(said) <= {*CENTRE_WANTED, *NO_END_STEADY}:
        end_mm = said["turn.no_room_for_centre"]["diameter_mm"]
        if isinstance(end_mm, float) and end_mm >= 1.0:
            return because("turn.nearest_centre", diameter_mm=end_mm / 2.0)
    return because("turn.nearest_outside", machine=machine.name)


def wanted(ask: Ask, profile: Profile) -> tuple[list[Feature], list[Undone]]:
    """The features asked for that are turned, and a refusal for each that is not."""
    turned: list[Feature] = []
    undone: list[Undone] = []
    limits = ask.machine.limits if ask.machine else None
    drives = isinstance(limits, LatheLimits) and has_driven(limits) and not ask.turn_only
    tooled = ask.machine is not None and any(tool.kind == "knurl" for tool in ask.machine.tools)
    # A dome or a ball end is turned along its line, by a control.
    controlled = isinstance(limits, LatheLimits) and limits.controlled
    named = {stretch.feature for stretch in profile.outside}
    shaped = {
        f.id
        for f in ask.asked()
        if controlled and f.kind in ("free", "sphere") and (f.id in named or _is_ring(f, profile))
    }
    for feature in ask.asked():
        if (
            (drives and is_driven(feature, profile) and sizes.bore_of(feature, ask.part) is None)
            or (tooled and is_knurl(feature))
            or (feature.kind in TURNED and sizes.coaxial(feature, profile))
            or (feature.id in shaped and not is_knurl(feature))
        ):
            turned.append(feature)
        else:
            key = "turn.not_planned" if feature.kind == "sphere" else "turn.not_turned"
            undone.append(
                refusal(ask, "turn", (feature.id,), (because(key, feature=feature.id, kind=sizes.called(feature)),))
            )
    return turned, undone


def _is_ring(feature: Feature, profile: Profile) -> bool:
    """Whether a free surface goes round the outside about the axis, such as a groove's wall that a scan saw badly."""
    if feature.inside or feature.along_mm is None or not sizes.coaxial(feature, profile):
        return False
    low, high = sorted(feature.along_mm)
    beside = [s for s in profile.outside if s.from_mm < high and s.to_mm > low]
    least = min((min(s.diameter_from_mm, s.diameter_to_mm) for s in beside), default=0.0)
    return least > 0.0 and feature.area_mm2 >= 0.5 * math.pi * least * (high - low)


def of_side(turned: Iterable[Feature], profile: Profile, wants: Need, number: int) -> dict[str, Feature]:
    """The turned features of one side: by the stretch they name, else by where their middle lies."""
    sides = wants.sides
    mine = sides.first if number == 1 else sides.second
    way = bores.ways(profile, from_high=sides.from_high)[number - 1]
    own = {s.feature for s in (*mine, *(s for s, _ in way.bores), *(s for s, _ in way.blocked)) if s.feature}
    named = {s.feature for s in (*profile.outside, *profile.inside) if s.feature}
    low_mm, high_mm = profile.outside[0].from_mm, profile.outside[-1].to_mm
    border = high_mm - sides.first_mm if sides.from_high else low_mm + sides.first_mm
    found: dict[str, Feature] = {}
    for feature in turned:
        if feature.id in named:
            mine_too = feature.id in own and not (number == 2 and feature.id in {s.feature for s in sides.first})
        elif feature.inside and feature.kind == "groove" and feature.on in named:
            mine_too = feature.on in own  # cut where its bore is
        else:
            middle = sum(feature.along_mm) / 2.0 if feature.along_mm else low_mm + sizes.along_axis_mm(feature, profile)
            on_first = middle > border + SAME_MM if sides.from_high else middle < border - SAME_MM
            mine_too = on_first == (number == 1)
        if mine_too:
            found[feature.id] = feature
    return found


def best_way(
    ask: Ask, machine: Machine, clamping: Clamping, wants: Need, features: dict[str, Feature], as_stock: bool
) -> tuple[Chosen | None, tuple[Reason, ...]]:
    """The way of holding and the speed that make the most of the features, and then the lot soonest."""
    assert isinstance(machine.limits, LatheLimits)
    assert ask.part.profile is not None
    ways, refused = holding.holds(ask, machine, machine.limits, clamping)
    reasons = list(refused)
    if not ways and not clamping.squared:
        chuck = machine.limits.chuck_smallest_mm <= clamping.grip_mm <= machine.limits.chuck_largest_mm
        way = end_steady.held_at_end(ask, machine, machine.limits, clamping, holding.jaws_grip(machine.limits))
        if chuck and isinstance(way, Hold):
            ways = (way,)
        elif chuck and not isinstance(way, Hold):
            reasons.extend(way)
    best: Chosen | None = None
    for way in ways:
        hold = long_bar.slowed(ask, machine.limits, clamping, way)
        for chosen in _at_speeds(ask, machine, clamping, wants, features, as_stock, hold):
            reasons.extend(chosen.plan.impossible)
            if chosen.plan.impossible:
                continue
            if best is None or (len(chosen.plan.made), -chosen.lot_s) > (len(best.plan.made), -best.lot_s + 1e-9):
                best = chosen
    return best, tuple(dict.fromkeys(reasons))


def _at_speeds(
    ask: Ask,
    machine: Machine,
    clamping: Clamping,
    wants: Need,
    features: dict[str, Feature],
    as_stock: bool,
    hold: Hold,
) -> Iterable[Chosen]:
    """One side at three speeds, from the middle of the metal's band down: a slower one may save edges over a lot."""
    assert isinstance(machine.limits, LatheLimits)
    assert ask.part.profile is not None
    low, high = ask.material.vc_carbide_m_min
    way = bores.ways(ask.part.profile, from_high=wants.sides.from_high)[clamping.number - 1]
    mine = wants.sides.first if clamping.number == 1 else wants.sides.second
    named = {s.feature for s in (*mine, *(s for s, _ in way.bores), *(s for s, _ in way.blocked))}
    tool = next((t for t in machine.tools if t.kind == "turning"), machine.tools[0] if machine.tools else None)
    if tool is None:
        return
    if tool.made_of == "hss":
        low, high = ask.material.vc_hss_m_min
    cut_last = tuple(feature for feature in features.values() if feature.kind == "thread")
    others = tuple(f for name, f in features.items() if name not in named and f.kind != "thread")
    middle = math.sqrt(low * high)
    for speed in (middle, math.sqrt(low * middle), low):
        setting = Setting(
            machine, machine.limits, ask.material, tool, clamping, hold, speed,
            ask.shop.habits.finish_ra_um, ask.shop.habits.finish_allowance_mm,
        )  # fmt: skip
        parted = parts_off(ask, wants, raw_of(ask.state.blank))
        spare_mm = wants.sides.spare_mm if clamping.number == 2 and not parted else 0.0
        part_off = parted and clamping.number == 1
        turned = {name: feature for name, feature in features.items() if feature.kind != "thread"}
        ends = _ends(ask, wants, clamping, mine, part_off)
        side = Side(setting, mine, way, others, spare_mm, turned, as_stock, ends, cut_last, part_off)
        made = plan(ask, side)
        changes, left_s = _edges(machine, made, speed, middle, ask.quantity)
        lot_s = ask.quantity * (made.all_cut_s + made.travel_s) + changes * rule("edge_change_s")
        yield Chosen(setting, made, changes, left_s, lot_s)


def _ends(ask: Ask, wants: Need, clamping: Clamping, mine: tuple[Stretch, ...], part_off: bool) -> threads.Ends:
    """What lies beside the threads of one side: behind its last stretch a groove to be parted off, or thin bar."""
    assert ask.part.profile is not None
    assert ask.machine is not None
    beyond_mm = 0.0
    if part_off:
        blade = part_off_tool(ask.machine.tools, clamping.raw_mm, hole_mm(ask))
        beyond_mm = blade.width_mm if blade else 0.0
    elif mine and clamping.raw_mm <= mine[-1].largest_mm + SAME_MM:
        beyond_mm = max(clamping.reach_mm - sum(stretch.length_mm for stretch in mine), 0.0)
    end_high = wants.sides.from_high == (clamping.number == 1)
    return threads.Ends(ask.part.profile, end_high, mine, beyond_mm, thread_choice.bench(ask.shop))


def _edges(machine: Machine, made: SidePlan, speed: float, known: float, quantity: int) -> tuple[int, float]:
    """How often an edge is changed over the lot, and what is left of the most worn one (Taylor), at this speed."""
    changes, left = 0, math.inf
    for tool in machine.tools:
        cut_s = made.cut_s.get(tool.number, 0.0)
        if cut_s <= 0:
            continue
        exponent = rule("taylor_hss") if tool.made_of == "hss" else rule("taylor_carbide")
        life = edge.life_s(speed, known_life_s=tool.life_s, known_speed_m_min=known, exponent=exponent)
        worn = min(tool.used_s / tool.life_s, 1.0)
        changes += math.floor(worn + cut_s * quantity / life)
        left = min(left, life * (1.0 - worn))
    return changes, left


def _step(ask: Ask, machine: Machine, chosen: Chosen, clamping: Clamping, number: int) -> Step:
    made, setting, habits = chosen.plan, chosen.setting, ask.shop.habits
    stops = len(made.held)
    gauged = max(sum(1 for name in made.made if sizes.limits_mm(ask.part.feature(name))), 1)
    stops_s = stops * (rule("gauging_stop_s") + habits.measure_s)
    hands_s = (2.0 * habits.handling_s + gauged * habits.measure_s + stops_s) * _heavy(ask)
    fed = ask.state.fed and number == 1
    if fed:
        hands_s = feeding.fed_hands_s(ask, setting.limits, gauged, stops_s)
    hands_s += rule("four_jaw_true_s") if clamping.squared else 0.0
    centred_s, centred = long_bar.centred(setting.limits, clamping, setting.hold)
    in_steady = made.bored_in_steady_mm > 0.0
    hands_s += centred_s + (rule("steady_close_s") if in_steady else 0.0)
    pulled = fed and feeding.by_hand(setting.limits)
    travel_s = made.travel_s + (rule("bar_pull_s") if fed and not pulled else 0.0)
    cycle = Cycle(made.all_cut_s, travel_s, hands_s, made.spread(setting.limits))
    run = alone.Run(
        machine, ask.material, "cut", made.roughs, False, cycle.run_s, chosen.edge_left_s, setting.limits.controlled
    )
    why_not = (*alone.bans(run), *((because("alone.hold_point", count=float(stops)),) if stops else ()),
               *((because("turn.pulled_alone"),) if pulled else ()))  # fmt: skip
    set_up_s = machine.set_up_s if number == 1 else machine.set_up_s * rule("second_side_share") + rule("run_out_s")
    set_up_s += rule("steady_set_s") if setting.hold.steady or in_steady else 0.0
    set_up_s += rule("four_jaw_set_s") if clamping.squared else 0.0
    who = ask.shop.operators(machine.id)
    figures = tuple(dict.fromkeys(made.figures))
    if made.left_as_stock:
        left = because("turn.left_as_stock", diameter_mm=clamping.raw_mm)
        figures = (Figure(clamping.raw_mm, "mm", (left,)), *figures)
    if fed:
        phases = feeding.fed_phases(
            cycle, set_up_s=set_up_s + rule("bar_load_s"), ask=ask, who=who, unwatched=not why_not,
            prove_out=habits.prove_out, changes=chosen.edge_changes,
        )  # fmt: skip
    else:
        phases = lot_phases(
            cycle, set_up_s=set_up_s, quantity=ask.quantity, who=who, alone=not why_not, prove_out=habits.prove_out,
            edge_changes=chosen.edge_changes,
        )  # fmt: skip
    runs_alone, why_not = alone.settled(phases, why_not, ask.quantity)
    return Step(
        id=f"turn-{number}",
        station="turn",
        machine=machine.id,
        holding=setting.hold.why,
        phases=phases,
        makes=tuple(made.made),
        limits=figures,
        cautions=(
            *setting.hold.cautions,
            *((because("caution.bar_pulled" if pulled else "caution.bar_feed"),) if fed else ()),
            *said.on_thread(ask, clamping),
            *((because("caution.steady"),) if in_steady and not setting.hold.steady else ()),
            *dict.fromkeys(made.cautions),
            *said.chips(ask),
        ),
        hold_points=tuple(_hold_point(ask, feature) for feature in made.held),
        unattended=runs_alone,
        unattended_why=why_not,
        tools=tuple(f"T{tool.number} {tool.kind}" for tool in machine.tools if tool.number in made.cut_s),
        cash=Decimal(0),
        tool_s=tuple(sorted(made.cut_s.items())),
        split=split(cycle, habits.prove_out),
        notes=(*(feeding.pulled_on(ask, setting.limits) if fed else ()), *centred,
               *((because("turn.bored_in_steady", under_mm=made.bored_in_steady_mm),) if in_steady else ()),
               *said.soft_jaws(clamping, collet=setting.hold.collet), *said.chatter(machine, setting, made)),
    )  # fmt: skip


def _heavy(ask: Ask) -> float:
    """Hands take twice as long where a hoist or a second person must help."""
    return 2.0 if ask.state.blank.mass_kg > ask.shop.habits.lift_alone_kg else 1.0


def _hold_point(ask: Ask, feature: Feature) -> HoldPoint:
    limits = sizes.limits_mm(feature)
    assert limits is not None, "a hold point stands only where there are limits"
    gauge = gauge_of(ask.shop, feature, limits[1])
    name = gauge.id if gauge else "none"
    return HoldPoint(feature.id, limits[0], limits[1], name, because("turn.hold_point", feature=feature.id))
