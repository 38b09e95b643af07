"""The owner's page of who changed what."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.books import changes as desk
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.showing import changes as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def changes(request: Request) -> Response:
        """The page."""
        asked = request.query_params
        before = moment(asked.get("before", ""))
        return await run_in_threadpool(page, house(request), before, asked.get("who", "")[:100])

    return [Route("/changes", changes)]


def moment(typed: str) -> datetime | None:
    """A moment of an address; None for none. Raises: BadInput: it is none."""
    if not typed:
        return None
    try:
        found = datetime.fromisoformat(typed)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise BadInput(where="before", what=f"{typed[:40]!r} is no moment.", do="Open the page anew.")
    return found


def page(at: House, before: datetime | None, who: str) -> Response:
    found = desk.latest(at.place.store, before=before, who=who)
    return show.page("changes.html", showing.page(at.place.said.shop, found, who=who))
