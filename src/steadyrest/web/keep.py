"""The address of keep or scrap: the rack judged by what this shop was asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.pieces import rack
from steadyrest.desk.pieces.keep_or_scrap import Judged, judged, rush
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop
from steadyrest.units import show_length
from steadyrest.web import show
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.keep import KeepPage, KeepRow, RushRow
from steadyrest.web.pages.top import Top
from steadyrest.wording.say import Reader, say

if TYPE_CHECKING:
    from steadyrest.web.app import House


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The address.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def keep(request: Request) -> Response:
        """The rack judged."""
        return await run_in_threadpool(page, house(request))

    return [Route("/keep", keep)]


def page(at: House) -> Response:
    """The page."""
    store, shop = at.place.store, at.place.said.shop
    found = rack.pieces(store, shop)
    by_label = judged(store, shop, found, now=at.clock())
    unit = "in" if shop.unit == "in" else "mm"
    rows = [
        row(by_label[one.piece.label], shop, what=f"{one.piece.shape} {_size(one.piece.size_mm, shop)}, "
            f"{show_length(one.piece.usable_mm, unit)}, {one.piece.material}, at {one.piece.place}")
        for one in found if one.piece.label in by_label
    ]  # fmt: skip
    fields = KeepPage(
        top=Top("Keep or scrap", shop.name),
        scrap=tuple(one for one in rows if not one.keep),
        keep=tuple(one for one in rows if one.keep),
        rush=tuple(
            RushRow(f"{one.says}, {one.material}", show_length(one.length_mm, unit), one.times, one.serves)
            for one in rush(store, found)
        ),
    )
    return show.page("keep.html", fields)


def row(one: Judged, shop: Shop, *, what: str = "") -> KeepRow:
    """A judgement in words."""
    worth = one.worth
    money = f"worth {worth.value:.2f} {shop.currency} kept, {worth.scrap:.2f} as scrap" if money_shown() else ""
    key = "keep.by_book" if one.asked.own else "keep.by_prior"
    why = because(key, own=float(one.asked.own), per_year=one.asked.per_year)
    said = say(why, Reader("in" if shop.unit == "in" else "mm", shop.currency))
    if one.by_area:
        said += "; " + say(because("keep.by_area"), Reader("mm", shop.currency))
    return KeepRow(one.label, what, "keep it" if worth.keep else "scrap it", money, said, worth.keep)


def _size(size_mm: tuple[float, ...], shop: Shop) -> str:
    return " x ".join(show_length(x, "in" if shop.unit == "in" else "mm") for x in size_mm)
