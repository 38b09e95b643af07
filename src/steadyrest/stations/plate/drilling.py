"""Holes too small to cut, drilled by hand where they were centre-punched."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Feature
from steadyrest.shop.work import Step
from steadyrest.stations import sizes
from steadyrest.stations.answer import Ask
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.plate_cutting import figures

WAY = "plasma"  # what is done by hand is the same beside every cutter


def not_by_hand(feature: Feature) -> Reason | None:
    """Why a hole is not drilled by hand; None if it is.

    Args:
        feature: a bore.
    Returns: too large, or limits too narrow.
    """
    most, limits = figures(WAY)["hand_drill_most_mm"], figures(WAY)["hand_drill_limits_mm"]
    diameter = sizes.value_mm(feature, "diameter_mm") or 0.0
    if diameter > most:
        return because("plate.hand_large", feature=feature.id, has_mm=diameter, allowed_mm=most)
    own = sizes.limits_mm(feature)
    if own is not None and own[1] - own[0] < limits:
        return because("plate.hand_fine", feature=feature.id, width_mm=own[1] - own[0], allowed_mm=limits)
    return None


def by_hand(ask: Ask, features: Sequence[Feature]) -> Step | None:
    """Punch, drill and clear the holes of the whole lot.

    Args:
        ask: the part with its thickness, how many.
        features: bores that are drilled so.
    Returns: a step; None where nobody does hand work, or there is nothing to drill.
    """
    who = ask.shop.operators("hand")
    if not who or not features:
        return None
    own, thickness = figures(WAY), ask.part.size_mm[2]
    softer = min(max(ask.material.rm_mpa, 200.0) / 400.0, 3.0)
    each_s = len(features) * (own["punch_s"] + own["hand_drill_set_s"])
    each_s += len(features) * 60.0 * softer * (thickness + 3.0) / own["hand_drill_mm_min"]
    total_s = each_s * ask.quantity
    drills = sorted({round(sizes.value_mm(one, "diameter_mm") or 0.0, 2) for one in features})
    why = because("plate.drilled", count=float(len(features)), each_s=each_s / len(features))
    return Step(
        id="drill by hand",
        station="hand",
        machine=None,
        holding=because("plate.drill_hold"),
        phases=(hand_phase("punch and drill", total_s, who=who, key="time.each", count=float(ask.quantity)),),
        makes=tuple(one.id for one in features),
        limits=(Figure(each_s, "s", (why,)),),
        cautions=(because("plate.caution_drill"),),
        tools=tuple(f"drill {size:g}" for size in drills),
        split=(Figure(each_s, "s", (why,)),),
    )
