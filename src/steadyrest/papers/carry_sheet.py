"""The carry blank on paper: the blank drawn, what is sawn for each, the links to be ticked off as they come free."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.drawing.carry_picture import carry_svg
from steadyrest.papers.typesetting import Sheet, code, picture, typeset
from steadyrest.shop.figure import Reason
from steadyrest.stock.carried_lot import MadeFor
from steadyrest.stock.carry import CarryOption, CarryWanted
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.units.lengths import LengthUnit
from steadyrest.wording import moments
from steadyrest.wording.say import Reader, say

WIDE_MM = 178.0


@dataclass(frozen=True, slots=True)
class CarrySheet:
    """What stands on it. title: metal and section. link: what its code says. unit: of lengths."""

    title: str
    wanted: CarryWanted
    chosen: CarryOption
    made_for: tuple[MadeFor, ...]
    cautions: tuple[Reason, ...]
    link: str
    unit: LengthUnit
    made: datetime
    timezone: str
    shop: str
    sheet: Sheet = "a4"


def carry_sheet(sheet: CarrySheet) -> bytes:
    """The carry blank as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    """
    return typeset("carry_sheet.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: CarrySheet) -> dict[str, object]:
    """The sheet as plain words."""
    chosen, unit, reader = sheet.chosen, sheet.unit, Reader(sheet.unit, "")
    many, bar = len(chosen.chains), show_length(round(chosen.bar_mm, 1), sheet.unit)
    return {
        "shop": sheet.shop,
        "number": sheet.title,
        "made": f"{moments.day(sheet.made, sheet.timezone)}, {moments.moment(sheet.made, sheet.timezone)[-5:]}",
        "says": f"{many} {'blank' if many == 1 else 'blanks'}, {bar} of bar in all",
        "tip": f"the tip gives {show_length(round(chosen.tip.value, 3), unit, fractions=False)} at the last link; "
        + "; ".join(say(why, reader) for why in chosen.tip.why),
        "hands": f"{show_time(chosen.handling_s)} at saw and jaws",
        "picture": picture(carry_svg(sheet.wanted, chosen, unit=unit, width_mm=WIDE_MM)),
        "blanks": [
            [str(n), show_length(round(sheet.wanted.blank_mm(links), 2), unit), links, weight(sheet, links)]
            for n, links in enumerate(chosen.chains, 1)
        ],
        "lots": [
            f"{one.count} by {one.due}: " + ", ".join(f"{some} of blank {n}" for n, some in one.chains)
            for one in sheet.made_for
        ],
        "cautions": [say(why, reader) for why in sheet.cautions],
        "code_svg": code(sheet.link),
    }  # fmt: skip


def weight(sheet: CarrySheet, links: int) -> str:
    """What a blank of so many links weighs, by its length against the longest."""
    share = sheet.wanted.blank_mm(links) / sheet.wanted.blank_mm(sheet.chosen.links)
    return show_mass(sheet.chosen.blank_kg * share, "kg")
