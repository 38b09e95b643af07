"""The nest sheet: each plate drawn with its parts as they come free, what it takes, what goes back; for the cutter."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.drawing.nested_sheet import legend, listed, nested_sheet_svg
from steadyrest.papers.typesetting import Sheet, code, picture, typeset
from steadyrest.shop.figure import Figure
from steadyrest.stock.nested import Nested, NestedSheet, too_heavy
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.units.lengths import LengthUnit
from steadyrest.wording import moments
from steadyrest.wording.say import Reader, say

WIDE_MM = 178.0


@dataclass(frozen=True, slots=True)
class NestSheet:
    """What stands on a nest sheet. title: what it is called. link: what its code says. unit: of lengths.

    left: label of what came back of each plate that was cut already. alone_kg: what one person lifts here."""

    title: str
    nest: Nested
    link: str
    left: dict[str, str]
    unit: LengthUnit
    made: datetime
    timezone: str
    shop: str
    alone_kg: float
    jobs: tuple[int, ...] = ()
    sheet: Sheet = "a4"


def nest_sheet(sheet: NestSheet) -> bytes:
    """The nest sheet as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    """
    return typeset("nest_sheet.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: NestSheet) -> dict[str, object]:
    """The sheet as plain words."""
    nest, reader = sheet.nest, Reader(sheet.unit, "")
    thick = show_length(nest.thickness_mm, sheet.unit)
    count = sum(one.placed for one in nest.lines)
    jobs = ", ".join(str(number) for number in sheet.jobs)
    return {
        "shop": sheet.shop,
        "number": sheet.title,
        "made": f"{moments.day(sheet.made, sheet.timezone)}, {moments.moment(sheet.made, sheet.timezone)[-5:]}",
        "says": f"{count} parts from {nest.material}, {thick} thick" + (f"; jobs {jobs}" if jobs else ""),
        "how": f"{nest.machine}, {nest.shown}: {show_time(nest.run_s)}, and {show_time(nest.hands_s)} of a person's"
        if nest.machine
        else "not cut here",
        "clear": [f"{show_length(one.value, sheet.unit)} {what}" for what, one in clear(nest)],
        "figures": [say(why, reader) for one in nest.said for why in one.why[:1]],
        "lacking": [f"{one.count - one.placed} of {one.name}" for one in nest.lacking],
        "cannot": [say(why, reader) for why in nest.cannot],
        "drilled": [say(why, reader) for why in nest.drilled],
        "cautions": [say(why, reader) for why in nest.cautions],
        "notes": [say(why, reader) for why in nest.notes],
        "code_svg": code(sheet.link),
        "plates": [plate_words(sheet, one) for one in nest.sheets],
    }


def clear(nest: Nested) -> list[tuple[str, Figure]]:
    """What is kept clear, in words."""
    pairs = (("from part to part", nest.gap), ("from the edge", nest.margin))
    return [(what, one) for what, one in pairs if one is not None]


def plate_words(sheet: NestSheet, one: NestedSheet) -> dict[str, object]:
    """One plate: where it lies, its weight, what lies on it, what is left."""
    cut, nest = one.cut, sheet.nest
    heavy = too_heavy(cut.mass_kg, sheet.alone_kg)
    heat = f", heat {cut.heat_number}" if cut.heat_number else ", heat not known"
    numbers: dict[int, list[int]] = {}
    for k, laid in enumerate(cut.laid, 1):
        numbers.setdefault(laid.body, []).append(k)
    rest = "nothing worth keeping is left"
    if cut.rest_mm:
        label = sheet.left.get(one.label, "")
        rest = f"left over, {show_mass(one.rest_kg, 'kg')}{heat}: mark it" + (
            f" {label}" if label else ", then book it"
        )
    return {
        "name": one.label,
        "says": f"{one.lies}{heat}, {show_mass(cut.mass_kg, 'kg')}",
        "heavy": say(heavy, Reader(sheet.unit, "")) if heavy is not None else "",
        "time": f"{show_time(one.cut_s + one.way_s)} on the machine" if one.order else "",
        "picture": picture(nested_sheet_svg(nest, one, width_mm=WIDE_MM)),
        "rows": [
            [listed(some), nest.lines[body].name, str(len(some)), show_mass(nest.lines[body].mass_kg, "kg")]
            for body, some in sorted(numbers.items())
        ],
        "legend": [line for line in legend(nest, one, sheet.unit) if line.split(":")[0] in MARKS],
        "rest": rest,
    }


MARKS = ("dot", "cross", "dashed part", "long dashes")
