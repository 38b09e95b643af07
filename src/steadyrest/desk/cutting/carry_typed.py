"""A carry blank as typed at a screen: the shop's own saw, metals, habits and rack fill in what is not said."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from steadyrest.desk.cutting.cut_stock import CarryAnswer
from steadyrest.desk.pieces.rack import Shelved, length
from steadyrest.shop.floor import Material, Shop
from steadyrest.stock.carried_lot import DueLot
from steadyrest.stock.carry import CarryWanted, Section, best_option, carry_options
from steadyrest.stock.choice import kerf_mm
from steadyrest.trouble import BadInput

MOST = 1e6
MINUTE_S = 60.0


@dataclass(frozen=True, slots=True)
class Filled:
    """Words by field, with what the shop says where nothing is typed."""

    words: Mapping[str, str]
    unit: str

    def mm(self, name: str, default: float) -> float:
        """A length; 0 where "0" is typed."""
        text = self.words.get(name, "")
        if text in ("", "0"):
            return default if not text else 0.0
        return length(text, self.unit, FIELDS[name])

    def number(self, name: str, default: float) -> float:
        """A number from 0. Raises: BadInput: none, or out of range."""
        text = self.words.get(name, "").replace(",", ".")
        try:
            found = float(text) if text else default
        except ValueError:
            found = -1.0
        if not (0 <= found <= MOST or (found == math.inf and not text)):
            what = f"{text[:40]!r} cannot be."
            raise BadInput(where=FIELDS[name], what=what, do=f"Give a number from 0 to {MOST:g}.")
        return found


# What a person types, and what it is called when it is wrong.
FIELDS = {
    "metal": "metal", "section": "section", "length": "length of a part", "face": "faced off each",
    "part_off": "parting cut", "count": "how many", "grip": "grip", "saw": "minutes at the saw",
    "hold": "minutes to grip", "force": "finishing force", "tip": "what the tip may give", "mass": "heaviest blank",
    "long": "longest blank", "rack": "only from the rack", "due": "when they are due",
}  # fmt: skip
# At the start, where the shop file has nothing of its own to say.
TIP_MM, FORCE_N, SAW_MIN, HOLD_MIN = 0.1, 150.0, 4.0, 3.0


def carry(words: Mapping[str, str], shop: Shop, found: tuple[Shelved, ...]) -> CarryAnswer:
    """What the blank should be.

    Args:
        words: by FIELDS, as typed.
        shop: saw, metals, habits, people.
        found: the rack's pieces.
    Returns: all options, the cheapest allowed.
    Raises: BadInput: something that cannot be meant.
    """
    said = Filled(words, shop.unit)
    metal = metal_named(words.get("metal", ""), shop)
    section = section_of(words.get("section", ""), shop.unit)
    count = said.number("count", 0)
    long_mm = said.mm("length", 0.0)
    if not (1 <= count <= MOST and count == int(count)):
        raise BadInput(where=FIELDS["count"], what="it is not said how many.", do="Give a whole number from 1.")
    if long_mm <= 0:
        raise BadInput(where=FIELDS["length"], what="it is not said how long.", do="Give the finished length.")
    habits, hours = shop.habits, [float(person.per_hour) for person in shop.people]
    pieces = pieces_mm(metal, section, found) if words.get("rack") else ()
    if words.get("rack") and not pieces:
        raise BadInput(where=FIELDS["rack"], what="no such bar lies there.", do="Let it be bought, or take another.")
    wanted = CarryWanted(
        length_mm=long_mm, face_mm=said.mm("face", habits.facing_mm),
        part_off_mm=said.mm("part_off", habits.part_off_mm),
        count=int(count), section=section, density_kg_m3=metal.density_kg_m3, e_mpa=metal.e_mpa,
        price_per_kg=float(metal.price_per_kg), kerf_mm=kerf_mm(shop), saw_s=said.number("saw", SAW_MIN) * MINUTE_S,
        grip_mm=said.mm("grip", habits.grip_mm), holding_s=said.number("hold", HOLD_MIN) * MINUTE_S,
        force_n=said.number("force", FORCE_N), tip_allowed_mm=said.mm("tip", TIP_MM),
        max_mass_kg=said.number("mass", habits.lift_alone_kg), max_length_mm=said.mm("long", math.inf),
        person_per_hour=sum(hours) / len(hours) if hours else 0.0, pieces_mm=pieces, currency=shop.currency,
    )  # fmt: skip
    options = carry_options(wanted)
    return CarryAnswer(wanted, options, best_option(options), (), lots(words.get("due", ""), int(count)))


def metal_named(text: str, shop: Shop) -> Material:
    """A metal by any of its names. Raises: BadInput: none of them."""
    asked = text.strip().lower()
    for metal in shop.materials:
        if asked and asked in {name.lower() for name in (metal.id, metal.name, *metal.other_names)}:
            return metal
    raise BadInput(where=FIELDS["metal"], what=f"{text[:40]!r} is no metal that we know.", do="See the tables.")


def section_of(text: str, unit: str) -> Section:
    """A round "20", or a rectangle "30 x 12". Raises: BadInput: neither."""
    sides = [length(part.strip(), unit, FIELDS["section"]) for part in text.lower().replace("×", "x").split("x")]
    if len(sides) == 1:
        return Section(d_mm=sides[0])
    if len(sides) == 2:
        return Section(w_mm=sides[0], h_mm=sides[1])
    raise BadInput(where=FIELDS["section"], what=f"{text[:40]!r} is none.", do='Write "20" or "30 x 12".')


def pieces_mm(metal: Material, section: Section, found: tuple[Shelved, ...]) -> tuple[float, ...]:
    """The lengths of such bar on the rack, a customer's own left out."""
    wanted = (section.d_mm,) if section.d_mm else tuple(sorted((section.w_mm, section.h_mm)))
    shapes = ("round",) if section.d_mm else ("flat", "square")
    return tuple(
        one.piece.usable_mm for one in found
        if one.piece.material == metal.id and one.piece.shape in shapes and one.piece.state == "here"
        and not one.piece.owner and one.piece.usable_mm > 0
        and tuple(sorted((one.piece.size_mm * 2)[:2] if one.piece.shape == "square" else one.piece.size_mm)) == wanted
    )  # fmt: skip


def lots(text: str, count: int) -> tuple[DueLot, ...]:
    """Lots as typed, "4 2026-12-04" in each line. Raises: BadInput: another line, or not as many as are wanted."""
    found = list[tuple[date, int]]()
    for n, line in enumerate((one for one in text.splitlines() if one.strip()), 1):
        many, _, day = line.strip().partition(" ")
        try:
            found.append((date.fromisoformat(day.strip()), int(many)))
        except ValueError:
            what = f"line {n}: {line.strip()[:40]!r} says no lot."
            raise BadInput(where=FIELDS["due"], what=what, do="Write how many and the day: 4 2026-12-04.") from None
    total = sum(many for _, many in found)
    if found and (total != count or min(many for _, many in found) < 1):
        raise BadInput(where=FIELDS["due"], what=f"{total} are due, {count} are wanted.", do="Let them be as many.")
    return tuple(DueLot(day.isoformat(), many) for day, many in sorted(found))
