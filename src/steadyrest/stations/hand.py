"""Hand work at the bench: breaking the edges. A bench makes no feature that a drawing names."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import BenchLimits
from steadyrest.shop.part import Feature
from steadyrest.shop.work import Step
from steadyrest.stations import sizes
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase


def answer(ask: Ask) -> Answer:
    """Breaks the edges of every part of the lot.

    Args:
        ask: the part; machine: the bench, or None where work is done in the hand.
    Returns: one step; refused where nobody does hand work, or the bench does not carry the part.
    """
    who = ask.shop.operators("hand")
    reasons: list[Reason] = []
    if not who:
        reasons.append(because("hand.nobody"))
    mass_kg = ask.state.blank.mass_kg
    if ask.machine is not None and not isinstance(ask.machine.limits, BenchLimits):
        reasons.append(because("hand.no_bench", machine=ask.machine.name))
    elif ask.machine is not None and isinstance(ask.machine.limits, BenchLimits):
        allowed = ask.machine.limits.max_load_kg
        if mass_kg > allowed:
            reasons.append(because("hand.load", machine=ask.machine.name, has_kg=mass_kg, allowed_kg=allowed))
    if reasons:
        return none_made(ask, "hand", reasons)
    undone = (refusal(ask, "hand", ask.features, (because("hand.only_edges"),)),) if ask.features else ()
    return Answer((_step(ask, who),), ask.state, undone)


def edge_length_mm(ask: Ask) -> float:
    """Length of all edges of one part: both rims of every step or hole, round every slot, pocket and boss.

    Args:
        ask: the part.
    Returns: mm; with the box's twelve edges where there is no profile.
    """
    profile = ask.part.profile
    if ask.part.flat is not None:
        return 2.0 * ask.part.flat.cut_length.value
    if profile is None:
        return 4.0 * sum(ask.part.size_mm) + sum(_rims_mm(feature) for feature in ask.part.features)
    rims = sum(math.pi * (s.diameter_from_mm + s.diameter_to_mm) for s in (*profile.outside, *profile.inside))
    slots = 0.0
    for feature in ask.part.features:
        if feature.kind in ("keyway", "slot", "flat"):
            names = ("length_mm", "width_mm")
            slots += 2.0 * sum(sizes.value_mm(feature, name) or 0.0 for name in names)
    return rims / 2.0 + slots


def _rims_mm(feature: Feature) -> float:
    """The edges that a feature of a milled part adds: a hole's rims, the outline of what is sunk or raised."""
    diameter = sizes.value_mm(feature, "diameter_mm")
    if feature.kind in ("bore", "thread") and diameter is not None:
        return math.pi * diameter * (2.0 if feature.through else 1.0)
    if feature.kind in ("slot", "pocket", "boss", "keyway"):
        return 2.0 * sum(sizes.value_mm(feature, name) or 0.0 for name in ("width_mm", "length_mm"))
    return 0.0


def _step(ask: Ask, who: tuple[str, ...]) -> Step:
    habits = ask.shop.habits
    length_mm = edge_length_mm(ask)
    each_s = length_mm / 1000.0 * habits.deburr_s_per_m + habits.handling_s
    total_s = each_s * ask.quantity
    why = because("hand.edges", length_mm=length_mm, per_metre_s=habits.deburr_s_per_m)
    cautions = [because("caution.edges")]
    if ask.state.blank.mass_kg > habits.lift_alone_kg:
        cautions.append(because("caution.lift", mass_kg=ask.state.blank.mass_kg, alone_kg=habits.lift_alone_kg))
    return Step(
        id="deburr",
        station="hand",
        machine=ask.machine.id if ask.machine else None,
        holding=because("hand.hold"),
        phases=(hand_phase("deburr", total_s, who=who, key="time.each", count=float(ask.quantity)),),
        makes=(),
        limits=(Figure(each_s, "s", (why,)),),
        cautions=tuple(cautions),
        tools=("deburring blade", "fine file"),
        split=(Figure(each_s, "s", (why,)),),
    )
