"""The address of a job's plates: cut up as its plan says, in one touch."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.cutting import plan_plates
from steadyrest.desk.cutting.plan_plates import PlannedPlate
from steadyrest.shop.floor import Shop
from steadyrest.stock.nesting.pieces import polygon
from steadyrest.trouble import BadInput
from steadyrest.units import show_length, show_mass
from steadyrest.web import show
from steadyrest.web.asked import checked_form, number
from steadyrest.web.at_screen import by
from steadyrest.web.pages.plates import PlannedRow, PlatesPage
from steadyrest.web.pages.top import Top

if TYPE_CHECKING:
    from steadyrest.web.app import House


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The address.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def plates(request: Request) -> Response:
        """The plates, or one that was cut."""
        at, job = house(request), number(request, "job")
        if request.method == "GET":
            return await run_in_threadpool(page, at, job)
        words = await checked_form(request)
        try:
            await run_in_threadpool(booked, at, job, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, job, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/jobs/{job}/plates", status_code=303)

    return [Route("/jobs/{job:int}/plates", plates, methods=["GET", "POST"])]


def booked(at: House, job: int, words: dict[str, str]) -> None:
    """What a form says was cut."""
    seen = words.get("seen", "")
    if not (seen.isascii() and seen.isdecimal() and len(seen) < 10):
        raise BadInput(where="the form", what="it does not say what you saw.", do="Open the page again.")
    plan_plates.book(
        at.place.store, at.place.said.shop, job, words.get("plate", ""), seen=int(seen), who=by(words.get("by", "")),
        now=at.clock(), place=words.get("place", ""), touch=words.get("touch", ""),
    )  # fmt: skip


def page(at: House, job: int, *, trouble: str = "", status: int = 200) -> Response:
    """The page."""
    shop = at.place.said.shop
    fields = PlatesPage(
        top=Top(f"Job {job}: its plates", shop.name),
        guard=at.token.value,
        job=job,
        rows=tuple(row(one, shop) for one in plan_plates.planned_plates(at.place.store, shop, job)),
        people=tuple((person.id, person.name) for person in shop.people),
        trouble=trouble,
    )
    return show.page("plates.html", fields, status=status)


def row(one: PlannedPlate, shop: Shop) -> PlannedRow:
    """A plate in words."""
    cut, unit = one.cut, "in" if shop.unit == "in" else "mm"
    heat = f"heat {cut.heat_number}" if cut.heat_number else "heat not known"
    parts = "1 part" if len(cut.laid) == 1 else f"{len(cut.laid)} parts"
    rest = "nothing worth keeping is left of it"
    if cut.rest_mm:
        x0, y0, x1, y1 = polygon(cut.rest_mm).bounds
        over = f"{show_length(round(x1 - x0, 1), unit)} × {show_length(round(y1 - y0, 1), unit)}"
        kg = cut.mass_kg * cut.rest_mm2 / max(cut.area_mm2, 1e-9)
        rest = f"left over in one piece: {over} over all, {show_mass(kg, 'kg')}, {heat}"
    says = f"{one.lies or 'not there any more'}, {heat}, {show_mass(cut.mass_kg, 'kg')}: {parts}"
    return PlannedRow(cut.name, says, rest, one.said, one.seen, secrets.token_urlsafe(12))
