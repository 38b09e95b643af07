"""Money that goes out for a job: material from the rack or bought with its freight, tools worn, work sent out."""

from __future__ import annotations

from decimal import Decimal

from steadyrest.price.answer import Line
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money
from steadyrest.shop.work import Route

ZERO = Decimal(0)


def cash_out(route: Route, *, shop: Shop, quantity: int) -> tuple[Line, ...]:
    """What goes out of the till, or off the rack, for the whole lot.

    Args:
        route: blank, rack piece or purchases, steps with their cash.
        shop: pieces, materials, suppliers, currency.
        quantity: parts in the lot; at least 1.
    Returns: lines to the cent; none with nothing in it.
    """
    lines = [*_rack(route, shop, quantity), *_bought(route, shop)]
    lines += [
        Line(because("price.step_cash", step=step.id, station=step.station), _to_cent(step.cash, shop))
        for step in route.steps
        if step.cash > ZERO
    ]
    return tuple(lines)


def _rack(route: Route, shop: Shop, quantity: int) -> list[Line]:
    """The length that goes from the rack, at the piece's own cost, else by weight at the material's price."""
    if route.piece is None or route.blank is None:
        return []
    blank = route.blank
    piece = next((piece for piece in shop.pieces if piece.id == route.piece), None)
    if piece is not None and piece.cost > ZERO and route.sheets:
        sheet = route.sheets[0]
        share = min(max(1.0 - sheet.rest_mm2 / max(sheet.area_mm2, 1e-9), 0.0), 1.0)
        cost = piece.cost * Decimal(repr(share))
        return [Line(because("price.rack_sheet", piece=piece.id, share=round(share, 2)), _to_cent(cost, shop))]
    if piece is not None and piece.cost > ZERO:
        kept = route.rest_mm if route.rest_mm is not None and route.rest_mm >= shop.habits.keep_rest_mm else 0.0
        used = blank.length_mm * quantity if route.rest_mm is None else piece.length_mm - kept
        used = min(max(used, 0.0), piece.length_mm)
        cost = piece.cost * Decimal(repr(used)) / Decimal(repr(piece.length_mm))
        return [Line(because("price.rack_piece", piece=piece.id, used_mm=used), _to_cent(cost, shop))]
    material = next((material for material in shop.materials if material.id == blank.material), None)
    if material is None:
        return []
    mass = blank.mass_kg * quantity
    cost = material.price_per_kg * Decimal(repr(mass))
    what = because("price.rack_weight", mass_kg=mass, per_kg_money=float(material.price_per_kg))
    return [Line(what, _to_cent(cost, shop))]


def _bought(route: Route, shop: Shop) -> list[Line]:
    """What is bought; a purchase's cost has freight and the supplier's smallest order in it."""
    lines: list[Line] = []
    for purchase in route.buy:
        supplier = next(supplier for supplier in shop.suppliers if supplier.id == purchase.supplier)
        what = because("price.bought", mass_kg=purchase.mass_kg, supplier=supplier.name)
        lines.append(Line(what, _to_cent(purchase.cost, shop)))
    return lines


def _to_cent(amount: Decimal, shop: Shop) -> Money:
    return Money(amount, shop.currency).rounded()
