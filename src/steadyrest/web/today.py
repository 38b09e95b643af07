"""Today's addresses: the page, and what was ordered or came."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.pieces.bought import say_bought
from steadyrest.desk.week import today as desk
from steadyrest.web import show
from steadyrest.web.at_screen import person
from steadyrest.web.showing import today as showing
from steadyrest.web.week import LARGEST, words_of

if TYPE_CHECKING:
    from steadyrest.web.app import House


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def page(request: Request) -> Response:
        return await run_in_threadpool(shown, house(request))

    def shown(at: House) -> Response:
        now = at.clock()
        week = at.week.week(at.place.said, at.place.store, now=now)
        found = desk.today(at.place.store, week, now=now)
        filled = showing.page(found, week.shop, token=at.token.value, touch=secrets.token_urlsafe(12))
        return show.page("today.html", filled)

    async def bought(request: Request) -> Response:
        """What a job needs is ordered, or here."""
        at, job = house(request), int(request.path_params["job"])
        if job >= LARGEST:
            raise HTTPException(404, "There is no such number.")
        words = await words_of(request, at)
        await run_in_threadpool(
            say_bought, at.place.store, job, words.get("said", ""), at.place.said.shop, who=person().id, now=at.clock(),
            touch=words.get("touch", ""),
        )  # fmt: skip
        return RedirectResponse("/today", status_code=303)

    return [Route("/today", page), Route("/jobs/{job:int}/bought", bought, methods=["POST"])]
