"""From what: a piece of the rack or bar to buy, for a lot of one turned part; and why the others will not do.

Money ranks the choices here: what of a piece is used up, or what buying costs with freight. How much longer a thicker
bar takes to turn is the route's business.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import LatheLimits, Material, Piece, SawLimits, Shop, Supplier
from steadyrest.shop.part import Part, Profile
from steadyrest.shop.work import Blank, Purchase, Undone
from steadyrest.stock.blank import SAME_MM, Need, need, skin_mm
from steadyrest.stock.block import BlockNeed
from steadyrest.stock.section import section_mm2
from steadyrest.tables.bar_stock import BarSize, bar_sizes
from steadyrest.tables.fits import LARGEST_MM, limits
from steadyrest.tables.general_tolerances import general_tolerance_mm
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to come by the blanks of a lot.

    piece: of the rack, or None where it is bought. as_stock: the largest diameter stays as the bar comes.
    bar_mm, bar_kg: one bar before cutting. per_bar: blanks out of each bar.
    rest_mm: what is left of the last one; kept: worth keeping.
    cost: of the material for the lot. cut_to_size: the blanks come as they are, and nothing is sawn here.
    """

    blank: Blank
    condition: str
    piece: Piece | None
    purchase: Purchase | None
    as_stock: bool
    wants: Need | BlockNeed
    bar_mm: float
    bar_kg: float
    per_bar: int
    rest_mm: float
    kept: bool
    cost: Figure
    cut_to_size: bool = False


def choices(
    part: Part, *, material: Material, quantity: int, shop: Shop
) -> tuple[tuple[Choice, ...], tuple[Undone, ...]]:
    """Every piece and purchase that would do, the least money first, and a refusal for each piece that would not.

    Args:
        part: with a profile.
        material: what it is to be made of.
        quantity: parts wanted; >= 1.
        shop: rack, suppliers, saw, habits.
    Returns: (choices, refusals).
    Raises: ValueError: the part has no profile.
    """
    profile = part.profile
    if profile is None:
        raise ValueError("choices: the part has no profile of revolution")
    kerf = kerf_mm(shop)
    found: list[Choice] = []
    refused: list[Undone] = []
    for piece in shop.pieces:
        got = _from_piece(piece, part, profile, material=material, quantity=quantity, shop=shop, kerf_mm=kerf)
        if isinstance(got, Undone):
            refused.append(got)
        else:
            found.append(got)
    bought = _bought(part, profile, material=material, quantity=quantity, shop=shop, kerf_mm=kerf)
    if isinstance(bought, Undone):
        refused.append(bought)
    else:
        found.extend(bought)
    # By id after money: equal costs must give the same plan on every machine.
    found.sort(key=lambda choice: (choice.cost.value, choice.piece.id if choice.piece else "~", choice.blank.size_mm))
    return tuple(found), tuple(refused)


def kerf_mm(shop: Shop) -> float:
    """What one cut takes: of the narrowest saw, else parting off."""
    saws = [machine.limits.kerf_mm for machine in shop.machines if isinstance(machine.limits, SawLimits)]
    return min(saws, default=shop.habits.part_off_mm)


def _from_piece(
    piece: Piece, part: Part, profile: Profile, *, material: Material, quantity: int, shop: Shop, kerf_mm: float
) -> Choice | Undone:
    reasons: list[Reason] = []
    if piece.material != material.id:
        reasons.append(because("stock.other_metal", piece=piece.id, has=piece.material, wanted=material.id))
    if piece.shape != "round" and not (piece.shape == "square" and _four_jaws(shop)):
        reasons.append(because("stock.not_round", piece=piece.id, shape=piece.shape))
        return no(reasons)
    size_mm = piece.size_mm[0]
    as_stock = piece.shape == "round" and stays_as_stock(
        part, profile, size_mm=size_mm, off_mm=_bar_limits(size_mm, piece.condition)
    )
    wanted_mm = profile.largest_mm + skin_mm(piece.condition)
    if size_mm < wanted_mm - 1e-9 and not as_stock:
        small = because(
            "stock.too_small", piece=piece.id, has_mm=size_mm, wanted_mm=wanted_mm, short_mm=wanted_mm - size_mm
        )
        reasons.append(small)
    wants = need(profile, shop.habits, as_stock=as_stock)
    used_mm = quantity * (wants.length_mm + kerf_mm)
    if used_mm - kerf_mm > piece.length_mm:
        short_mm = used_mm - kerf_mm - piece.length_mm
        whole = int((piece.length_mm + kerf_mm) / (wants.length_mm + kerf_mm))
        reasons.append(
            because(
                "stock.too_short", piece=piece.id, has_mm=piece.length_mm, wanted_mm=used_mm - kerf_mm,
                short_mm=short_mm, enough_for=float(whole),
            )
        )  # fmt: skip
    if reasons:
        return no(reasons)
    rest_mm = max(piece.length_mm - used_mm, 0.0)
    kept, cost = rack_cost(piece, used_mm=used_mm, shop=shop)
    why = (
        because("stock.from_rack", piece=piece.id, place=piece.place, heat=piece.heat_number or "not known"),
        because("stock.as_stock" if as_stock else "stock.turned_over", size_mm=size_mm, finished_mm=profile.largest_mm),
        _length_why(wants, profile, shop),
    )
    blank = _blank(size_mm, wants, material, why)
    bar_kg = round_kg(size_mm, piece.length_mm, material)
    if piece.shape == "square":
        squarer = section_mm2("square", piece.size_mm) / section_mm2("round", piece.size_mm)
        blank = replace(blank, shape="square", mass_kg=blank.mass_kg * squarer)
        bar_kg *= squarer
    return Choice(
        blank, piece.condition, piece, None, as_stock, wants, piece.length_mm, bar_kg, quantity, rest_mm, kept, cost
    )


def _four_jaws(shop: Shop) -> bool:
    """Whether any lathe here holds a square blank."""
    return any(isinstance(m.limits, LatheLimits) and m.limits.four_jaw_mm is not None for m in shop.machines)


def rack_cost(piece: Piece, *, used_mm: float, shop: Shop) -> tuple[bool, Figure]:
    """What a piece's use for a lot costs: its share, or the whole where the rest is not worth keeping.

    Args:
        piece: of the rack.
        used_mm: of its length, cuts included.
        shop: what rest is kept.
    Returns: (the rest is kept, money).
    """
    rest_mm = max(piece.length_mm - used_mm, 0.0)
    kept = rest_mm >= shop.habits.keep_rest_mm
    value = float(piece.cost) * min(used_mm / piece.length_mm if kept else 1.0, 1.0)
    key = "stock.cost_share" if kept else "stock.cost_whole"
    return kept, Figure(value, "money", (because(key, piece=piece.id, share_money=value, rest_mm=rest_mm),))


def order_cost(seller: Supplier, material: Material, mass_kg: float) -> tuple[Decimal, Figure]:
    """What an order of so much metal costs, with the seller's smallest order and freight.

    Args:
        seller: markup, smallest order, freight.
        material: its price.
        mass_kg: of the order.
    Returns: (to the cent, the same as a figure).
    """
    per_kg = material.price_per_kg * (1 + Decimal(repr(seller.markup_on_kg)))
    goods = max(Decimal(repr(round(mass_kg, 6))) * per_kg, seller.order_minimum)
    total = (goods + seller.freight).quantize(Decimal("0.01"))
    why = because("stock.cost_bought", mass_kg=mass_kg, supplier=seller.name, freight_money=float(seller.freight))
    return total, Figure(float(total), "money", (why,))


def no(reasons: Iterable[Reason], nearest: Reason | None = None) -> Undone:
    """A refusal of stock, for these reasons."""
    return Undone("stock", None, (), tuple(reasons), nearest)


def _length_why(wants: Need, profile: Profile, shop: Shop) -> Reason:
    key = "stock.length_spare" if wants.sides.spare_mm else "stock.length"
    return because(
        key, length_mm=wants.length_mm, part_mm=profile.length_mm, facing_mm=shop.habits.facing_mm,
        spare_mm=wants.sides.spare_mm,
    )  # fmt: skip


def _blank(size_mm: float, wants: Need, material: Material, why: tuple[Reason, ...]) -> Blank:
    mass_kg = round_kg(size_mm, wants.length_mm, material)
    return Blank("round", (size_mm,), wants.length_mm, mass_kg, material.id, why)


def round_kg(size_mm: float, length_mm: float, material: Material) -> float:
    """Mass of round bar.

    Args:
        size_mm: diameter.
        length_mm: of the bar.
        material: its density.
    Returns: kg.
    """
    return math.pi / 4.0 * size_mm**2 * length_mm * 1e-9 * material.density_kg_m3


def stays_as_stock(part: Part, profile: Profile, *, size_mm: float, off_mm: tuple[float, float] | None) -> bool:
    """Whether the part's largest diameter may stay as the bar comes: same size, the bar's limits inside the part's.

    Args:
        part: with its features' limits.
        profile: as turned.
        size_mm: of the bar.
        off_mm: the bar's smallest and largest diameter as sold, or None where the surface must be turned (hot rolled).
    Returns: whether it may.
    """
    if off_mm is None or abs(size_mm - profile.largest_mm) > SAME_MM:
        return False
    # A chamfer or taper that ends at the largest diameter is turned anyway.
    tops = [
        s for s in profile.outside
        if min(s.diameter_from_mm, s.diameter_to_mm) >= profile.largest_mm - SAME_MM
    ]  # fmt: skip
    if not tops:
        return False
    names = {s.feature for s in tops}
    for feature in part.features:
        nominal = feature.sizes[0].nominal if feature.sizes else None
        own = nominal.limits if nominal is not None and feature.id in names else None
        if own and (off_mm[0] < own.low_mm - 1e-9 or off_mm[1] > own.high_mm + 1e-9):
            return False
    open_mm = general_tolerance_mm(profile.largest_mm)
    return open_mm is None or off_mm[0] >= profile.largest_mm - open_mm - 1e-9


def _bar_limits(size_mm: float, condition: str) -> tuple[float, float] | None:
    """Limits of bar of this size and condition as sold; None where its surface must be turned."""
    if condition == "hot rolled":
        return None
    for bar in bar_sizes("round"):
        if bar.condition == condition and abs(bar.size_mm[0] - size_mm) <= 0.01:
            return bar.limits_mm
    # Not a size of the tables: bright bar is sold to h11 at the coarsest (common practice, no source).
    return limits(size_mm, "h11") if size_mm <= LARGEST_MM else None


def _bought(
    part: Part, profile: Profile, *, material: Material, quantity: int, shop: Shop, kerf_mm: float
) -> list[Choice] | Undone:
    """The smallest bar of each condition that is sold and would do, from each supplier who sells this metal."""
    sellers = [supplier for supplier in shop.suppliers if material.id in supplier.sells]
    if not sellers:
        return no(
            [because("stock.nobody_sells", material=material.id)], because("stock.find_seller", material=material.id)
        )
    longest_mm = need(profile, shop.habits).length_mm
    if longest_mm > rule("bar_length_mm"):
        return no([because("stock.no_such_length", wanted_mm=longest_mm, allowed_mm=rule("bar_length_mm"))])
    bars: list[tuple[BarSize, bool]] = []
    for condition in ("bright drawn", "peeled", "hot rolled"):
        sold = sorted(bar_sizes("round", None, condition), key=lambda bar: bar.size_mm)
        stays = [
            bar
            for bar in sold
            if condition != "hot rolled" and stays_as_stock(part, profile, size_mm=bar.size_mm[0], off_mm=bar.limits_mm)
        ]
        wanted_mm = profile.largest_mm + skin_mm(condition)
        over = [bar for bar in sold if bar.size_mm[0] >= wanted_mm - 1e-9]
        bars.extend((bar, True) for bar in stays[:1])
        bars.extend((bar, False) for bar in over[:1])
    if not bars:
        return no([because("stock.no_such_bar", wanted_mm=profile.largest_mm)])
    return [
        _purchase(bar, as_stock, profile, seller, material=material, quantity=quantity, shop=shop, kerf_mm=kerf_mm)
        for bar, as_stock in bars
        for seller in sellers
    ]


def bars_to_buy(each_mm: float, *, quantity: int, shop: Shop) -> tuple[int, int, float]:
    """How many bars to order, how many blanks come out of each, and how long each is.

    Args:
        each_mm: a blank and its cut.
        quantity: blanks wanted.
        shop: what its saw cannot cut up.
    Returns: (bars, blanks a bar, mm).
    """
    step, longest_mm = rule("buy_length_mm"), rule("bar_length_mm")
    saw_rest_mm = max(
        (m.limits.shortest_rest_mm for m in shop.machines if isinstance(m.limits, SawLimits)), default=0.0
    )
    per_bar = min(quantity, max(int((longest_mm - saw_rest_mm) / each_mm), 1))
    bars = math.ceil(quantity / per_bar)
    return bars, per_bar, longest_mm if bars > 1 else math.ceil((per_bar * each_mm + saw_rest_mm) / step) * step


def _purchase(
    bar: BarSize, as_stock: bool, profile: Profile, seller: Supplier, *, material: Material, quantity: int, shop: Shop,
    kerf_mm: float,
) -> Choice:  # fmt: skip
    size_mm = bar.size_mm[0]
    wants = need(profile, shop.habits, as_stock=as_stock)
    each_mm = wants.length_mm + kerf_mm
    bars, per_bar, bar_mm = bars_to_buy(each_mm, quantity=quantity, shop=shop)
    length_mm = bars * bar_mm
    mass_kg = round_kg(size_mm, length_mm, material)
    total, cost = order_cost(seller, material, mass_kg)
    what = because(
        "stock.buy_round", size=bar.shown, condition=bar.condition, material=material.id, length_mm=length_mm
    )
    why = (
        because("stock.bought", supplier=seller.name),
        because("stock.as_stock" if as_stock else "stock.turned_over", size_mm=size_mm, finished_mm=profile.largest_mm),
        _length_why(wants, profile, shop),
    )
    return Choice(
        blank=_blank(size_mm, wants, material, why),
        condition=bar.condition,
        piece=None,
        purchase=Purchase(what, seller.id, total, length_mm, mass_kg),
        as_stock=as_stock,
        wants=wants,
        bar_mm=bar_mm,
        bar_kg=mass_kg / bars,
        per_bar=per_bar,
        rest_mm=bar_mm - (quantity - (bars - 1) * per_bar) * each_mm,
        kept=False,
        cost=cost,
    )
