"""The scrap bins: each alloy apart, what lies in it by weight and room, when a haul pays, what came for it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from steadyrest import units
from steadyrest.desk.floor import clock
from steadyrest.shop.floor import Shop
from steadyrest.stock.scrap import HaulWanted, Heap, HeapJudged, hauls
from steadyrest.store import scrap, touches
from steadyrest.store.opening import Session, Store
from steadyrest.store.scrap import ScrapEntry
from steadyrest.tables.chips import chip_bulks
from steadyrest.trouble import BadInput

VERB = "scrap bin"
YEAR_S = 365.25 * 86_400
LEAST_YEARS = 30 / 365.25  # a bin younger than a month is taken to be a month old: a rate from one day says nothing
DISCOUNT = 0.08  # what money that lies in a bin costs a year; common practice, no source
MOST_KG, NAME = 1e6, 60


@dataclass(frozen=True, slots=True)
class Bin:
    """A bin as it stands. there_kg: in it; per_year_kg: what comes to it, by its own entries. received: money that came
    for all hauls, hauled_kg by the dealer's scales. turn: of its last entry. judged: what the next haul brings, and
    when. fresh: nothing went in since it was set up: then nothing is said of how much comes."""

    name: str
    there_kg: float
    per_year_kg: float
    room_m3: float
    received: Decimal
    hauled_kg: float
    turn: int
    judged: HeapJudged
    fresh: bool
    entries: tuple[ScrapEntry, ...]


def bins(store: Store, shop: Shop, *, now: datetime) -> tuple[Bin, ...]:
    """Every bin, by name.

    Args:
        store: an open data folder. shop: its currency. now: aware moment.
    Returns: the bins as they stand.
    """
    with store.reading() as session:
        return _bins(session, shop, now)


def _bins(session: Session, shop: Shop, now: datetime) -> tuple[Bin, ...]:
    by_name: dict[str, list[ScrapEntry]] = {}
    for one in scrap.entries(session):
        by_name.setdefault(one.bin, []).append(one)
    return tuple(_folded(name, tuple(some), shop, now) for name, some in sorted(by_name.items()))


def _folded(name: str, some: tuple[ScrapEntry, ...], shop: Shop, now: datetime) -> Bin:
    """A bin by its entries: what was weighed counts more than what was added up."""
    there, came, hauled, received = 0.0, 0.0, 0.0, Decimal(0)
    said: Mapping[str, object] = {}
    for one in some:
        match one.kind:
            case "bin":
                said = one.body
            case "in":
                there, came = there + float(one.body["kg"]), came + float(one.body["kg"])
            case "weighed":
                came, there = max(came + float(one.body["kg"]) - there, 0.0), float(one.body["kg"])
            case "hauled":
                # What the dealer weighed more than the book had came too.
                came, there = max(came + float(one.body["kg"]) - there, 0.0), 0.0
                hauled, received = hauled + float(one.body["kg"]), received + Decimal(str(one.body["money"]))
    years = max((now - some[0].happened).total_seconds() / YEAR_S, LEAST_YEARS)
    number = {key: float(str(value)) for key, value in said.items() if key not in ("metal", "form")}
    heap = Heap(name, there, came / years, number["bulk_kg_m3"], number["price_per_kg"], number["mixed_per_kg"])
    wanted = HaulWanted(
        (heap,), number["haul_cost"], number["room_m3"], number["bin_per_year"], DISCOUNT, shop.currency
    )
    return Bin(
        name, there, came / years, number["room_m3"], received, hauled, some[-1].turn, hauls(wanted)[0], came <= 0, some
    )


def kinds() -> tuple[tuple[str, str], ...]:
    """What the table knows how bulky it lies: metal and form of chips."""
    return tuple(chip_bulks())


def set_up(store: Store, shop: Shop, words: Mapping[str, str], *, who: str, now: datetime) -> None:
    """Set up a bin, or say anew what it is for and what hauling costs.

    Args:
        store: an open data folder. shop: who works there, its currency.
        words: name, kind ("steel broken", or "" with bulk), bulk, room, price, mixed, haul, rent: as typed.
        who: says so. now: aware moment.
    Raises: BadInput: the first thing that cannot be meant.
    """
    clock.known_person(shop, who)
    name = words.get("name", "").strip()
    if not name or len(name) > NAME or not name.isprintable():
        raise BadInput(where="bin", what="it has no name.", do=f"Name alloy and form, up to {NAME} signs.")
    metal, _, form = words.get("kind", "").partition(" ")
    if words.get("bulk"):
        bulk = _number(words["bulk"], "kg in a cubic metre", 3e4)
    elif (metal, form) in chip_bulks():
        bulk = chip_bulks()[metal, form]
    else:
        raise BadInput(where="kind", what="it is not said how bulky it lies.", do="Choose chips, or give kg a m3.")

    def money(key: str, where: str) -> str:
        return str(units.parse_money(words.get(key) or "0", shop.currency, where))

    body: dict[str, object] = {
        "metal": metal, "form": form, "bulk_kg_m3": bulk, "room_m3": _number(words.get("room", ""), "room", 1e4),
        "price_per_kg": money("price", "price a kg"), "mixed_per_kg": money("mixed", "price among the rest"),
        "haul_cost": money("haul", "cost of a haul"), "bin_per_year": money("rent", "cost of the bin"),
    }  # fmt: skip
    with store.writing() as session:
        if touches.answered(session, words.get("touch", ""), verb=VERB) is not None:
            return
        turn = max((one.turn for one in scrap.entries(session) if one.bin == name), default=0)
        scrap.write_down(session, name, turn + 1, "bin", body, who=who, now=now)
        touches.keep(session, words.get("touch", ""), verb=VERB, answer=name, now=now)


def happened(
    store: Store, shop: Shop, name: str, kind: scrap.Kind, words: Mapping[str, str], *, who: str, now: datetime
) -> None:
    """Write down what happened to a bin.

    Args:
        store: an open data folder. shop: who works there, its currency.
        name: of the bin. kind: "in", "weighed" or "hauled".
        words: kg, and of a haul money, to and seen (the turn that was looked at): as typed.
        who: says so. now: aware moment.
    Raises: BadInput: no such bin, no weight, or somebody hauled it meanwhile.
    """
    clock.known_person(shop, who)
    if kind not in ("in", "weighed", "hauled"):
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")
    kg = _number(words.get("kg", ""), "kg", MOST_KG, zero=kind == "weighed")
    body: dict[str, object] = {"kg": kg, "words": words.get("words", "")[:200]}
    if kind == "hauled":
        body["money"] = str(units.parse_money(words.get("money") or "0", shop.currency, "money received"))
    with store.writing() as session:
        if touches.answered(session, words.get("touch", ""), verb=VERB) is not None:
            return
        one = next((each for each in _bins(session, shop, now) if each.name == name), None)
        if one is None:
            raise BadInput(where=f"bin {name[:40]}", what="there is no such bin.", do="Set it up first.")
        if kind != "in" and words.get("seen") != str(one.turn):
            last = one.entries[-1]
            who_last = next((p.name for p in shop.people if p.id == last.who), last.who)
            what = f"is not as you saw it: {last.kind}, {who_last}."
            raise BadInput(where=f"bin {name[:40]}", what=what, do="Look at it again, then say it once more.")
        scrap.write_down(session, name, one.turn + 1, kind, body, who=who, now=now)
        touches.keep(session, words.get("touch", ""), verb=VERB, answer=name, now=now)


def _number(text: str, where: str, most: float, *, zero: bool = False) -> float:
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        found = math.nan
    if not (found <= most and (found > 0 or (zero and found == 0))):
        raise BadInput(where=where, what=f"{text[:20]!r} cannot be.", do=f"Give a number up to {most:g}.")
    return found
