"""Washing, marking, packing, and bringing it to the customer."""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.practice import rule


def answer(ask: Ask) -> Answer:
    """Packs and delivers the lot in one trip.

    Args:
        ask: the lot.
    Returns: one step; refused where nobody delivers. It makes no feature.
    """
    who = ask.shop.operators("deliver")
    if not who:
        return none_made(ask, "deliver", (because("deliver.nobody"),))
    undone = (refusal(ask, "deliver", ask.features, (because("deliver.makes_nothing"),)),) if ask.features else ()
    habits = ask.shop.habits
    load_kg = ask.state.blank.mass_kg * ask.quantity
    packing = pack_s(ask)
    why = because("deliver.trip", load_kg=load_kg, trip_s=habits.deliver_s)
    cautions = (because("caution.load", load_kg=load_kg),) if load_kg > habits.lift_alone_kg else ()
    packers = ask.shop.operators("hand") or who
    step = Step(
        id="deliver",
        station="deliver",
        machine=None,
        holding=because("deliver.hold"),
        phases=(
            hand_phase("wash, mark and pack", packing.value, who=packers, key="time.each", count=float(ask.quantity)),
            hand_phase("bring it there", habits.deliver_s, who=who, key="time.trip"),
        ),
        makes=(),
        limits=(Figure(habits.deliver_s, "s", (why,)), packing),
        cautions=cautions,
        split=(Figure((habits.deliver_s + packing.value) / ask.quantity, "s", (why,)),),
    )
    return Answer((step,), ask.state, undone)


def pack_s(ask: Ask) -> Figure:
    """Time to wash, mark and wrap the lot, and to fill its boxes: by the part's box, and by weight.

    Args:
        ask: the part, how many, how heavy.
    Returns: s, with its reason.
    """
    x, y, z = ask.part.size_mm
    box_dm2 = 2.0 * (x * y + x * z + y * z) / 1e4
    each_s = rule("pack_part_s") + rule("pack_dm2_s") * box_dm2
    boxes = max(math.ceil(ask.state.blank.mass_kg * ask.quantity / rule("box_kg")), 1)
    why = because("deliver.pack", each_s=each_s, boxes=float(boxes), box_s=rule("box_s"))
    return Figure(each_s * ask.quantity + boxes * rule("box_s"), "s", (why,))
