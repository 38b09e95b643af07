"""A cut list in words."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import datetime

from steadyrest.desk.cutting.cut_from_rack import Bars, Listed, latest
from steadyrest.desk.floor import clock
from steadyrest.papers.cut_list import ends_words
from steadyrest.shop.floor import Shop
from steadyrest.stock.cutting.in_order import SawnBar
from steadyrest.stock.cutting.plan import to_the_cent
from steadyrest.store.opening import Store
from steadyrest.units import show_length, show_mass
from steadyrest.units.lengths import LengthUnit
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.cut import BarShown, CutPage, CutShown, StepRow
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment
from steadyrest.wording.say import Reader, say


def page(
    store: Store, shop: Shop, choice: tuple[Bars, ...], *, typed: Mapping[str, str], one: Listed | None, guard: str,
    trouble: str, now: datetime,
) -> CutPage:  # fmt: skip
    """The page.

    Args:
        store: an open data folder. shop: its name, people, unit.
        choice: bars of the rack.
        typed: what the form says.
        one: the list that was made; None: only the form.
        guard: for the forms. trouble: what did not work, or "".
        now: aware moment.
    Returns: the page.
    """
    return CutPage(
        top=Top("Cut list", shop.name),
        guard=guard,
        bars=tuple((each.key, f"{each.key}: {_many(each, shop)}") for each in choice),
        typed={name: typed.get(name, "") for name in ("bars", "lines", "face", "trim", "kerf", *BUY, "seconds")},
        unit=shop.unit,
        plan=shown(one, shop) if one is not None else None,
        people=tuple((person.id, person.name) for person in shop.people),
        jobs=tuple((each.number, each.what) for each in clock.offered(store, "", now=now)) if one is not None else (),
        touch=secrets.token_urlsafe(12),
        trouble=trouble,
        rows=tuple((each.key, f"{each.name}, {moment(each.told, shop.timezone)}") for each in latest(store)),
    )


BUY = ("new_length", "new_cost", "new_many")


def _many(each: Bars, shop: Shop) -> str:
    total = show_length(sum(one.piece.usable_mm for one in each.pieces), _unit(shop))
    return f"{len(each.pieces)} {'piece' if len(each.pieces) == 1 else 'pieces'}, {total}"


def _unit(shop: Shop) -> LengthUnit:
    return "in" if shop.unit == "in" else "mm"


def shown(one: Listed, shop: Shop) -> CutShown:
    """The list in words."""
    answer, unit = one.answer, _unit(shop)
    plan, reader = answer.plan, Reader(unit, shop.currency)
    money = f": {to_the_cent(plan.cost)} {shop.currency}" if money_shown() else ""
    count = len(plan.bars)
    gap = f"at most {to_the_cent(plan.gap)} {shop.currency} more than the least possible" if money_shown() else ""
    return CutShown(
        where=f"/cut/{one.key}",
        says=f"{count} {'piece' if count == 1 else 'pieces'} of {one.bars}{money}",
        sure="nothing is cheaper, proven" if plan.proven else gap or "not proven to be the cheapest",
        bars=tuple(_bar(one, bar, shop) for bar in answer.sawing.bars),
        lacking=tuple(f"{each.count} of {each.part.id}" for each in plan.unplaced),
        doubts=tuple(say(doubt, reader) for doubt in plan.doubts),
        cautions=tuple(say(caution, reader) for caution in answer.cautions),
        open=len(one.open),
    )


def _bar(one: Listed, sawn: SawnBar, shop: Shop) -> BarShown:
    unit, bar = _unit(shop), sawn.bar
    label = bar.piece.id if bar.piece.id in one.seen else ""
    on_it = next((each for each in one.lie if each[0] == label), None)
    rest = show_length(round(float(bar.rest_mm), 1), unit)
    weight = f", {show_mass(sawn.rest_kg, 'kg')}" if sawn.rest_kg is not None else ""
    alone_kg = shop.habits.lift_alone_kg
    most = max((step.moved_kg or 0.0 for step in sawn.steps), default=0.0)
    heat = "" if on_it is None else f", heat {on_it[2] or 'not known'}"
    lies = "to buy" if on_it is None else f"at {on_it[1]}{heat}"
    return BarShown(
        name=bar.piece.id,
        label=label if label in one.open else "",
        where="" if on_it is None else "/rack/",
        says=f"{show_length(float(bar.piece.length_mm), unit)}, {lies}",
        heavy=f"up to {show_mass(most, 'kg')} on the saw: not one person by hand" if most > alone_kg else "",
        steps=tuple(
            StepRow(
                step.lying.part.id, show_length(float(step.lying.part.length_mm), unit),
                ends_words(step.lying.part.ends_deg),
                *(show_mass(x, "kg") if x is not None else "" for x in (step.moved_kg, step.part_kg)),
            )
            for step in sawn.steps
        ),
        rest=f"{rest}{weight}, {'back to the rack' if bar.kept else 'scrap'}",
        state="written down as cut" if label in one.booked else "",
    )  # fmt: skip
