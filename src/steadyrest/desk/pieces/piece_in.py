"""A piece comes to the rack: what was typed of it, checked, and put into the book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest import units
from steadyrest.desk.floor import clock
from steadyrest.desk.pieces.rack import LONGEST, VERB, Shelved, length, shelved, there
from steadyrest.shop.floor import Material, Shop
from steadyrest.shop.shop_stores import CONDITIONS
from steadyrest.stock.pieces import SIZES, possible
from steadyrest.store import rack, touches
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

ALL_CONDITIONS = (*CONDITIONS, "as cast", "as cut", "not known")
LABEL = 24


@dataclass(frozen=True, slots=True)
class New:
    """A piece that came, as typed. size: its sizes in order; owner: whose, if it is a customer's own."""

    shape: str
    size: tuple[str, ...]
    length: str
    material: str
    place: str
    who: str
    label: str = ""
    condition: str = "not known"
    heat_number: str = ""
    certificate: str = ""
    cost: str = "0"
    owner: str = ""
    damage: str = ""
    camber: str = ""
    bad: str = ""
    touch: str = ""


def come(store: Store, shop: Shop, new: New, *, unit: str, now: datetime) -> Shelved:
    """Put a piece into the book.

    Args:
        store: an open data folder. shop: its metals.
        new: as typed.
        unit: of lengths that name none.
        now: aware moment.
    Returns: the piece.
    Raises: BadInput: a shape, size, metal, label or price that cannot be.
    """
    clock.known_person(shop, new.who)
    label = new.label.strip() or None
    if label is not None and (len(label) > LABEL or not label.isprintable() or "/" in label):
        raise BadInput(where="--label", what=f"{label[:40]!r} is no label.", do=f"Use 1 to {LABEL} signs, no slash.")
    if label in {one.id for one in shop.pieces}:
        raise BadInput(where="--label", what=f"the shop file has a piece {label}.", do="Choose another label.")
    body = said_of(new, shop, unit)
    with store.writing() as session:
        before = touches.answered(session, new.touch, verb=VERB)
        if before is not None:
            return shelved(there(session, before), shop, book=True)
        label = label or rack.next_label(session, taken=(one.id for one in shop.pieces))
        made = rack.make(session, label, body, who=new.who, happened=now, told=now)
        touches.keep(session, new.touch, verb=VERB, answer=made.label, now=now)
    return shelved(made, shop, book=True)


def said_of(new: New, shop: Shop, unit: str) -> dict[str, object]:
    """What came, checked. Raises: BadInput: the first thing that cannot be."""
    if new.shape not in SIZES:
        raise BadInput(where="shape", what=f"{new.shape[:40]!r} is no shape.", do=f"One of: {', '.join(SIZES)}.")
    size = tuple(length(text, unit, "--size") for text in new.size)
    wrong = possible(new.shape, size)
    if wrong:
        raise BadInput(where="--size", what=f"{wrong}.", do="Measure again.")
    if new.condition not in ALL_CONDITIONS:
        raise BadInput(where="--condition", what=f"{new.condition[:40]!r} is none.", do=", ".join(ALL_CONDITIONS) + ".")
    place = new.place.strip()
    if not place or len(place) > LONGEST:
        raise BadInput(where="--place", what="it is not said where it lies.", do="Name the place, such as rack 2.")
    metal = next((m.id for m in shop.materials if named(m, new.material)), None)
    if metal is None:
        raise BadInput(
            where="--material", what=f"{new.material[:40]!r} is no metal that we know.", do="See the tables."
        )
    long_mm = length(new.length, unit, "--length")
    bad_mm = length(new.bad, unit, "--bad-end") if new.bad else 0.0
    if bad_mm >= long_mm:
        raise BadInput(where="--bad-end", what="nothing would be left of it.", do="Scrap it.")
    return {
        "shape": new.shape, "size_mm": list(size), "length_mm": long_mm, "material": metal,
        "condition": new.condition, "place": place, "heat_number": new.heat_number.strip()[:LONGEST],
        "certificate": new.certificate.strip()[:LONGEST],
        "cost": str(units.parse_money(new.cost, shop.currency, "--cost")), "owner": new.owner.strip()[:LONGEST],
        "damage": new.damage.strip()[:LONGEST],
        "camber_mm": length(new.camber, unit, "--camber") if new.camber else 0.0, "bad_mm": bad_mm,
    }  # fmt: skip


def named(metal: Material, text: str) -> bool:
    return text.strip().lower() in {name.lower() for name in (metal.id, metal.name, *metal.other_names)}
