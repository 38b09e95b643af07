"""What has to be lifted: bar, blank, finished part; against what one person may lift here."""

from __future__ import annotations

import math

from steadyrest.route.lifts import too_much
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Material, Shop
from steadyrest.shop.part import Part, Stretch
from steadyrest.stock.choice import Choice


def weights(part: Part, choice: Choice, *, material: Material, quantity: int, shop: Shop) -> tuple[Figure, ...]:
    """Weights of the bar, one blank and one finished part, each with what it means for lifting.

    Args:
        part: with a profile or a volume.
        choice: the piece or purchase.
        material: its density.
        quantity: parts in the lot.
        shop: what one person may lift.
    Returns: figures in kg, the heaviest first; no bar where the blank comes sawn to size.
    """
    done_kg = finished_kg(part, material)
    bar = () if choice.cut_to_size else (_figure(because("weight.bar", length_mm=choice.bar_mm), choice.bar_kg, shop),)
    found = (
        *bar,
        _figure(because("weight.blank", length_mm=choice.blank.length_mm), choice.blank.mass_kg, shop),
        _figure(because("weight.part", lot_kg=done_kg * quantity), done_kg, shop),
    )
    return tuple(sorted(found, key=lambda figure: -figure.value))


def finished_kg(part: Part, material: Material) -> float:
    """Mass of one finished part, from its volume, else from its profile.

    Args:
        part: with a volume or a profile.
        material: its density.
    Returns: kg; 0 if neither is known.
    """
    volume = part.volume_mm3
    if volume is None and part.profile is not None:
        outside = sum(_cone_mm3(stretch) for stretch in part.profile.outside)
        volume = outside - sum(_cone_mm3(stretch) for stretch in part.profile.inside)
    return (volume or 0.0) * 1e-9 * material.density_kg_m3


def _cone_mm3(stretch: Stretch) -> float:
    a, b = stretch.diameter_from_mm / 2.0, stretch.diameter_to_mm / 2.0
    return math.pi / 3.0 * stretch.length_mm * (a * a + a * b + b * b)


def _figure(first: Reason, mass_kg: float, shop: Shop) -> Figure:
    alone_kg = shop.habits.lift_alone_kg
    why: tuple[Reason, ...] = (first,)
    if mass_kg > alone_kg:
        why = (*why, too_much(mass_kg, alone_kg), because("lifting.caution_rules"))
    return Figure(mass_kg, "kg", why)
