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
    by = carried(load_kg, ask.shop, each_kg=each_kg)
    if by is None:
        why_not = because("deliver.too_heavy", has_kg=each_kg, allowed_kg=most_kg(ask.shop))
        return none_made(ask, "deliver", (why_not,), because("deliver.fetched"))
    packing = pack_s(ask)
    trip_s = by.trips * ask.shop.habits.deliver_s
    why = (because("deliver.trip", load_kg=load_kg, trip_s=ask.shop.habits.deliver_s), *by.why)
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
    """How a load is brought there: in how many trips and why, where it stands, what to mind besides."""

    trips: int
    why: tuple[Reason, ...] = ()
    notes: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()


def carried(load_kg: float, shop: Shop, *, each_kg: float = 0.0) -> Carried | None:
    """How a load is brought there, in the fewest trips: in the van, else on the trailer.

    Args:
        load_kg: all of it.
        shop: what it brings things with.
        each_kg: of one piece; 0: it can be parted as one likes.
    Returns: None where a piece is too heavy for both.
    """
    own = shop.carriage
    if own is None or load_kg <= own.van_kg:
        return Carried(1)
    able = [(trips, way) for way, most in _ways(own) if (trips := _trips(load_kg, each_kg, most))]
    if not able:
        return None
    trips, way = min(able, key=lambda one: one[0])
    many = round(load_kg / each_kg) if each_kg else 0
    on_each = math.ceil(many / trips) * each_kg if many else load_kg / trips
    several = (because("deliver.trips", trips=float(trips), load_kg=on_each),) if trips > 1 else ()
    if way == "van":
        return Carried(trips, several)
    low_mm, high_mm = stands_mm(_trailer(own), on_each)
    stands = because("deliver.trailer", load_kg=on_each, low_mm=low_mm, high_mm=high_mm)
    return Carried(trips, several, (stands,), towed(_trailer(own), ()).cautions)


def most_kg(shop: Shop) -> float:
    """The most that goes on one trip; inf where the shop file does not say."""
    return math.inf if shop.carriage is None else max(most for _, most in _ways(shop.carriage))


def _ways(own: Carriage) -> tuple[tuple[str, float], ...]:
    trailer = (("trailer", most_load_kg(_trailer(own))),) if own.coupling_mm else ()
    return (("van", own.van_kg), *trailer)


def _trailer(own: Carriage) -> Trailer:
    return Trailer(
        own.empty_kg, own.empty_tongue_kg, own.coupling_mm, gross_kg=own.gross_kg, axle_kg=own.axle_kg,
        tongue_kg=own.tongue_kg,
    )  # fmt: skip


def _trips(load_kg: float, each_kg: float, most_kg: float) -> int:
    """Trips with at most so much on each; 0: a piece is too heavy."""
    if most_kg <= 0 or each_kg > most_kg:
        return 0
    if not each_kg:
        return math.ceil(load_kg / most_kg)
    return math.ceil(round(load_kg / each_kg) / math.floor(most_kg / each_kg))


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
