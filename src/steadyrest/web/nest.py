"""The nest's addresses: what is asked, what came of it, its picture and paper, its plates cut in one touch."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import PurePath
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.cutting import nest_cut
from steadyrest.desk.cutting.nest_asked import MOST_FILES, Typed, hand_in
from steadyrest.papers.drawing.nested_sheet import nested_sheet_svg
from steadyrest.papers.nest_sheet import NestSheet, nest_sheet
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.asked import number
from steadyrest.web.at_screen import by
from steadyrest.web.rack import form
from steadyrest.web.showing import nest as showing
from steadyrest.web.showing.pictures import LOOKS

if TYPE_CHECKING:
    from steadyrest.web.app import House

LONGEST, NAME = 2000, 80


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def ask(request: Request) -> Response:
        """The form, or the nest that it asks for."""
        at = house(request)
        if request.method == "GET":
            typed = {name: value[:LONGEST] for name, value in request.query_params.items()}
            ticked = frozenset(request.query_params.getlist("plate"))
            return await run_in_threadpool(page, at, typed, ticked)
        async with request.form(max_files=MOST_FILES, max_fields=200) as sent:
            if not at.token.fits(sent.get("guard")):
                raise HTTPException(403, "This form is too old. Open the page again.")
            words = {name: str(value).strip()[:LONGEST] for name, value in sent.items() if isinstance(value, str)}
            ticked = frozenset(str(one) for one in sent.getlist("plate"))
            files = [
                (
                    PurePath((one.filename or "").replace("\\", "/")).name[:NAME],
                    await one.read(),
                    words.get(f"count{k}", ""),
                )
                for k in range(1, MOST_FILES + 1)
                if isinstance(one := sent.get(f"file{k}"), UploadFile) and one.filename
            ]
        try:
            task = await run_in_threadpool(handed, at, words, ticked, tuple(files))
        except BadInput as trouble:
            return await run_in_threadpool(page, at, words, ticked, trouble=trouble.line(), status=422)
        at.queue.ring()
        return RedirectResponse(f"/reading/{task}", status_code=303)

    async def made(request: Request) -> Response:
        """A nest, or what was cut by it."""
        at, which = house(request), number(request, "nest")
        if request.method == "GET":
            return await run_in_threadpool(nested_page, at, which)
        words = await form(request, at)
        try:
            await run_in_threadpool(booked, at, which, words)
        except BadInput as trouble:
            return await run_in_threadpool(nested_page, at, which, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/nest/{which}", status_code=303)

    async def picture(request: Request) -> Response:
        """One plate of a nest, drawn."""
        at, look, sheet = house(request), request.path_params["look"], number(request, "sheet")
        one = await run_in_threadpool(kept, at, number(request, "nest"))
        if look not in LOOKS or sheet >= len(one.nest.sheets):
            raise HTTPException(404, "There is no such picture.")
        width_mm, dark = LOOKS[look]
        svg = nested_sheet_svg(one.nest, one.nest.sheets[sheet], width_mm=width_mm, dark=dark)
        return Response(svg, media_type="image/svg+xml")

    async def paper(request: Request) -> Response:
        """The nest sheet."""
        at, which = house(request), number(request, "nest")
        one = await run_in_threadpool(kept, at, which)
        data = await run_in_threadpool(nest_sheet, sheet_of(at, one, str(request.base_url).rstrip("/")))
        return Response(data, media_type="application/pdf", headers={"Content-Disposition": "inline"})

    return [
        Route("/nest", ask, methods=["GET", "POST"]),
        Route("/nest/{nest:int}/nest-sheet.pdf", paper),
        Route("/nest/{nest:int}/{sheet:int}/{look}.svg", picture),
        Route("/nest/{nest:int}", made, methods=["GET", "POST"]),
    ]


def handed(at: House, words: dict[str, str], ticked: frozenset[str], files: tuple[tuple[str, bytes, str], ...]) -> int:
    """A nest put into the queue."""
    typed = Typed(
        files, words.get("jobs", ""), tuple(sorted(ticked)), by(words.get("by", "")), words.get("turns", "") or "any",
        **{name: words.get(name, "") for name in ("gap", "margin", "machine", "seconds", "unit")},
    )  # fmt: skip
    return hand_in(at.place.store, at.place.said.shop, typed, now=at.clock())


def kept(at: House, which: int) -> nest_cut.KeptNest:
    """A nest. Raises: HTTPException: there is none."""
    try:
        return nest_cut.kept_nest(at.place.store, which)
    except BadInput as gone:
        raise HTTPException(404, gone.line()) from None


def sheet_of(at: House, one: nest_cut.KeptNest, here: str) -> NestSheet:
    """What stands on the nest sheet; its code leads to the job, where all of it is of one."""
    shop = at.place.said.shop
    link = f"{here}/jobs/{one.jobs[0]}" if len(one.jobs) == 1 else f"{here}/nest/{one.number}"
    left = {label: done.left for label, done in one.cut.items() if done.left}
    return NestSheet(
        str(one.number), one.nest, link, left, showing.unit_of(shop), at.clock(), shop.timezone, shop.name,
        shop.habits.lift_alone_kg, one.jobs,
    )  # fmt: skip


def booked(at: House, which: int, words: dict[str, str]) -> None:
    """What a form says was cut: one plate, or all that are open."""
    one = nest_cut.kept_nest(at.place.store, which)
    said = words.get("which", "")
    nest_cut.book(
        at.place.store, at.place.said.shop, which, (said,) if said else one.open, who=by(words.get("by", "")),
        now=at.clock(), place=words.get("place", ""), touch=words.get("touch", ""),
    )  # fmt: skip


def page(at: House, typed: dict[str, str], ticked: frozenset[str], *, trouble: str = "", status: int = 200) -> Response:
    """The form."""
    fields = showing.page(
        at.place.store, at.place.said.shop, typed=typed, ticked=ticked, guard=at.token.value, trouble=trouble
    )
    return show.page("nest.html", fields, status=status)


def nested_page(at: House, which: int, *, trouble: str = "", status: int = 200) -> Response:
    """A nest that was made."""
    one = kept(at, which)
    fields = showing.nested(one, at.place.said.shop, guard=at.token.value, trouble=trouble)
    return show.page("nested.html", fields, status=status)
