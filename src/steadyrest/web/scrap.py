"""The address of the scrap bins: what lies in each, and the forms by which it comes and goes."""

from __future__ import annotations

import math
import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING, cast

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.floor.who import name_of
from steadyrest.desk.pieces import scrap_bins
from steadyrest.desk.pieces.scrap_bins import Bin
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop
from steadyrest.store.scrap import Kind, ScrapEntry
from steadyrest.trouble import BadInput
from steadyrest.units import show_mass
from steadyrest.web import show
from steadyrest.web.asked import checked_form
from steadyrest.web.at_screen import by, money_shown
from steadyrest.web.pages.scrap import BinRow, ScrapPage
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment
from steadyrest.wording.say import Reader, say

if TYPE_CHECKING:
    from steadyrest.web.app import House

MOST_TOLD = 40


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The address.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def scrap(request: Request) -> Response:
        """The bins, or what happened to one."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(page, at)
        words = await checked_form(request)
        try:
            await run_in_threadpool(written, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, trouble=trouble.line(), status=422)
        return RedirectResponse("/scrap", status_code=303)

    return [Route("/scrap", scrap, methods=["GET", "POST"])]


def written(at: House, words: dict[str, str]) -> None:
    """What a form says."""
    store, shop, now, who = at.place.store, at.place.said.shop, at.clock(), by(words.get("by", ""))
    what = words.get("what", "")
    if what in ("bin", "hauled") and not money_shown():
        raise HTTPException(403, "What scrap brings is the owner's to write down.")
    if what == "bin":
        scrap_bins.set_up(store, shop, words, who=who, now=now)
    else:
        scrap_bins.happened(store, shop, words.get("name", ""), cast("Kind", what), words, who=who, now=now)


def page(at: House, *, trouble: str = "", status: int = 200) -> Response:
    """The page."""
    shop = at.place.said.shop
    fields = ScrapPage(
        top=Top("Scrap", shop.name),
        guard=at.token.value,
        rows=tuple(row(one, shop) for one in scrap_bins.bins(at.place.store, shop, now=at.clock())),
        kinds=tuple((f"{metal} {form}", f"{metal} chips, {form}") for metal, form in scrap_bins.kinds()),
        caution=say(because("scrap.caution_heap"), Reader("mm", shop.currency)),
        money=money_shown(),
        currency=shop.currency,
        touch=secrets.token_urlsafe(12),
        people=tuple((person.id, person.name) for person in shop.people),
        trouble=trouble,
    )
    return show.page("scrap.html", fields, status=status)


def row(one: Bin, shop: Shop) -> BinRow:
    """A bin in words."""
    judged, reader = one.judged, Reader("in" if shop.unit == "in" else "mm", shop.currency)
    says = f"{show_mass(one.there_kg, 'kg')}, {judged.there_m3:.2f} of {one.room_m3:g} m³"
    says = says if one.there_kg > 0 else f"empty, room for {one.room_m3:g} m³"
    lines = list[str]()
    if not one.fresh:
        lines.append(f"some {show_mass(one.per_year_kg, 'kg')} a year come to it, by its own entries")
    if money_shown():
        lines.append(f"worth {judged.worth:.2f} {shop.currency} now, fetching not counted")
        if not one.fresh and math.isfinite(judged.days_left):
            lines.append(f"a haul pays in {judged.days_left:.0f} days, and each {judged.every_days:.0f} days then")
        elif not one.fresh:
            lines.append("by itself a haul never pays: bring it along with another")
        lines += [] if one.fresh else [say(why, reader) for why in judged.why]
        if one.hauled_kg:
            lines.append(
                f"{show_mass(one.hauled_kg, 'kg')} hauled until now, {one.received:.2f} {shop.currency} received"
            )
    told = tuple(told_words(each, shop) for each in reversed(one.entries[-MOST_TOLD:]))
    marks = (secrets.token_urlsafe(12), secrets.token_urlsafe(12), secrets.token_urlsafe(12))
    due = "it should go now" if judged.due else ""
    return BinRow(one.name, says, due, tuple(lines), told, one.turn, marks)


def told_words(one: ScrapEntry, shop: Shop) -> str:
    """An entry in words."""
    who, when = name_of(shop, one.who), moment(one.happened, shop.timezone)
    if one.kind == "bin":
        return f"{when}: set up for {one.body['room_m3']:g} m³, {who}"
    kg = show_mass(float(one.body["kg"]), "kg")
    words = f", {one.body['words']}" if one.body.get("words") else ""
    money = f", {one.body['money']} {shop.currency} received" if one.kind == "hauled" and money_shown() else ""
    what = {"in": "went in", "weighed": "weighed", "hauled": "hauled"}[one.kind]
    return f"{when}: {kg} {what}{money}{words}, {who}"
