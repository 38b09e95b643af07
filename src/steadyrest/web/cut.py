"""The cut list's addresses: lengths against the rack, the list drawn, printed, and written into the book."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.cutting import cut_from_rack as desk
from steadyrest.desk.pieces import rack
from steadyrest.papers.cut_list import CutList, cut_list
from steadyrest.papers.drawing.cut_picture import cut_svg, drawn_bars
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import by, money_shown
from steadyrest.web.rack import form
from steadyrest.web.showing import cut as showing
from steadyrest.web.showing.pictures import LOOKS

if TYPE_CHECKING:
    from steadyrest.web.app import House

LONGEST = 20_000


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def ask(request: Request) -> Response:
        """The form, or the list that it asks for."""
        at = house(request)
        if request.method == "GET":
            typed = {name: value[:LONGEST] for name, value in request.query_params.items()}
            return await run_in_threadpool(page, at, typed)
        words = await form(request, at)
        try:
            made = await run_in_threadpool(listed, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, words, trouble=trouble.line(), status=422)
        await run_in_threadpool(desk.keep_list, at.place.store, made, who=by(words.get("by", "")), now=at.clock())
        return RedirectResponse(f"/cut/{made.key}", status_code=303)

    async def made(request: Request) -> Response:
        """A list, or what was cut by it."""
        at = house(request)
        one = await run_in_threadpool(kept, request)
        if request.method == "GET":
            return await run_in_threadpool(page, at, {"bars": one.bars}, one=one)
        words = await form(request, at)
        try:
            await run_in_threadpool(booked, at, one, words)
        except BadInput as trouble:
            typed = {"bars": one.bars}
            return await run_in_threadpool(page, at, typed, one=one, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/cut/{one.key}", status_code=303)

    async def picture(request: Request) -> Response:
        """One bar of a list, drawn; all of a list to one scale."""
        at, look = house(request), request.path_params["look"]
        one = await run_in_threadpool(kept, request)
        drawn, which = drawn_bars(one.answer.wanted, one.answer.sawing), request.path_params["bar"]
        if look not in LOOKS or which >= len(drawn):
            raise HTTPException(404, "There is no such picture.")
        width_mm, dark = LOOKS[look]
        unit = "in" if at.place.said.shop.unit == "in" else "mm"
        longest_mm = max(each.length_mm for each in drawn)
        svg = cut_svg([drawn[which]], unit=unit, width_mm=width_mm, dark=dark, longest_mm=longest_mm)
        return Response(svg, media_type="image/svg+xml")

    async def paper(request: Request) -> Response:
        """The list on paper."""
        at, one = house(request), await run_in_threadpool(kept, request)
        shop, answer = at.place.said.shop, one.answer
        unit = "in" if shop.unit == "in" else "mm"
        sheet = CutList(one.bars, answer.wanted, answer.sawing, answer.cautions, unit, at.clock(), shop.timezone,
                        money=money_shown())  # fmt: skip
        data = await run_in_threadpool(cut_list, sheet)
        return Response(data, media_type="application/pdf", headers={"Content-Disposition": "inline"})

    def kept(request: Request) -> desk.Listed:
        try:
            return desk.kept_list(house(request).place.store, request.path_params["key"])
        except BadInput as gone:
            raise HTTPException(404, gone.line()) from None

    return [
        Route("/cut", ask, methods=["GET", "POST"]),
        Route("/cut/{key}/cut-list.pdf", paper),
        Route("/cut/{key}/{bar:int}/{look}.svg", picture),
        Route("/cut/{key}", made, methods=["GET", "POST"]),
    ]


def listed(at: House, words: dict[str, str]) -> desk.Listed:
    """The list that a form asks for."""
    asked = desk.Asked(
        words.get("bars", ""), words.get("lines", ""),
        **{name: words.get(name, "") for name in ("face", "trim", "kerf", *showing.BUY, "seconds")},
    )  # fmt: skip
    return desk.listed(at.place.store, at.place.said.shop, asked, stop=lambda: False)


def booked(at: House, one: desk.Listed, words: dict[str, str]) -> desk.Listed:
    """What a form says was cut: one piece, or all that are open."""
    which, job = words.get("which", ""), words.get("job", "")
    number = int(job) if job.isascii() and job.isdecimal() and len(job) < 10 else None
    labels = one.open if which == "" else (which,)
    if not labels:
        raise BadInput(where="the cut list", what="all of it is written down already.", do="Look at the rack.")
    return desk.book(
        at.place.store, at.place.said.shop, one, labels, who=by(words.get("by", "")), job=number, now=at.clock(),
        touch=words.get("touch", ""),
    )  # fmt: skip


def page(
    at: House, typed: dict[str, str], *, one: desk.Listed | None = None, trouble: str = "", status: int = 200
) -> Response:
    """The page."""
    store, shop = at.place.store, at.place.said.shop
    choice = desk.bars(rack.pieces(store, shop))
    fields = showing.page(
        store, shop, choice, typed=typed, one=one, guard=at.token.value, trouble=trouble, now=at.clock()
    )
    return show.page("cut.html", fields, status=status)
