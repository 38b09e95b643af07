"""From what, for a lot of one milled part: a piece of the rack, bar to buy, or a block sawn to size; and the noes.

Money ranks the choices, as for turned parts (choice.py). How the part lies in each is block.py's business.
"""

from __future__ import annotations

import math
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Material, Piece, Shop, Supplier
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank, Purchase, Undone
from steadyrest.stock import block
from steadyrest.stock.block import BlockNeed, cut_to_size, in_hexagon, in_round, side_mm
from steadyrest.stock.choice import Choice, bars_to_buy, kerf_mm, no, order_cost, rack_cost
from steadyrest.stock.section import ROOT3, section_mm2
from steadyrest.tables.bar_stock import BarSize, bar_sizes
from steadyrest.tables.fits import LARGEST_MM, limits
from steadyrest.tables.plates import plate_over_mm, plate_thicknesses_mm
from steadyrest.tables.practice import rule

# How bright bar is sold where the tables have no such size: h11 (common practice, no source).
BRIGHT = "h11"
RECTANGULAR = ("flat", "plate", "square")


def block_choices(
    part: Part, *, material: Material, quantity: int, shop: Shop
) -> tuple[tuple[Choice, ...], tuple[Undone, ...]]:
    """Every piece and purchase that would do for a milled part, the least money first, and a refusal for each other.

    Args:
        part: its box and frame.
        material: what it is to be made of.
        quantity: parts wanted; >= 1.
        shop: rack, suppliers, saw, habits.
    Returns: (choices, refusals).
    Raises: ValueError: the part has no thickness.
    """
    if min(part.size_mm) <= 0:
        raise ValueError(f"block_choices: the part's box {part.size_mm!r} has no thickness")
    found: list[Choice] = []
    refused: list[Undone] = []
    unsold: list[Undone] = []
    for piece in shop.pieces:
        got = _from_piece(piece, part, material=material, quantity=quantity, shop=shop)
        if isinstance(got, Undone):
            refused.append(got)
        else:
            found.append(got)
    sellers = [supplier for supplier in shop.suppliers if material.id in supplier.sells]
    if not sellers:
        nearest = because("stock.find_seller", material=material.id)
        unsold.append(no([because("stock.nobody_sells", material=material.id)], nearest))
    for seller in sellers:
        found.extend(_bars(part, seller, material=material, quantity=quantity, shop=shop))
        sawn = _sawn_block(part, seller, material=material, quantity=quantity)
        if isinstance(sawn, Undone):
            unsold.append(sawn)
        else:
            found.append(sawn)
    # By id after money: equal costs must give the same plan on every machine.
    found.sort(key=lambda choice: (choice.cost.value, choice.piece.id if choice.piece else "~", choice.blank.size_mm))
    # What nobody sells tells more than that each piece of the rack is too small.
    return tuple(found), (*unsold, *refused)


def _from_piece(piece: Piece, part: Part, *, material: Material, quantity: int, shop: Shop) -> Choice | Undone:
    reasons: list[Reason] = []
    if piece.material != material.id:
        reasons.append(because("stock.other_metal", piece=piece.id, has=piece.material, wanted=material.id))
    if piece.shape == "tube":
        reasons.append(because("stock.tube", piece=piece.id))
        return no(reasons)
    if piece.outline_mm or piece.holes_mm:
        reasons.append(because("sheetstock.cut_into", piece=piece.id))
        return no(reasons)
    wants = _in_piece(piece, part, shop)
    if wants is None:
        reasons.append(_too_small(piece, part))
        return no(reasons)
    area_mm2 = section_mm2(piece.shape, piece.size_mm)
    wanted_mm2 = wants.part_mm[1] * wants.part_mm[2]
    if area_mm2 > rule("block_waste") * wanted_mm2:
        reasons.append(because("stock.block_large", piece=piece.id, has_mm2=area_mm2, wanted_mm2=wanted_mm2))
    kerf = kerf_mm(shop)
    used_mm = quantity * (wants.length_mm + kerf)
    if used_mm - kerf > piece.length_mm:
        whole = int((piece.length_mm + kerf) / (wants.length_mm + kerf))
        reasons.append(
            because(
                "stock.too_short", piece=piece.id, has_mm=piece.length_mm, wanted_mm=used_mm - kerf,
                short_mm=used_mm - kerf - piece.length_mm, enough_for=float(whole),
            )
        )  # fmt: skip
    if reasons:
        return no(reasons)
    kept, cost = rack_cost(piece, used_mm=used_mm, shop=shop)
    first = because("stock.from_rack", piece=piece.id, place=piece.place, heat=piece.heat_number or "not known")
    why = (first, *_moves(part, wants, piece.condition))
    blank = _blank(piece.shape, piece.size_mm, wants, material, why)
    bar_kg = area_mm2 * piece.length_mm * 1e-9 * material.density_kg_m3
    return Choice(
        blank, piece.condition, piece, None, bool(wants.as_stock), wants, piece.length_mm, bar_kg, quantity,
        max(piece.length_mm - used_mm, 0.0), kept, cost,
    )  # fmt: skip


def _moves(part: Part, wants: BlockNeed, condition: str) -> tuple[Reason, ...]:
    """That drawn bar moves when much is cut out of it while its skin stays."""
    length, width, thickness = wants.part_mm
    taken = 1.0 - (part.volume_mm3 or 0.0) / (length * width * thickness)
    if condition != "bright drawn" or not wants.as_stock or taken < rule("drawn_moves_share"):
        return ()
    return (because("stock.drawn_moves"),)


def _in_piece(piece: Piece, part: Part, shop: Shop) -> BlockNeed | None:
    if piece.shape == "round":
        return in_round(part, piece.size_mm[0], condition=piece.condition, habits=shop.habits)
    if piece.shape == "hexagon":
        return in_hexagon(part, piece.size_mm[0], condition=piece.condition, habits=shop.habits)
    section = (piece.size_mm[0], piece.size_mm[-1])
    off = None if piece.condition == "hot rolled" or piece.shape == "plate" else _bright_limits(section)
    return block.lies(part, section, condition=piece.condition, habits=shop.habits, off_mm=off)


def _bright_limits(section_mm: tuple[float, float]) -> tuple[tuple[float, float], tuple[float, float]] | None:
    width, thickness = section_mm
    if max(section_mm) > LARGEST_MM:
        return None
    return limits(width, BRIGHT), limits(thickness, BRIGHT)


def _too_small(piece: Piece, part: Part) -> Reason:
    """By how much the part's two smaller sides miss the piece's section."""
    _, middle, least = part.size_mm
    off = 2.0 * (side_mm(piece.condition) + part.noise_mm)
    if piece.shape in RECTANGULAR:
        return because(
            "stock.block_small", piece=piece.id, has_width_mm=piece.size_mm[0], has_mm=piece.size_mm[-1],
            wanted_width_mm=middle + off, wanted_mm=least + off,
        )  # fmt: skip
    wanted = math.hypot(middle, least) + off
    if piece.shape == "hexagon":
        wanted = max(least, middle * ROOT3 / 2.0 + least / 2.0) + off
    return because(
        "stock.too_small", piece=piece.id, has_mm=piece.size_mm[0], wanted_mm=wanted, short_mm=wanted - piece.size_mm[0]
    )


def _blank(
    shape: str, size_mm: tuple[float, ...], wants: BlockNeed, material: Material, why: tuple[Reason, ...]
) -> Blank:
    mass_kg = section_mm2(shape, size_mm) * wants.length_mm * 1e-9 * material.density_kg_m3
    length, width, thickness = wants.part_mm
    more = [
        because("stock.block", length_mm=length, width_mm=width, thickness_mm=thickness, side_mm=wants.side_mm,
                ends_mm=wants.ends_mm),
        *(because("stock.face_stays", what=name) for name in wants.as_stock),
    ]  # fmt: skip
    return Blank(
        shape, size_mm, wants.length_mm, mass_kg, material.id, (*why, *more), axes=wants.axes, as_stock=wants.as_stock
    )


def _bars(part: Part, seller: Supplier, *, material: Material, quantity: int, shop: Shop) -> list[Choice]:
    """The least bright flat or square that would do, and the least of which a face would stay."""
    fitting: list[tuple[float, BarSize, BlockNeed]] = []
    for shape in ("flat", "square"):
        for bar in bar_sizes(shape):
            section = (bar.size_mm[0], bar.size_mm[-1])
            off = (bar.limits_mm, limits(section[1], BRIGHT)) if max(section) <= LARGEST_MM else None
            wants = block.lies(part, section, condition=bar.condition, habits=shop.habits, off_mm=off)
            if wants is not None and wants.length_mm <= rule("bar_length_mm"):
                fitting.append((section[0] * section[1] * wants.length_mm, bar, wants))
    fitting.sort(key=lambda found: (found[0], found[1].size_mm))
    kept = [*fitting[:1], *[found for found in fitting if found[2].as_stock][:1]]
    unique = {found[1].size_mm: found for found in kept}
    return [
        _bar(part, bar, wants, seller, material=material, quantity=quantity, shop=shop)
        for _, bar, wants in unique.values()
    ]


def _bar(
    part: Part, bar: BarSize, wants: BlockNeed, seller: Supplier, *, material: Material, quantity: int, shop: Shop
) -> Choice:
    each_mm = wants.length_mm + kerf_mm(shop)
    bars, per_bar, bar_mm = bars_to_buy(each_mm, quantity=quantity, shop=shop)
    length_mm = bars * bar_mm
    mass_kg = section_mm2(bar.shape, bar.size_mm) * length_mm * 1e-9 * material.density_kg_m3
    total, cost = order_cost(seller, material, mass_kg)
    what = because(
        "stock.buy_bar", shape=bar.shape, size=bar.shown, condition=bar.condition, material=material.id,
        length_mm=length_mm,
    )  # fmt: skip
    why = (because("stock.bought", supplier=seller.name), *_moves(part, wants, bar.condition))
    blank = _blank(bar.shape, bar.size_mm, wants, material, why)
    return Choice(
        blank, bar.condition, None, Purchase(what, seller.id, total, length_mm, mass_kg), bool(wants.as_stock), wants,
        bar_mm, mass_kg / bars, per_bar, bar_mm - (quantity - (bars - 1) * per_bar) * each_mm, False, cost,
    )  # fmt: skip


def _sawn_block(part: Part, seller: Supplier, *, material: Material, quantity: int) -> Choice | Undone:
    """A block that the seller saws to size from plate."""
    wants, (width_mm, thickness_mm) = cut_to_size(part)
    plate_mm = plate_over_mm(thickness_mm)
    if plate_mm is None:
        thick = because("stock.no_plate", wanted_mm=thickness_mm, allowed_mm=plate_thicknesses_mm()[-1])
        return no([thick], because("stock.nearest_forged"))
    if wants.length_mm > rule("block_longest_mm"):
        long = because("stock.no_block", wanted_mm=wants.length_mm, allowed_mm=rule("block_longest_mm"))
        return no([long], because("stock.nearest_forged"))
    size_mm = (width_mm, plate_mm)
    mass_kg = section_mm2("block", size_mm) * wants.length_mm * 1e-9 * material.density_kg_m3
    goods, cost = order_cost(seller, material, mass_kg * quantity)
    sawing = seller.cut_each * Decimal(quantity)
    total = goods + sawing
    money = Figure(float(total), "money", (*cost.why, because("stock.cut_each", sawing_money=float(sawing))))
    what = because(
        "stock.buy_block", count=float(quantity), length_mm=wants.length_mm, width_mm=width_mm, thickness_mm=plate_mm,
        material=material.id,
    )  # fmt: skip
    blank = _blank("block", size_mm, wants, material, (because("stock.bought", supplier=seller.name),))
    buy = Purchase(what, seller.id, total, wants.length_mm * quantity, mass_kg * quantity)
    return Choice(
        blank, "hot rolled", None, buy, False, wants, wants.length_mm, mass_kg, 1, 0.0, False, money, cut_to_size=True
    )
