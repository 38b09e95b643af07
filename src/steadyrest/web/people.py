"""The owner's page of the people: PINs, roles, and the devices that are in."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.floor import who as desk
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import person, screen
from steadyrest.web.showing import people as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def people(request: Request) -> Response:
        """The page, or what the owner says."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(page, at)
        async with request.form(max_files=0, max_fields=10) as form:
            words = {name: str(value) for name, value in form.items()}
        if not at.token.fits(words.get("guard")):
            raise HTTPException(403, OLD_FORM)
        try:
            await run_in_threadpool(tell, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, trouble.line(), 422)
        return RedirectResponse("/people", status_code=303)

    return [Route("/people", people, methods=["GET", "POST"])]


def page(at: House, trouble: str = "", status: int = 200) -> Response:
    """The page."""
    now, shop = at.clock(), at.place.said.shop
    fields = showing.page(
        shop, desk.everybody(at.place.store, shop, now=now), screen(), guard=at.token.value, trouble=trouble
    )
    return show.page("people.html", fields, status=status)


def tell(at: House, words: dict[str, str]) -> None:
    """Do what the owner says."""
    now, store, shop, me = at.clock(), at.place.store, at.place.said.shop, person().id
    what, whom = words.get("what", ""), words.get("person", "")
    if what == "pin":
        if words.get("pin") != words.get("again"):
            raise BadInput(where="PIN", what="it was not typed twice alike.", do="Type it again.")
        role: desk.Role = "owner" if words.get("role") == "owner" else "hand"
        desk.give_pin(store, shop, person=whom, pin=words.get("pin", ""), role=role, by=me, now=now)
    elif what == "take":
        desk.take_pin(store, person=whom, by=me, now=now)
    elif what == "device":
        desk.take_device_back(store, key=words.get("device", ""), by=me, now=now)
    else:
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")
