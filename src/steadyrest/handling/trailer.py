"""What a loaded trailer puts on its coupling and on its axle."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.tables.lifting import carrying_rule


@dataclass(frozen=True, slots=True)
class Laden:
    """Something on the trailer. ahead_mm: its centre of mass ahead of the axle's middle; negative: behind it."""

    what: str
    mass_kg: float
    ahead_mm: float


@dataclass(frozen=True, slots=True)
class Trailer:
    """A trailer with one axle, or with several that share alike and are reckoned at their middle.

    empty_kg: its own mass. empty_tongue_kg: what it puts on the coupling when empty. coupling_mm: from axle to
    coupling. gross_kg, axle_kg, tongue_kg: what its plate, its axle and the coupling allow; infinite: not asked.
    """

    empty_kg: float
    empty_tongue_kg: float
    coupling_mm: float
    gross_kg: float = math.inf
    axle_kg: float = math.inf
    tongue_kg: float = math.inf


@dataclass(frozen=True, slots=True)
class Towed:
    """What a loaded trailer weighs where. share: of the whole on the coupling. cannot: why it must not go on the road
    so; none: nothing here speaks against it."""

    gross: Figure
    tongue: Figure
    axle: Figure
    share: float
    cannot: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


def towed(trailer: Trailer, load: tuple[Laden, ...]) -> Towed:
    """What a loaded trailer puts on coupling and axle.

    Args:
        trailer: empty.
        load: what stands on it.
    Returns: weights, the coupling's share, what speaks against it and how far to shift the load.
    Raises: ValueError: no distance to the coupling, or a mass that is not above 0.
    Source: statics about the axle; the share from tongue-weight. Checked in tests/checks/test_trailer.py.
    """
    if trailer.coupling_mm <= 0 or trailer.empty_kg <= 0 or any(one.mass_kg <= 0 for one in load):
        raise ValueError("towed: masses and the distance to the coupling must be above 0")
    loaded = sum(one.mass_kg for one in load)
    gross = trailer.empty_kg + loaded
    tongue = trailer.empty_tongue_kg + sum(one.mass_kg * one.ahead_mm for one in load) / trailer.coupling_mm
    axle = gross - tongue
    share = tongue / gross
    why = (because("trailer.lever", coupling_mm=trailer.coupling_mm),)
    figures = (
        Figure(gross, "kg", (because("trailer.gross", empty_kg=trailer.empty_kg, load_kg=loaded),)),
        Figure(tongue, "kg", (because("trailer.share", share=100 * share), *why)),
        Figure(axle, "kg", why),
    )
    over = [
        because(f"trailer.over_{name}", has_kg=value, allowed_kg=allowed)
        for name, value, allowed in (
            ("gross", gross, trailer.gross_kg),
            ("axle", axle, trailer.axle_kg),
            ("tongue", tongue, trailer.tongue_kg),
        )
        if value > allowed
    ]
    cautions = (because("trailer.caution_tie"), because("trailer.caution_plate"), because("trailer.caution_weigh"))
    return Towed(*figures, share, (*over, *_off_balance(trailer, gross, tongue, loaded)), cautions)


def most_load_kg(trailer: Trailer) -> float:
    """The heaviest load that may go on the road, if it stands where it should.

    Args:
        trailer: empty, with what plate, axle and coupling allow.
    Returns: kg; 0 where it may not even go empty.
    Source: statics: the coupling takes its share of the whole, the axle the rest.
    """
    low, high = carrying_rule("tongue_least"), carrying_rule("tongue_most")
    gross = min(
        trailer.gross_kg, trailer.tongue_kg / low, trailer.axle_kg / (1.0 - high), trailer.axle_kg + trailer.tongue_kg
    )
    return max(gross - trailer.empty_kg, 0.0)


def stands_mm(trailer: Trailer, load_kg: float) -> tuple[float, float]:
    """Where the centre of mass of a load has to stand.

    Args:
        trailer: empty.
        load_kg: above 0, at most most_load_kg.
    Returns: least and most ahead of the axle's middle; negative: behind it.
    """
    gross = trailer.empty_kg + load_kg
    low = max(carrying_rule("tongue_least") * gross, gross - trailer.axle_kg)
    high = min(carrying_rule("tongue_most") * gross, trailer.tongue_kg)
    lever = trailer.coupling_mm / load_kg
    return (low - trailer.empty_tongue_kg) * lever, (high - trailer.empty_tongue_kg) * lever


def _off_balance(trailer: Trailer, gross: float, tongue: float, loaded: float) -> tuple[Reason, ...]:
    """Too little or too much on the coupling, and how far the whole load would have to move."""
    low, high = carrying_rule("tongue_least"), carrying_rule("tongue_most")
    share = tongue / gross
    if low - 1e-12 <= share <= high + 1e-12:
        return ()
    wanted = low if share < low else high
    key = "trailer.light" if share < low else "trailer.heavy"
    found = because(key, source="tongue-weight", share=100 * share, wanted=100 * wanted)
    if loaded <= 0:
        return (found,)
    shift = abs(wanted * gross - tongue) * trailer.coupling_mm / loaded
    where = "trailer.nearest_ahead" if share < low else "trailer.nearest_back"
    return (found, because(where, shift_mm=shift))
