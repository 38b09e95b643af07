"""Short parts off one bar: the same stock without a saw, fed through the spindle, each part parted off.

What it saves: the saw and its kerf, and what each blank needs to be held by. What it costs: a part-off each, and the
rest that the feeder keeps.
"""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.shop.figure import because
from steadyrest.shop.floor import Habits, LatheLimits, Machine, Material, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank, Purchase, Undone
from steadyrest.stations.turn.clamping import part_off_tool
from steadyrest.stations.turn.feeding import bar_limits_mm
from steadyrest.stock.choice import Choice, order_cost, rack_cost, round_kg
from steadyrest.tables.practice import rule


def feeders(shop: Shop) -> tuple[Machine, ...]:
    """The lathes of a shop with a bar feeder."""
    return tuple(m for m in shop.machines if isinstance(m.limits, LatheLimits) and m.limits.bar_feed_mm is not None)


def pulling(shop: Shop, diameter_mm: float) -> tuple[Machine, ...]:
    """The lathes without a feeder through whose spindle a bar is pulled on by hand and parted off."""
    return tuple(
        m
        for m in shop.machines
        if isinstance(m.limits, LatheLimits)
        and m.limits.bar_feed_mm is None
        and m.limits.spindle_bore_mm >= diameter_mm
        and part_off_tool(m.tools, diameter_mm) is not None
    )


def fed(
    choice: Choice, part: Part, lathes: tuple[Machine, ...], *, material: Material, quantity: int, shop: Shop
) -> Choice | Undone:
    """The same bar, through the spindle instead of sawn.

    Args:
        choice: sawn singly; of round bar.
        part: with a profile.
        lathes: those that a bar goes through; at least one.
        material: its density and price.
        quantity: parts wanted.
        shop: its habits and suppliers.
    Returns: the choice with other lengths and money, or why not.
    """
    assert part.profile is not None, "only turned parts are fed"
    longest_mm, rest_mm = max(bar_limits_mm(m.limits) for m in lathes if isinstance(m.limits, LatheLimits))
    part_off_mm, size_mm = shop.habits.part_off_mm, choice.blank.size_mm[0]
    blank_mm = part.profile.length_mm + 2.0 * shop.habits.facing_mm
    each_mm = blank_mm + part_off_mm
    blank = _blank(choice.blank, part.profile.length_mm, material, shop.habits)
    if choice.piece is not None:
        bar_mm = choice.piece.length_mm
        if bar_mm > longest_mm and not any(lathe in feeders(shop) for lathe in lathes):
            why = because("route.hand_bar", piece=choice.piece.id, has_mm=bar_mm, allowed_mm=longest_mm)
            return Undone("stock", None, (), (why,))
        most = math.floor((bar_mm - rest_mm) / each_mm + 1e-9)
        if most < quantity:
            why = because("route.fed_short", piece=choice.piece.id, has_mm=bar_mm, enough_for=float(max(most, 0)))
            return Undone("stock", None, (), (why,))
        used_mm = quantity * each_mm
        kept, cost = rack_cost(choice.piece, used_mm=used_mm, shop=shop)
        return replace(
            choice, blank=blank, per_bar=quantity, rest_mm=bar_mm - used_mm, kept=kept, cost=cost, bar_mm=bar_mm
        )
    if choice.purchase is None or choice.cut_to_size:
        return Undone("stock", None, (), (because("route.fed_no_bar"),))
    per_bar = min(math.floor((longest_mm - rest_mm) / each_mm + 1e-9), quantity)
    if per_bar < 1:
        return Undone("stock", None, (), (because("route.fed_long", part_mm=each_mm, bar_mm=longest_mm),))
    bars = math.ceil(quantity / per_bar)
    step = rule("buy_length_mm")
    bar_mm = min(math.ceil((per_bar * each_mm + rest_mm) / step) * step, longest_mm)
    mass_kg = round_kg(size_mm, bars * bar_mm, material)
    seller = next(one for one in shop.suppliers if one.id == choice.purchase.supplier)
    total, cost = order_cost(seller, material, mass_kg)
    what = because(
        "route.fed_buy", bars=float(bars), bar_mm=bar_mm, size_mm=size_mm, condition=choice.condition,
        material=material.id,
    )  # fmt: skip
    return replace(
        choice,
        blank=blank,
        purchase=Purchase(what, seller.id, total, bars * bar_mm, mass_kg),
        per_bar=per_bar,
        bar_mm=bar_mm,
        bar_kg=mass_kg / bars,
        rest_mm=bar_mm - (quantity - (bars - 1) * per_bar) * each_mm,
        cost=cost,
    )


def _blank(sawn: Blank, part_mm: float, material: Material, habits: Habits) -> Blank:
    length_mm, size_mm = part_mm + 2.0 * habits.facing_mm, sawn.size_mm[0]
    why = because("route.fed_length", part_mm=part_mm, facing_mm=habits.facing_mm, part_off_mm=habits.part_off_mm)
    mass_kg = round_kg(size_mm, length_mm, material)
    return replace(sawn, length_mm=length_mm, mass_kg=mass_kg, why=(*sawn.why[:-1], why))
