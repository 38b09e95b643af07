"""`steadyrest stock nest FILE.dxf=COUNT.. --plates R16`: parts on plates of the rack, kept, and cut if that is said.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.shared import never, out, progress
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

    from steadyrest.cli.answers import Json
    from steadyrest.desk.cutting.nest_cut import KeptNest
    from steadyrest.shop.floor import Shop

USAGE = "steadyrest stock nest"


def nest(asked: argparse.Namespace) -> int:
    """Parts on plates of the rack."""
    from dataclasses import replace

    from steadyrest.desk.cutting import nest_asked, nest_cut, nest_from_rack
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    place = open_place(asked.data, asked.shop)
    try:
        store, shop = place.store, place.said.shop
        plates = tuple(label.strip() for label in asked.plates.split(",") if label.strip())
        typed = nest_asked.Typed(
            tuple(map(drawing, asked.more)), asked.jobs, plates, named(asked.by), asked.turns, asked.gap, asked.margin,
            seconds=asked.seconds, unit=asked.unit or "",
        )  # fmt: skip
        wanted = replace(nest_asked.asked_of(store, shop, typed), seed=asked.seed)
        made = nest_from_rack.work(store, wanted, shop=shop, progress=progress, stop=never)
        number = nest_from_rack.keep_nest(store, made, name=wanted.name, who=typed.who, now=asked.now)
        one = nest_cut.kept_nest(store, number)
        if asked.cut and one.open:
            one = nest_cut.book(store, shop, number, one.open, who=typed.who, now=asked.now, place=asked.place)
        _write(asked, one, shop)
        if asked.json:
            out(answer(one))
        else:
            print("\n".join(lines(one, shop)))
    finally:
        place.close()
    return 0


def drawing(text: str) -> tuple[str, bytes, str]:
    """A drawing as named: FILE.dxf=COUNT. Raises: BadInput: no such file."""
    file, _, many = text.rpartition("=")
    if not file:
        raise BadInput(where=f"{USAGE} {text[:80]}", what="it is not said how many.", do="Write FILE.dxf=6.")
    try:
        return Path(file).name, Path(file).read_bytes(), many
    except OSError as fault:
        why = fault.strerror or "no reason given"
        raise BadInput(where=file[:80], what=f"cannot be read ({why}).", do="Check name and folder.") from None


def _write(asked: argparse.Namespace, one: KeptNest, shop: Shop) -> None:
    """The picture of the first plate, the sheet for the cutter."""
    from steadyrest.papers.drawing.nested_sheet import nested_sheet_svg
    from steadyrest.papers.nest_sheet import NestSheet, nest_sheet

    unit = "in" if (asked.unit or shop.unit) == "in" else "mm"
    try:
        if asked.picture and one.nest.sheets:
            for k, sheet in enumerate(one.nest.sheets, 1):
                file = asked.picture if k == 1 else asked.picture.with_stem(f"{asked.picture.stem}-{k}")
                file.write_text(nested_sheet_svg(one.nest, sheet), encoding="utf-8")
        if asked.paper:
            left = {label: done.left for label, done in one.cut.items() if done.left}
            paper = NestSheet(
                str(one.number), one.nest, f"nest {one.number}", left, unit, asked.now, shop.timezone, shop.name,
                shop.habits.lift_alone_kg, one.jobs,
            )  # fmt: skip
            asked.paper.write_bytes(nest_sheet(paper))
    except OSError as fault:
        why = fault.strerror or "no reason given"
        raise BadInput(
            where=str(fault.filename), what=f"cannot be written ({why}).", do="Name another place."
        ) from None


def answer(one: KeptNest) -> Json:
    """The nest as JSON."""
    nest = one.nest
    return {
        "nest": one.number,
        "parts": [{"part": each.name, "count": each.count, "placed": each.placed, "job": each.job or None}
                  for each in nest.lines],
        "plates": [
            {
                "piece": sheet.label, "heat_number": sheet.cut.heat_number,
                "placed": [{"part": nest.lines[laid.body].name, "x_mm": laid.x_mm, "y_mm": laid.y_mm,
                            "turn_deg": laid.turn_deg} for laid in sheet.cut.laid],
                "starts": len(sheet.order), "machine_s": sheet.cut_s + sheet.way_s,
                "person_s": sheet.load_s + sheet.hands_s, "used": sheet.cut.used, "mass_kg": sheet.cut.mass_kg,
                "left_mm2": sheet.cut.rest_mm2, "left": [list(at) for at in sheet.cut.rest_mm],
                "cut": sheet.label in one.cut,
                "left_piece": one.cut[sheet.label].left if sheet.label in one.cut else None,
            }
            for sheet in nest.sheets
        ],
        "gap_mm": nest.gap.value if nest.gap else None, "margin_mm": nest.margin.value if nest.margin else None,
        "machine": nest.machine or None, "tips_and_gas": str(nest.cash) if nest.cash is not None else None,
        "cost": str(nest.cost), "least": str(nest.least), "worth": str(nest.worth), "currency": nest.currency,
    }  # fmt: skip


def lines(one: KeptNest, shop: Shop) -> Iterable[str]:
    """The nest in words."""
    from steadyrest.papers.drawing.nested_sheet import legend
    from steadyrest.units import show_length, show_mass, show_time
    from steadyrest.wording.say import Reader, say

    nest, unit = one.nest, "in" if shop.unit == "in" else "mm"
    reader = Reader(unit, shop.currency)
    count, wanted = sum(each.placed for each in nest.lines), sum(each.count for each in nest.lines)
    yield f"Nest {one.number}: {count} of {wanted} parts, {nest.material}, {show_length(nest.thickness_mm, unit)} thick"
    if nest.machine:
        yield f"{nest.machine}, {nest.shown}: {show_time(nest.run_s)}, and {show_time(nest.hands_s)} of a person's time"
    for what, figure in (("from part to part", nest.gap), ("from the edge", nest.margin)):
        if figure is not None:
            yield f"{show_length(round(figure.value, 2), unit, fractions=False)} {what}: {say(figure.why[0], reader)}"
    for sheet in nest.sheets:
        yield f"plate {sheet.label}, {sheet.lies}, {show_mass(sheet.cut.mass_kg, 'kg')}"
        yield from (f"  {line}" for line in legend(nest, sheet, unit))
        done = one.cut.get(sheet.label)
        if done is not None:
            yield f"  written down as cut; what is left is {done.left}" if done.left else "  written down as cut"
    for each in nest.lacking:
        yield f"no place for {each.count - each.placed} of {each.name}"
    for why in (*nest.no_cutter, *nest.cannot, *nest.doubts, *nest.drilled, *nest.notes):
        yield say(why, reader)
    for why in nest.cautions:
        yield f"Caution: {say(why, reader)}"
