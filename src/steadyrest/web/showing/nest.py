"""A nest in words."""

from __future__ import annotations

import secrets
from collections.abc import Mapping

from steadyrest.desk.cutting import nest_cut
from steadyrest.desk.cutting.nest_asked import lying
from steadyrest.desk.cutting.nest_cut import KeptNest
from steadyrest.desk.pieces import rack
from steadyrest.papers.drawing.nested_sheet import legend, listed
from steadyrest.papers.nest_sheet import MARKS
from steadyrest.shop.figure import Figure
from steadyrest.shop.floor import CutterLimits, Shop
from steadyrest.stations.plate.cut_up import cutters, kept_clear
from steadyrest.stock.nested import NestedSheet, too_heavy
from steadyrest.store.opening import Store
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.units.lengths import LengthUnit
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.nest import NestedPage, NestPage, NestRow, PartRow, PlateChoice, PlateGroup, PlateShown
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment
from steadyrest.wording.say import Reader, say

SHOWN, FOLDED = 2, 6
TURNS = (
    ("any", "any way: the least plate"),
    ("quarters", "by quarter turns"),
    ("grain", "along the plate only, or end for end: for parts that are bent or brushed"),
    ("across", "across the plate only"),
    ("drawn", "as drawn"),
)


def unit_of(shop: Shop) -> LengthUnit:
    """The reader's unit."""
    return "in" if shop.unit == "in" else "mm"


def page(
    store: Store, shop: Shop, *, typed: Mapping[str, str], ticked: frozenset[str], guard: str, trouble: str
) -> NestPage:
    """The form.

    Args:
        store: an open data folder. shop: its machines, people, unit.
        typed: what the form says. ticked: labels of plates. guard: for the form. trouble: what did not work, or "".
    Returns: the page.
    """
    names = [f"count{k}" for k in range(1, SHOWN + FOLDED + 1)]
    return NestPage(
        top=Top("Nest on plate", shop.name),
        guard=guard,
        groups=_groups(store, shop, ticked),
        first=tuple(range(1, SHOWN + 1)),
        more=tuple(range(SHOWN + 1, SHOWN + FOLDED + 1)),
        typed={
            name: typed.get(name, "")
            for name in (*names, "jobs", "turns", "gap", "margin", "machine", "seconds", "unit")
        },
        turns=TURNS,
        machines=tuple((one.id, one.name) for one in shop.machines if isinstance(one.limits, CutterLimits)),
        unit=shop.unit,
        rows=tuple(
            NestRow(one.id, f"{one.name}, {moment(one.told, shop.timezone)}", "") for one in nest_cut.latest(store)
        ),
        people=tuple((person.id, person.name) for person in shop.people),
        trouble=trouble,
    )


def _groups(store: Store, shop: Shop, ticked: frozenset[str]) -> tuple[PlateGroup, ...]:
    unit = unit_of(shop)
    alike: dict[tuple[float, str], list[rack.Shelved]] = {}
    for one in lying(rack.pieces(store, shop)):
        alike.setdefault((one.piece.size_mm[1], one.piece.material), []).append(one)
    found = list[PlateGroup]()
    for (thick, metal), those in alike.items():
        material = next((one for one in shop.materials if one.id == metal), None)
        able = cutters(shop, material, thick)[0] if material is not None else ()
        clear = list[str]()
        if able:
            gap, margin = kept_clear(able[0].setting)
            clear = [f"{_figure(one, unit)} {what}: {_why(one, shop)[0]}" for what, one in _pairs(gap, margin)]
        many = "1 plate" if len(those) == 1 else f"{len(those)} plates"
        says = f"{show_length(thick, unit)} {metal}, {many}" + ("" if able else "; no machine here cuts it")
        choices = tuple(PlateChoice(one.piece.label, _plate(one, unit), one.piece.label in ticked) for one in those)
        opened = any(one.ticked for one in choices) or len(alike) == 1
        found.append(PlateGroup(says, choices, tuple(clear), opened))
    return tuple(found)


def _plate(one: rack.Shelved, unit: LengthUnit) -> str:
    piece = one.piece
    size = f"{show_length(piece.usable_mm, unit)} × {show_length(piece.size_mm[0], unit)}"
    odd = ", cut into before" if piece.outline_mm or piece.holes_mm else ""
    heat = f", heat {piece.heat_number}" if piece.heat_number else ""
    return f"{piece.label}: {size}{odd}, {piece.place}{heat}"


def _pairs(gap: Figure | None, margin: Figure | None) -> list[tuple[str, Figure]]:
    both = (("from part to part", gap), ("from the edge", margin))
    return [(what, one) for what, one in both if one is not None]


def _figure(one: Figure, unit: LengthUnit) -> str:
    return show_length(round(one.value, 2), unit, fractions=False)


def _why(one: Figure, shop: Shop) -> tuple[str, ...]:
    reader = Reader(unit_of(shop), shop.currency)
    return tuple(say(why, reader) for why in one.why)


def nested(one: KeptNest, shop: Shop, *, guard: str, trouble: str) -> NestedPage:
    """A nest that was made.

    Args:
        one: the nest. shop: its people, unit. guard: for the form. trouble: what did not work, or "".
    Returns: the page.
    """
    nest, unit = one.nest, unit_of(shop)
    reader = Reader(unit, shop.currency)
    count = sum(line.placed for line in nest.lines)
    plates = "1 plate" if len(nest.sheets) == 1 else f"{len(nest.sheets)} plates"
    wanted = sum(line.count for line in nest.lines)
    thick = show_length(nest.thickness_mm, unit)
    some = f"{count} parts" if count == wanted else f"{count} of {wanted} parts"
    how = ""
    if nest.machine and nest.sheets:
        how = f"{nest.machine}, {nest.shown}: {show_time(nest.run_s)}, and {show_time(nest.hands_s)} of a person's time"
        how += "; stopped before its time: the best so far" if nest.stopped else ""
    return NestedPage(
        top=Top(f"Nest {one.number}", shop.name),
        guard=guard,
        touch=secrets.token_urlsafe(12),
        here=f"/nest/{one.number}",
        says=f"{some} on {plates} of {nest.material}, {thick} thick",
        how=how,
        clear=tuple(
            (f"{_figure(each, unit)} {what}", _why(each, shop)) for what, each in _pairs(nest.gap, nest.margin)
        ),
        used=_used(one, shop),
        said=tuple(f"{_limit(each, unit)}: {'; '.join(_why(each, shop))}" for each in nest.said),
        lacking=tuple(f"{line.count - line.placed} of {line.name}" for line in nest.lacking),
        cannot=tuple(say(why, reader) for why in nest.cannot),
        doubts=tuple(say(why, reader) for why in nest.doubts),
        drilled=tuple(say(why, reader) for why in nest.drilled),
        notes=tuple(say(why, reader) for why in nest.notes),
        cautions=tuple(say(why, reader) for why in nest.cautions),
        no_cutter=tuple(say(why, reader) for why in nest.no_cutter),
        plates=tuple(_shown(one, sheet, shop) for sheet in nest.sheets),
        open=len(one.open),
        jobs=one.jobs,
        people=tuple((person.id, person.name) for person in shop.people),
        trouble=trouble,
    )


def _limit(one: Figure, unit: LengthUnit) -> str:
    match one.unit:
        case "mm":
            return show_length(round(one.value, 2), unit, fractions=False)
        case "um":
            return f"{one.value:.0f} um"
        case _:
            return f"{one.value:.0f} {one.unit}"


def _used(one: KeptNest, shop: Shop) -> tuple[str, ...]:
    """What it uses up: tips, money for them and gas, the plates."""
    nest = one.nest
    lines = list[str]()
    if nest.worn is not None:
        lines.append(f"{nest.worn.value:.2g} {_why(nest.worn, shop)[0]}")
    if not money_shown():
        return tuple(lines)
    if nest.cash is not None:
        lines.append(f"tips and gas {nest.cash} {nest.currency}")
    back = f"; of that {nest.worth:.2f} {nest.currency} stay in what is left" if nest.worth > 0 else ""
    least = "" if nest.least >= nest.cost else f"; no nest opens plates for less than {nest.least:.2f}"
    lines.append(f"plates opened {nest.cost:.2f} {nest.currency}{back}{least}")
    return tuple(lines)


def _shown(one: KeptNest, sheet: NestedSheet, shop: Shop) -> PlateShown:
    nest, cut, unit = one.nest, sheet.cut, unit_of(shop)
    numbers: dict[int, list[int]] = {}
    for k, laid in enumerate(cut.laid, 1):
        numbers.setdefault(laid.body, []).append(k)
    heat = f"heat {cut.heat_number}" if cut.heat_number else "heat not known"
    heavy = too_heavy(cut.mass_kg, shop.habits.lift_alone_kg)
    rest = "nothing worth keeping is left"
    if cut.rest_mm:
        rest = f"left over in one piece, {show_mass(sheet.rest_kg, 'kg')}, {heat}: mark it before it is laid down"
    done = one.cut.get(sheet.label)
    name = next((p.name for p in shop.people if done is not None and p.id == done.who), done.who if done else "")
    when = moment(done.happened, shop.timezone) if done is not None else ""
    return PlateShown(
        label=sheet.label,
        says=f"{sheet.lies}, {heat}, {show_mass(cut.mass_kg, 'kg')}; {100 * cut.used:.0f} of 100 of it become parts",
        heavy=say(heavy, Reader(unit, "")) if heavy is not None else "",
        times=_times(sheet),
        rows=tuple(
            PartRow(listed(some), nest.lines[body].name, show_mass(nest.lines[body].mass_kg, "kg"))
            for body, some in sorted(numbers.items())
        ),
        marks=tuple(line for line in legend(nest, sheet, unit) if line.split(":")[0] in MARKS),
        rest=rest,
        cut=f"cut, {name}, {when}" if done is not None else "",
        left=done.left if done is not None else "",
    )


def _times(sheet: NestedSheet) -> tuple[str, ...]:
    if not sheet.order:
        return ()
    starts = len(sheet.order)
    return (
        f"{starts} starts, torch on {show_time(sheet.cut_s)}, on the way {show_time(sheet.way_s)}; "
        f"onto the table {show_time(sheet.load_s)}, off it with the slag {show_time(sheet.hands_s)}",
    )
