"""The carry blank's addresses: a form answered at once, and its drawing; nothing is kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.cutting import carry_typed
from steadyrest.desk.cutting.cut_stock import CarryAnswer
from steadyrest.desk.pieces import rack
from steadyrest.papers.carry_sheet import CarrySheet, carry_sheet
from steadyrest.papers.drawing.carry_picture import carry_svg
from steadyrest.shop.floor import Shop
from steadyrest.stock.carry import CarryOption
from steadyrest.trouble import BadInput
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.units.lengths import LengthUnit
from steadyrest.web import show
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.carry import CarryPage, CarryShown, OptionRow
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.pictures import LOOKS
from steadyrest.wording.say import Reader, say

if TYPE_CHECKING:
    from steadyrest.web.app import House

LONGEST = 2000


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def carry(request: Request) -> Response:
        """The form, and its answer."""
        return await run_in_threadpool(page, house(request), typed_in(request))

    async def picture(request: Request) -> Response:
        """The chosen blank, drawn."""
        at, look = house(request), request.path_params["look"]
        if look not in LOOKS:
            raise HTTPException(404, "There is no such picture.")
        width_mm, dark = LOOKS[look]
        try:
            answer = await run_in_threadpool(asked, at, typed_in(request))
        except BadInput as trouble:
            raise HTTPException(404, trouble.line()) from None
        if answer.chosen is None:
            raise HTTPException(404, "No blank is allowed: there is nothing to draw.")
        unit: LengthUnit = "in" if at.place.said.shop.unit == "in" else "mm"
        svg = carry_svg(answer.wanted, answer.chosen, unit=unit, width_mm=width_mm, dark=dark)
        return Response(svg, media_type="image/svg+xml")

    async def paper(request: Request) -> Response:
        """The chosen blank on paper."""
        at, typed = house(request), typed_in(request)
        try:
            answer = await run_in_threadpool(asked, at, typed)
        except BadInput as trouble:
            raise HTTPException(404, trouble.line()) from None
        if answer.chosen is None:
            raise HTTPException(404, "No blank is allowed: there is nothing to print.")
        shop = at.place.said.shop
        link = f"{str(request.base_url).rstrip('/')}/carry?{urlencode({k: v for k, v in typed.items() if v})}"
        sheet = CarrySheet(
            f"{typed['metal']} {typed['section']}, {typed['count']} parts of {typed['length']}", answer.wanted,
            answer.chosen, answer.made_for, answer.cautions, link, _unit(shop), at.clock(), shop.timezone, shop.name,
        )  # fmt: skip
        data = await run_in_threadpool(carry_sheet, sheet)
        return Response(data, media_type="application/pdf", headers={"Content-Disposition": "inline"})

    return [Route("/carry", carry), Route("/carry/{look}.svg", picture), Route("/carry/carry-blank.pdf", paper)]


def typed_in(request: Request) -> dict[str, str]:
    sent = request.query_params
    return {name: sent.get(name, "").strip()[:LONGEST] for name in carry_typed.FIELDS}


def asked(at: House, typed: dict[str, str]) -> CarryAnswer:
    """What the form asks for."""
    shop = at.place.said.shop
    return carry_typed.carry(typed, shop, rack.pieces(at.place.store, shop))


def page(at: House, typed: dict[str, str]) -> Response:
    """The page for what was typed."""
    shop, answer, trouble = at.place.said.shop, None, ""
    if any(typed.values()):
        try:
            answer = shown(asked(at, typed), shop, query=urlencode(typed))
        except BadInput as wrong:
            trouble = wrong.line()
    fields = CarryPage(
        top=Top("Carry blank", shop.name), unit=shop.unit, metals=tuple(one.id for one in shop.materials),
        typed=typed, hints=hints(shop), answer=answer, trouble=trouble,
    )  # fmt: skip
    return show.page("carry.html", fields, status=422 if trouble else 200)


def hints(shop: Shop) -> dict[str, str]:
    """What counts where a field is left empty."""
    habits, unit = shop.habits, _unit(shop)
    return {
        "face": show_length(habits.facing_mm, unit), "part_off": show_length(habits.part_off_mm, unit),
        "grip": show_length(habits.grip_mm, unit), "saw": f"{carry_typed.SAW_MIN:g}",
        "hold": f"{carry_typed.HOLD_MIN:g}", "force": f"{carry_typed.FORCE_N:g}",
        "tip": show_length(carry_typed.TIP_MM, unit), "mass": f"{habits.lift_alone_kg:g}",
    }  # fmt: skip


def _unit(shop: Shop) -> LengthUnit:
    return "in" if shop.unit == "in" else "mm"


def shown(answer: CarryAnswer, shop: Shop, *, query: str) -> CarryShown:
    """An answer in words."""
    unit, chosen, wanted = _unit(shop), answer.chosen, answer.wanted
    reader = Reader(unit, shop.currency)
    if chosen is None:
        says = "no blank is allowed: what speaks against each stands below"
    else:
        blanks, whole = len(chosen.chains), show_length(round(wanted.blank_mm(chosen.links), 2), unit)
        says = f"{blanks} {'blank' if blanks == 1 else 'blanks'} of up to {chosen.links} links, {whole} long"
    off = answer.scrapped
    money = f": {off.alone:.2f} {shop.currency} as a blank of its own, {off.spare:.2f} as one link more from the start"
    return CarryShown(
        says=says,
        why=tuple(say(why, reader) for why in chosen.tip.why) if chosen else (),
        cautions=tuple(say(one, reader) for one in answer.cautions),
        rows=tuple(_row(one, answer, shop) for one in answer.options),
        lots=tuple(
            f"{one.count} by {one.due}: " + ", ".join(f"{many} of blank {n}" for n, many in one.chains)
            + (f"; {one.spare} over for the next" if one.spare else "")
            for one in answer.made_for
        ),
        scrapped=f"a scrapped link costs{money if money_shown() else ' a blank of its own'}; a spare link pays where "
        f"one in {1 / off.odds:.0f} lots or more loses one" if off.odds > 0 else "",
        query=query,
        drawn=chosen is not None,
    )  # fmt: skip


def _row(one: CarryOption, answer: CarryAnswer, shop: Shop) -> OptionRow:
    unit = _unit(shop)
    reader = Reader(unit, shop.currency)
    return OptionRow(
        links=one.links, blanks=str(len(one.chains)), bar=show_length(round(one.bar_mm, 1), unit),
        tip=show_length(round(one.tip.value, 3), unit, fractions=False), weight=show_mass(one.blank_kg, "kg"),
        hands=show_time(one.handling_s), cost=f"{one.cost:.2f} {shop.currency}" if money_shown() else "",
        against=tuple(say(why, reader) for why in one.limits),
        chosen=answer.chosen is not None and one.links == answer.chosen.links,
    )  # fmt: skip
