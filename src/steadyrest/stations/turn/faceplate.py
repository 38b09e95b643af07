"""A milled body back on the lathe: bored in four jaws or on the faceplate, dialled true, balanced, and slowly.

For bores of a body without an axis of its own that the mill leaves: finer than it holds, or larger or deeper than its
tools go. Those on one axis and open to the same side are one clamping.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from steadyrest.measure.gauges import gauge_of
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import LatheLimits, Machine, Tool
from steadyrest.shop.part import Feature
from steadyrest.shop.work import HoldPoint, Step, Undone
from steadyrest.stations import alone, edge, sizes
from steadyrest.stations.answer import Answer, Ask, refusal
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.stations.turn import bores, said
from steadyrest.stations.turn.balance import G_M_S2, Swung, fastest, swung, weight_kg
from steadyrest.stations.turn.beam import Beam
from steadyrest.stations.turn.clamping import Clamping
from steadyrest.stations.turn.holding import Hold
from steadyrest.stations.turn.passes import Cut, Setting, no_cut
from steadyrest.tables.practice import rule

SAME_MM = 0.05
CLAMPS = 4


@dataclass(frozen=True, slots=True)
class Bored:
    """What one clamping makes: each bore with its cuts, the drill's with the first; and what it refuses."""

    cuts: tuple[tuple[Tool, Cut, float], ...]
    made: tuple[Feature, ...]
    undone: tuple[Undone, ...]


def answer(ask: Ask, machine: Machine, limits: LatheLimits) -> Answer:
    """What this lathe bores of a body that is milled already.

    Args:
        ask: a body without an axis of its own, with the bores that are left.
        machine, limits: the lathe.
    Returns: a step for each axis with bores on it, the state after them, and the refusals.
    """
    steps: list[Step] = []
    undone: list[Undone] = []
    for feature in ask.asked():
        if feature.kind != "bore" or not feature.inside:
            key = because("turn.not_turned", feature=feature.id, kind=sizes.called(feature))
            undone.append(refusal(ask, "turn", (feature.id,), (key,)))
    for group in _on_one_axis([f for f in ask.asked() if f.kind == "bore" and f.inside]):
        names = tuple(feature.id for feature in group)
        body = swung(ask.part, group[0], density_kg_m3=ask.material.density_kg_m3)
        if body is None:
            undone.append(refusal(ask, "turn", names, (because("turn.swung_slant", features=", ".join(names)),)))
            continue
        hold = _held(ask, machine, limits, body)
        if not isinstance(hold, Hold):
            undone.append(refusal(ask, "turn", names, hold, _nearest(body, limits)))
            continue
        setting = _setting(ask, machine, limits, body, hold)
        bored = _bored(ask, setting, body, group)
        undone.extend(bored.undone)
        if bored.made:
            steps.append(_step(ask, setting, body, bored, len(steps) + 1))
    made = frozenset(name for step in steps for name in step.makes)
    return Answer(tuple(steps), replace(ask.state, done=ask.state.done | made), tuple(undone))


def _on_one_axis(found: Sequence[Feature]) -> list[list[Feature]]:
    """Bores by axis, widest first; blind ones that open to different ends are not one clamping."""
    groups: list[list[Feature]] = []
    for feature in found:
        group = next((g for g in groups if all(_alike(feature, other) for other in g)), None)
        if group is None:
            groups.append([feature])
        else:
            group.append(feature)
    return [sorted(group, key=lambda f: -(sizes.value_mm(f, "diameter_mm") or 0.0)) for group in groups]


def _alike(one: Feature, other: Feature) -> bool:
    """Whether two bores stand on one axis and can be made from one end."""
    turn = sum(a * b for a, b in zip(one.axis, other.axis, strict=True))
    if abs(turn) < sizes.PARALLEL:
        return False
    way = [a - b for a, b in zip(one.at_mm, other.at_mm, strict=True)]
    along = sum(a * b for a, b in zip(way, one.axis, strict=True))
    off = math.sqrt(max(sum(a * a for a in way) - along * along, 0.0))
    return off <= SAME_MM and (turn > 0 or bool(one.through) or bool(other.through))


def _held(ask: Ask, machine: Machine, limits: LatheLimits, body: Swung) -> Hold | tuple[Reason, ...]:
    """In four jaws where they open so far, else on the faceplate; or all that speaks against both."""
    refused: list[Reason] = []
    swings_mm = 2.0 * body.radius_mm
    if swings_mm > limits.swing_mm:
        over = swings_mm - limits.swing_mm
        refused.append(because("turn.swung_swing", machine=machine.name, has_mm=swings_mm,
                               allowed_mm=limits.swing_mm, over_mm=over))  # fmt: skip
    if body.mass_kg > limits.max_load_kg:
        refused.append(
            because("turn.swung_load", machine=machine.name, has_kg=body.mass_kg, allowed_kg=limits.max_load_kg)
        )
    stands = body.length_mm / min(body.across_mm)
    if stands > rule("stick_out_ratio"):
        refused.append(
            because("turn.stick_out", ratio=stands, allowed=rule("stick_out_ratio"), reach_mm=body.length_mm)
        )
    jaws, plate = _in_jaws(machine, limits, body), _on_plate(machine, limits, body)
    if refused or (isinstance(jaws, Reason) and isinstance(plate, Reason)):
        return (*refused, *(one for one in (jaws, plate) if isinstance(one, Reason)))
    grip, why, at_mm = jaws if not isinstance(jaws, Reason) else plate  # type: ignore[misc]
    weighs_n = body.mass_kg * G_M_S2
    if grip.value <= weighs_n:
        return (because("turn.swung_grip", grip_n=grip.value, weight_n=weighs_n),)
    beam = Beam(((body.length_mm, min(body.across_mm)),), ask.material.e_mpa, centre=False)
    cautions = (because("caution.swung", most_rpm=fastest(machine, limits, body, grip.value).value),)
    if body.off_mm > rule("balance_left_mm"):
        cautions = (*cautions, because("caution.balance", weight_kg=weight_kg(body, at_mm), at_mm=at_mm))
    return Hold(False, beam, why, cautions, grip, most_rpm=fastest(machine, limits, body, grip.value))


Way = tuple[Figure, Reason, float]


def _in_jaws(machine: Machine, limits: LatheLimits, body: Swung) -> Way | Reason:
    """Four jaws, each on its own: grip, how it is said, where a balance weight sits; or why not."""
    if limits.four_jaw_mm is None:
        return because("turn.swung_no_jaws", machine=machine.name)
    low, high = limits.four_jaw_mm
    if not (low <= min(body.across_mm) and 2.0 * max(body.beside_mm) <= high):
        return because("turn.swung_jaws", machine=machine.name, has_mm=2.0 * max(body.beside_mm), smallest_mm=low,
                       largest_mm=high)  # fmt: skip
    friction, safety = rule("jaw_friction"), rule("holding_safety")
    grips = because("turn.grip", grip_n=limits.chuck_grip_n, friction=friction, safety=safety)
    why = because("turn.hold_swung_jaws", across_mm=body.across_mm[0], by_mm=body.across_mm[1], off_mm=body.off_mm)
    return Figure(limits.chuck_grip_n * friction / safety, "N", (grips,)), why, limits.chuck_largest_mm / 2.0


def _on_plate(machine: Machine, limits: LatheLimits, body: Swung) -> Way | Reason:
    """The faceplate: clamps stand beside the work on two sides, and must find the plate there."""
    if limits.faceplate_mm <= 0:
        return because("turn.swung_no_plate", machine=machine.name)
    wants_mm = 2.0 * (min(body.beside_mm) + rule("faceplate_clamp_mm"))
    if wants_mm > limits.faceplate_mm:
        return because("turn.swung_plate", machine=machine.name, has_mm=wants_mm, allowed_mm=limits.faceplate_mm)
    force_n, friction, safety = CLAMPS * rule("clamp_n"), rule("jaw_friction"), rule("holding_safety")
    grips = because("turn.plate_grip", count=float(CLAMPS), grip_n=force_n, friction=friction, safety=safety)
    why = because("turn.hold_faceplate", across_mm=body.across_mm[0], by_mm=body.across_mm[1], off_mm=body.off_mm,
                  count=float(CLAMPS))  # fmt: skip
    return Figure(force_n * friction / safety, "N", (grips,)), why, 0.4 * limits.faceplate_mm


def _nearest(body: Swung, limits: LatheLimits) -> Reason:
    """What would make it a yes: a plate that is large enough, where the lathe swings it; else a boring mill."""
    if 2.0 * body.radius_mm <= limits.swing_mm and body.mass_kg <= limits.max_load_kg:
        wants_mm = 2.0 * (min(body.beside_mm) + rule("faceplate_clamp_mm"))
        return because("turn.nearest_plate", diameter_mm=min(wants_mm, limits.swing_mm))
    return because("turn.nearest_boring", swing_mm=2.0 * body.radius_mm, mass_kg=body.mass_kg)


def _setting(ask: Ask, machine: Machine, limits: LatheLimits, body: Swung, hold: Hold) -> Setting:
    """Where the cuts happen: what is gripped counts as a round of the narrower side."""
    tool = next((tool for tool in machine.tools if tool.kind == "boring"), machine.tools[0])
    low, high = ask.material.vc_hss_m_min if tool.made_of == "hss" else ask.material.vc_carbide_m_min
    across_mm = min(body.across_mm)
    clamping = Clamping(
        number=3, stretches=(), raw_mm=2.0 * body.radius_mm, grip_mm=across_mm, jaws_mm=0.0, wanted_jaws_mm=0.0,
        reach_mm=body.length_mm, faced_mm=0.0, outside_mm=body.length_mm, mass_kg=body.mass_kg,
    )  # fmt: skip
    return Setting(
        machine, limits, ask.material, tool, clamping, hold, math.sqrt(low * high), ask.shop.habits.finish_ra_um,
        ask.shop.habits.finish_allowance_mm,
    )  # fmt: skip


def _deep_mm(feature: Feature, body: Swung) -> float:
    deep = sizes.value_mm(feature, "depth_mm") or sizes.value_mm(feature, "length_mm")
    return body.length_mm if feature.through and deep is None else deep or body.length_mm


def _bored(ask: Ask, setting: Setting, body: Swung, group: Sequence[Feature]) -> Bored:
    """One drill for the narrowest, then a bar for each, the widest first."""
    machine = setting.machine
    cuts: list[tuple[Tool, Cut, float]] = []
    made: list[Feature] = []
    undone: list[Undone] = []
    wide = [(f, sizes.value_mm(f, "diameter_mm") or 0.0, _deep_mm(f, body)) for f in group]
    drilled, first = _drilled(setting, min(one[1] for one in wide), max(one[2] for one in wide))
    for feature, diameter_mm, deep_mm in wide:
        fine = sizes.too_fine(feature, repeat_mm=setting.limits.repeat_mm, machine=machine.name)
        if drilled is None or fine is not None:
            reasons = (*((fine,) if fine is not None else ()), *first.refused)
            undone.append(refusal(ask, "turn", (feature.id,), reasons))
            continue
        bars = [tool for tool in machine.tools if tool.kind == "boring"]
        tries = [
            (bar, bores.bore(setting, bar, from_mm=drilled.diameter_mm, to_mm=diameter_mm, depth_mm=deep_mm,
                             length_mm=deep_mm, width_mm=sizes.width_mm(feature)))
            for bar in bars
        ]  # fmt: skip
        good = next(((bar, cut) for bar, cut in tries if not cut.refused), None)
        if good is None:
            none = because("turn.no_tool", machine=machine.name, kind="boring")
            refused = tuple(reason for _, cut in tries for reason in cut.refused) or (none,)
            undone.append(refusal(ask, "turn", (feature.id,), refused))
            continue
        cuts.append((*good, deep_mm))
        made.append(feature)
    if made and drilled is not None:
        cuts.insert(0, (drilled, first, max(one[2] for one in wide)))
    return Bored(tuple(cuts), tuple(made), tuple(undone))


def _drilled(setting: Setting, smallest_mm: float, deep_mm: float) -> tuple[Tool | None, Cut]:
    """The widest drill that passes and drives; None with the reasons where none does."""
    drills = [t for t in setting.machine.tools if t.kind == "drill" and not t.driven and t.diameter_mm < smallest_mm]
    if not drills:
        return None, no_cut(because("turn.no_drill", machine=setting.machine.name, diameter_mm=smallest_mm))
    refused: list[Reason] = []
    for drill in sorted(drills, key=lambda tool: -tool.diameter_mm):
        cut = bores.drill(setting, drill, deep_mm)
        if not cut.refused:
            return drill, cut
        refused.extend(cut.refused)
    return None, no_cut(*dict.fromkeys(refused))


def _step(ask: Ask, setting: Setting, body: Swung, bored: Bored, number: int) -> Step:
    machine, limits, habits, hold = setting.machine, setting.limits, ask.shop.habits, setting.hold
    cut_s: dict[int, float] = {}
    travel_s = 0.0
    back = edge.move_time_s(rule("home_mm"), min(limits.rapid_mm_min), limits.accel_mm_s2)
    for tool, cut, deep_mm in bored.cuts:
        cut_s[tool.number] = cut_s.get(tool.number, 0.0) + cut.cut_s
        out_s = edge.move_time_s(deep_mm + rule("approach_mm"), limits.rapid_mm_min[1], limits.accel_mm_s2)
        travel_s += cut.passes * 2.0 * out_s
    travel_s += len(cut_s) * (limits.tool_change_s + 2.0 * back)
    held = [feature for feature in bored.made if sizes.needs_hold_point(feature, limits.repeat_mm)]
    gauged = max(sum(1 for feature in bored.made if sizes.limits_mm(feature)), 1)
    heavy = 2.0 if body.mass_kg > habits.lift_alone_kg else 1.0
    hands_s = (2.0 * habits.handling_s + rule("faceplate_true_s")) * heavy + gauged * habits.measure_s
    hands_s += len(held) * (rule("gauging_stop_s") + habits.measure_s)
    cycle = Cycle(sum(cut_s.values()), travel_s, hands_s)
    uneven = body.off_mm > rule("balance_left_mm")
    set_up_s = machine.set_up_s * rule("second_side_share") + rule("faceplate_set_s")
    set_up_s += rule("balance_s") if uneven else 0.0
    changes, left_s = _edges(machine, cut_s, ask.quantity)
    run = alone.Run(machine, ask.material, "cut", True, False, cycle.run_s, left_s, limits.controlled)
    phases = lot_phases(
        cycle, set_up_s=set_up_s, quantity=ask.quantity, who=ask.shop.operators(machine.id), alone=False,
        prove_out=habits.prove_out, edge_changes=changes,
    )  # fmt: skip
    figures = (hold.rpm_limit(limits), *(figure for _, cut, _ in bored.cuts for figure in cut.figures))
    return Step(
        id="turn again" if number == 1 else f"turn again {number}",
        station="turn",
        machine=machine.id,
        holding=hold.why,
        phases=phases,
        makes=tuple(feature.id for feature in bored.made),
        limits=tuple(dict.fromkeys(figures)),
        cautions=(*hold.cautions, *said.chips(ask)),
        hold_points=tuple(_hold_point(ask, feature) for feature in held),
        unattended=False,
        unattended_why=(because("turn.swung_alone"), *alone.bans(run)),
        tools=tuple(f"T{tool.number} {tool.kind}" for tool in machine.tools if tool.number in cut_s),
        tool_s=tuple(sorted(cut_s.items())),
        split=split(cycle, habits.prove_out),
        notes=(because("turn.swung_true", within_mm=rule("faceplate_true_mm")),),
    )


def _edges(machine: Machine, cut_s: dict[int, float], quantity: int) -> tuple[int, float]:
    """How often an edge is changed over the lot, and the life left of the most worn."""
    changes, left = 0, math.inf
    for tool in machine.tools:
        if tool.number in cut_s:
            worn = min(tool.used_s / tool.life_s, 1.0)
            changes += math.floor(worn + cut_s[tool.number] * quantity / tool.life_s)
            left = min(left, tool.life_s * (1.0 - worn))
    return changes, left


def _hold_point(ask: Ask, feature: Feature) -> HoldPoint:
    limits = sizes.limits_mm(feature)
    assert limits is not None, "a hold point stands only where there are limits"
    gauge = gauge_of(ask.shop, feature, limits[1])
    why = because("turn.hold_point", feature=feature.id)
    return HoldPoint(feature.id, limits[0], limits[1], gauge.id if gauge else "none", why)
