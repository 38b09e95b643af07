"""Washing, marking, packing, and bringing it to the customer: in the van, on the trailer, in one trip or several."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.handling.trailer import Trailer, most_load_kg, stands_mm, towed
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Carriage, Shop
from steadyrest.shop.work import Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.practice import rule


def answer(ask: Ask) -> Answer:
    """Packs and delivers the lot.

    Args:
        ask: the lot.
    Returns: one step; refused where nobody delivers, or a piece is too heavy. It makes no feature.
    """
    who = ask.shop.operators("deliver")
    if not who:
        return none_made(ask, "deliver", (because("deliver.nobody"),))
    undone = (refusal(ask, "deliver", ask.features, (because("deliver.makes_nothing"),)),) if ask.features else ()
    each_kg = ask.state.blank.mass_kg
    load_kg = each_kg * ask.quantity
    by = carried(load_kg, ask.shop, heaviest_kg=each_kg, alike=ask.quantity)
    if isinstance(by, Reason):
        return none_made(ask, "deliver", (by,), because("deliver.fetched"))
    packing = pack_s(ask)
    trip_s = by.trips * ask.shop.habits.deliver_s
    why = trip_why(by, ask.shop)
    cautions = (because("caution.load", load_kg=load_kg),) if load_kg > ask.shop.habits.lift_alone_kg else ()
    packers = ask.shop.operators("hand") or who
    step = Step(
        id="deliver",
        station="deliver",
        machine=None,
        holding=because("deliver.hold"),
        phases=(
            hand_phase("wash, mark and pack", packing.value, who=packers, key="time.each", count=float(ask.quantity)),
            hand_phase("bring it there", trip_s, who=who, key="time.trip"),
        ),
        makes=(),
        limits=(Figure(trip_s, "s", why), packing),
        cautions=(*cautions, *by.cautions),
        notes=by.notes,
        split=(Figure((trip_s + packing.value) / ask.quantity, "s", why),),
    )
    return Answer((step,), ask.state, undone)


@dataclass(frozen=True, slots=True)
class Carried:
    """How a load is brought there: in how many trips, at most how much on each, where it stands, what to mind."""

    trips: int
    on_each_kg: float
    notes: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()


def carried(load_kg: float, shop: Shop, *, heaviest_kg: float, alike: int = 0) -> Carried | Reason:
    """How a load is brought there, in the fewest trips: in the van, else on the trailer.

    Args:
        load_kg: all of it.
        shop: what it brings things with.
        heaviest_kg: of what cannot be taken apart; 0: not known. alike: so many pieces all weigh that; 0: they differ,
            and go as close to the limit as one likes.
    Returns: or why it does not go at all: the heaviest piece is more than van and trailer take.
    """
    own = shop.carriage
    if own is None or load_kg <= own.van_kg:
        return Carried(1, load_kg)
    ways = _ways(own)
    able = [
        (_trips(load_kg, heaviest_kg, alike, most_kg), way)
        for way, most_kg in ways
        if most_kg > 0 and heaviest_kg <= most_kg
    ]
    if not able:
        most_kg = max(most_kg for _, most_kg in ways)
        return because("deliver.too_heavy", has_kg=heaviest_kg, allowed_kg=most_kg)
    trips, way = min(able, key=lambda one: one[0])
    on_each_kg = math.ceil(alike / trips) * heaviest_kg if alike else load_kg / trips
    if way == "van":
        return Carried(trips, on_each_kg)
    low_mm, high_mm = stands_mm(_trailer(own), on_each_kg)
    stands = because("deliver.trailer", load_kg=on_each_kg, low_mm=low_mm, high_mm=high_mm)
    return Carried(trips, on_each_kg, (stands,), towed(_trailer(own), ()).cautions)


def trip_why(by: Carried, shop: Shop) -> tuple[Reason, ...]:
    """Why the way there takes what it takes."""
    trip_s = shop.habits.deliver_s
    if by.trips == 1:
        return (because("deliver.trip", load_kg=by.on_each_kg, trip_s=trip_s),)
    return (because("deliver.trips", trips=float(by.trips), load_kg=by.on_each_kg, trip_s=trip_s),)


def _ways(own: Carriage) -> tuple[tuple[str, float], ...]:
    trailer = (("trailer", most_load_kg(_trailer(own))),) if own.coupling_mm else ()
    return (("van", own.van_kg), *trailer)


def _trailer(own: Carriage) -> Trailer:
    return Trailer(
        own.empty_kg, own.empty_tongue_kg, own.coupling_mm, gross_kg=own.gross_kg, axle_kg=own.axle_kg,
        tongue_kg=own.tongue_kg,
    )  # fmt: skip


def _trips(load_kg: float, heaviest_kg: float, alike: int, most_kg: float) -> int:
    """Trips with at most so much on each; pieces that are alike go whole."""
    if alike and heaviest_kg:
        return math.ceil(alike / math.floor(most_kg / heaviest_kg))
    return math.ceil(load_kg / most_kg)


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
