"""The cut list: bars drawn to one scale in the order of sawing, then cut by cut with the weights that are handled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.drawing.cut_picture import cut_svg, drawn_bars
from steadyrest.papers.typesetting import Sheet, code, picture, typeset
from steadyrest.shop.figure import Reason
from steadyrest.stock.cutting.in_order import Sawing, SawnBar
from steadyrest.stock.cutting.plan import to_the_cent
from steadyrest.stock.cutting.wanted import CutWanted
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.units.lengths import LengthUnit
from steadyrest.wording import moments
from steadyrest.wording.say import say

WIDE_MM = 178.0
MOST_IN_CODE = 300


@dataclass(frozen=True, slots=True)
class CutList:
    """What stands on a cut list. title: what it is called; the code says it too. unit: lengths are shown in.

    money: whether what it costs stands on it.
    """

    title: str
    wanted: CutWanted
    sawing: Sawing
    cautions: tuple[Reason, ...]
    unit: LengthUnit
    made: datetime
    timezone: str
    sheet: Sheet = "a4"
    money: bool = True


def cut_list(sheet: CutList) -> bytes:
    """The cut list as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    """
    return typeset("cut_list.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: CutList) -> dict[str, object]:
    """The list as plain words."""
    sawing, plan = sheet.sawing, sheet.sawing.plan
    drawn = drawn_bars(sheet.wanted, sawing)
    longest_mm = max((one.length_mm for one in drawn), default=1.0)
    codes = f"{sheet.title}: " + "; ".join(f"{bar.bar.piece.id} {len(bar.steps)}" for bar in sawing.bars)
    more = f"at most {to_the_cent(plan.gap)} more than the least possible" if sheet.money else "not proven the cheapest"
    sure = "nothing is cheaper" if plan.proven else more
    return {
        "shop": "steadyrest",
        "number": sheet.title,
        "made": f"{moments.day(sheet.made, sheet.timezone)}, {moments.moment(sheet.made, sheet.timezone)[-5:]}",
        "cost": f"{to_the_cent(plan.cost)} {sheet.wanted.currency}".rstrip() if sheet.money else "",
        "sure": sure,
        "saw": "" if sawing.saw_s is None else f"{sawing.cuts} cuts, {show_time(sawing.saw_s)} at the saw",
        "code_svg": code(codes[:MOST_IN_CODE]),
        "cautions": [say(reason) for reason in sheet.cautions],
        "pictures": [
            picture(cut_svg([one], unit=sheet.unit, width_mm=WIDE_MM, longest_mm=longest_mm)) for one in drawn
        ],
        "bars": [bar_words(sheet, k, one) for k, one in enumerate(sawing.bars)],
        "lacking": [f"{one.count} of {one.part.id}" for one in plan.unplaced],
    }


def bar_words(sheet: CutList, k: int, one: SawnBar) -> dict[str, object]:
    """One bar: its name, its parts cut by cut, its rest."""
    bar = one.bar
    rest = show_length(round(float(bar.rest_mm), 1), sheet.unit)
    weight = f", {show_mass(one.rest_kg, 'kg')}" if one.rest_kg is not None else ""
    at_once = "" if one.together == k else f"cut at once with {sheet.sawing.bars[one.together].bar.piece.id}"
    return {
        "name": bar.piece.id,
        "length": show_length(float(bar.piece.length_mm), sheet.unit),
        "together": at_once,
        "rest": f"rest {rest}{weight}, {'back to the rack' if bar.kept else 'scrap'}",
        "steps": list(step_words(sheet, one)),
    }


def step_words(sheet: CutList, one: SawnBar) -> Iterator[list[str]]:
    """Each part: its number, name, length, ends, what is on the saw and what comes off."""
    for k, step in enumerate(one.steps, 1):
        part = step.lying.part
        ends = ends_words(part.ends_deg)
        if step.lying.shares and part.mitred:
            ends += ", one cut with the one before"
        weights = [show_mass(x, "kg") if x is not None else "" for x in (step.moved_kg, step.part_kg)]
        yield [str(k), part.id, show_length(float(part.length_mm), sheet.unit), ends, *weights]


def ends_words(ends_deg: tuple[float, float]) -> str:
    """The ends of a part in words."""
    a, b = ends_deg
    if a == b == 0:
        return ""
    lie = "long points on one side" if a * b > 0 else "long points across" if a * b < 0 else "one end square"
    return f"{abs(a):g}° and {abs(b):g}°, {lie}"
