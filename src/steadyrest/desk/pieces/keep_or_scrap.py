"""Keep or scrap: what each piece of the rack is worth by what this shop was asked for; what serves what is asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from steadyrest.desk.pieces.rack import Shelved, yields_it
from steadyrest.shop.floor import Material, Shop
from steadyrest.stock.asked_sizes import AskedFor, asked_for
from steadyrest.stock.choice import kerf_mm, order_cost
from steadyrest.stock.keep import KeepWanted, Remnant, Worth, worths
from steadyrest.stock.pieces import area_mm2, bounded_mm2
from steadyrest.stock.spared import spared
from steadyrest.store import rack
from steadyrest.store.opening import Store
from steadyrest.store.rack import AskedCut, RackPiece
from steadyrest.tables.practice import rule

YEAR_S = 365.25 * 86_400
FLAT = frozenset({"plate", "sheet"})
MOST_ASKED = 12


@dataclass(frozen=True, slots=True)
class Judged:
    """A piece judged. asked: by what. by_area: a plate, of which area counts, as a length of its own width.

    worth: what it spares later, never more than the same piece costs new.
    """

    label: str
    worth: Worth
    asked: AskedFor
    by_area: bool


@dataclass(frozen=True, slots=True)
class Rush:
    """A size that was asked for, how often, and the pieces that could give it now, the shortest first."""

    says: str
    material: str
    length_mm: float
    times: int
    serves: tuple[str, ...]


def judged(store: Store, shop: Shop, found: Iterable[Shelved], *, now: datetime) -> Mapping[str, Judged]:
    """Each piece's worth kept and as scrap.

    Args:
        store: an open data folder. shop: metals, suppliers, saw.
        found: pieces of the rack.
        now: aware moment: how long the book spans.
    Returns: by label; customers' own pieces, and those of metals without a price, are in none.
    """
    with store.reading() as session:
        cuts = rack.asked_cuts(session)
    years = max(((now - min(one.happened for one in cuts)).total_seconds() / YEAR_S) if cuts else 0.0, 0.0)
    metals = {metal.id: metal for metal in shop.materials}
    out: dict[str, Judged] = {}
    for one in found:
        metal = metals.get(one.piece.material)
        if metal is not None and not one.piece.owner and one.piece.state != "gone" and one.piece.usable_mm >= 1:
            out[one.piece.label] = _judged(one.piece, metal, cuts, years, shop)
    return out


def _judged(piece: RackPiece, metal: Material, cuts: Iterable[AskedCut], years: float, shop: Shop) -> Judged:
    """One piece."""
    flat = piece.shape in FLAT
    across = area_mm2(piece.shape, piece.size_mm)
    wide = piece.size_mm[0]
    long_mm = piece.usable_mm
    if flat and piece.outline_mm:
        long_mm = (bounded_mm2(piece.outline_mm) - sum(map(bounded_mm2, piece.holes_mm))) / wide
    lengths = [
        mm * (one.size_mm[0] / wide if flat else 1.0)
        for one in cuts if one.material == piece.material and alike(one, piece) for mm in one.lengths_mm
    ]  # fmt: skip
    asked = asked_for(lengths, years)
    kg_per_mm = across * metal.density_kg_m3 * 1e-9
    new_per_mm, saved = bought(metal, kg_per_mm, asked, shop)
    wanted = KeepWanted(
        demands_per_year=asked.per_year, discount_per_year=rule("keep_discount"),
        hold_per_year=rule("keep_hold_per_year"), kerf_mm=float(round(kerf_mm(shop))), new_per_mm=new_per_mm,
        saved_each=saved, scrap_per_mm=float(metal.price_per_kg) * rule("keep_scrap_share") * kg_per_mm,
        demands=asked.demands, pieces=(Remnant(piece.label, float(int(long_mm))),), currency=shop.currency,
    )  # fmt: skip
    found = worths(wanted)[0]
    # It spares no more than what the same piece would cost new: whoever has none buys one and is where they were.
    most = replacement(metal, kg_per_mm * long_mm, shop)
    return Judged(piece.label, replace(found, value=max(min(found.value, most), found.scrap)), asked, flat)


def alike(one: AskedCut, piece: RackPiece) -> bool:
    """Whether what was cut could have come of such bar: the same section, or a plate of the same thickness."""
    if piece.shape in FLAT:
        return one.shape in FLAT and one.size_mm[1] == piece.size_mm[1]
    return one.shape == piece.shape and one.size_mm == piece.size_mm


def replacement(metal: Material, mass_kg: float, shop: Shop) -> float:
    """What the same piece costs new, brought here."""
    offers = [one for one in shop.suppliers if metal.id in one.sells]
    if not offers:
        return float(metal.price_per_kg) * mass_kg
    return float(min(order_cost(one, metal, mass_kg)[0] for one in offers))


def bought(metal: Material, kg_per_mm: float, asked: AskedFor, shop: Shop) -> tuple[float, float]:
    """What new bar costs by the mm, and what each length spares besides that need not be ordered: its share of freight
    and smallest order, where as many are ordered together as pays; from whom that is least."""
    offers = [one for one in shop.suppliers if metal.id in one.sells]
    mean_mm = sum(one.length_mm * one.share for one in asked.demands)
    found = list[tuple[float, float, float]]()
    for seller in offers:
        per_mm = float(metal.price_per_kg * (1 + Decimal(repr(seller.markup_on_kg)))) * kg_per_mm
        each = spared(
            lambda mm, seller=seller: float(order_cost(seller, metal, kg_per_mm * mm)[0]), new_per_mm=per_mm,
            mean_mm=mean_mm, per_year=asked.per_year, hold=rule("keep_hold_per_year"), discount=rule("keep_discount"),
            longest_mm=rule("bar_length_mm"),
        ).each  # fmt: skip
        found.append((per_mm * mean_mm + each, per_mm, each))
    _, per_mm, each = min(found, default=(0.0, float(metal.price_per_kg) * kg_per_mm, 0.0))
    return per_mm, each


def rush(store: Store, found: tuple[Shelved, ...]) -> tuple[Rush, ...]:
    """What this shop was asked for most, and what on the rack serves it at once.

    Args:
        store: an open data folder. found: the rack's pieces.
    Returns: the sizes most often asked first; nothing for a new shop.
    """
    with store.reading() as session:
        cuts = rack.asked_cuts(session)
    # What a plate was asked for is kept by its area, as a strip of its width: that is no size that anybody asked.
    bars = [one for one in cuts if one.shape not in FLAT]
    times = Counter((one.material, one.shape, one.size_mm, float(round(mm))) for one in bars for mm in one.lengths_mm)
    out = list[Rush]()
    for (metal, shape, size_mm, mm), many in sorted(times.items(), key=lambda each: (-each[1], each[0]))[:MOST_ASKED]:
        wanted = (size_mm[0], mm) if shape == "round" else (*(size_mm * 2)[:2], mm)
        able = [
            one.piece for one in found
            if one.piece.material == metal and one.piece.state == "here" and not one.piece.owner
            and (
                yields_it(one.piece, wanted) if shape in ("round", "square", "flat", "plate", "sheet", "block")
                else one.piece.shape == shape and one.piece.size_mm == size_mm and one.piece.usable_mm >= mm
            )
        ]  # fmt: skip
        able.sort(key=lambda piece: (area_mm2(piece.shape, piece.size_mm) * piece.usable_mm, piece.label))
        says = f"{shape} {' x '.join(f'{x:g}' for x in size_mm)}"
        out.append(Rush(says, metal, mm, many, tuple(piece.label for piece in able)))
    return tuple(out)
