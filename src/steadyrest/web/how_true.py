"""How true the tool has been: the page, and the choice of the figures that follow."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.week import how_true
from steadyrest.desk.week.how_true import Learnt, LessonShelf
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import person
from steadyrest.web.showing import how_true as showing
from steadyrest.web.week import words_of

if TYPE_CHECKING:
    from steadyrest.web.app import House


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """
    shelf = LessonShelf()

    async def page(request: Request) -> Response:
        return await run_in_threadpool(shown, house(request))

    def shown(at: House, trouble: str = "") -> Response:
        now = at.clock()
        shop = at.week.week(at.place.said, at.place.store, now=now).shop
        true = how_true.how_true(at.place.store, shop, shelf, now=now)
        filled = showing.page(true, shop, token=at.token.value, trouble=trouble)
        return show.page("how_true.html", filled, status=422 if trouble else 200)

    async def use(request: Request) -> Response:
        """Use the figures that were looked at, or the shop file's again."""
        at = house(request)
        words = await words_of(request, at)
        try:
            await run_in_threadpool(chosen, at, words)
        except BadInput as bad:
            return await run_in_threadpool(shown, at, f"{bad.where}: {bad.what} {bad.do}")
        return RedirectResponse("/true", status_code=303)

    def chosen(at: House, words: Mapping[str, str]) -> None:
        now = at.clock()
        shop = at.week.week(at.place.said, at.place.store, now=now).shop
        figures = how_true.how_true(at.place.store, shop, shelf, now=now).figures if words.get("use") == "hours" else ()
        how_true.use(at.place.store, [as_seen(one, words) for one in figures], who=person().id, now=now)

    return [Route("/true", page), Route("/true", use, methods=["POST"])]


def as_seen(figure: Learnt, words: Mapping[str, str]) -> Learnt:
    """The figure, if it still is what the page showed. Raises: BadInput: hours were added since."""
    if words.get(figure.name) != f"{figure.then:.3g}":
        raise BadInput(where="how true", what="hours were added since the page was opened.", do="Look again.")
    return figure
