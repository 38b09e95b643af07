"""Packing and bringing it to the customer."""

from __future__ import annotations

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase


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
    why = because("deliver.trip", load_kg=load_kg, trip_s=habits.deliver_s)
    cautions = (because("caution.load", load_kg=load_kg),) if load_kg > habits.lift_alone_kg else ()
    step = Step(
        id="deliver",
        station="deliver",
        machine=None,
        holding=because("deliver.hold"),
        phases=(hand_phase("pack and deliver", habits.deliver_s, who=who, key="time.trip"),),
        makes=(),
        limits=(Figure(habits.deliver_s, "s", (why,)),),
        cautions=cautions,
        split=(Figure(habits.deliver_s, "s", (why,)),),
    )
    return Answer((step,), ask.state, undone)
