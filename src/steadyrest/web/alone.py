"""The addresses of somebody alone: begin, answer, end; what every screen asks; and what the owner says about it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.night import check_in as desk
from steadyrest.desk.night import mail
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import person, screen
from steadyrest.web.showing import alone as showing
from steadyrest.web.signin import safe_way

if TYPE_CHECKING:
    from steadyrest.web.app import House

OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def alone(request: Request) -> Response:
        """The page, or what somebody says."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(page, at)
        words = await form(request, at)
        try:
            await run_in_threadpool(tell, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, trouble=trouble.line(), status=422)
        return RedirectResponse(safe_way(words.get("next", "/alone")), status_code=303)

    async def rules(request: Request) -> Response:
        """What the owner says, or a letter to try it."""
        at, words = house(request), await form(request, house(request))
        shop, store = at.place.said.shop, at.place.store
        try:
            if words.get("what") == "try":
                await run_in_threadpool(desk.try_letter, store, shop)
                done = "A letter went out. Look whether it came."
                return await run_in_threadpool(page, at, done=done)
            await run_in_threadpool(desk.set_rules, store, words, by=person().id, now=at.clock())
        except BadInput as trouble:
            return await run_in_threadpool(page, at, trouble=trouble.line(), status=422)
        return RedirectResponse("/alone", status_code=303)

    async def now(request: Request) -> Response:
        """What every open screen asks again and again."""
        at = house(request)
        running = await run_in_threadpool(desk.watched, at.place.store, at.place.said.shop, now=at.clock())
        says = [{"says": one.says, "missed": one.missed} for one in screen().alarms]
        return JSONResponse({"running": len(running), "alarms": says})

    return [
        Route("/alone", alone, methods=["GET", "POST"]),
        Route("/alone/now", now),
        Route("/alone/rules", rules, methods=["POST"]),
    ]


async def form(request: Request, at: House) -> dict[str, str]:
    """A small form's words, once its token fits."""
    async with request.form(max_files=0, max_fields=20) as sent:
        words = {name: str(value).strip() for name, value in sent.items()}
    if not at.token.fits(words.get("guard")):
        raise HTTPException(403, OLD_FORM)
    return words


def page(at: House, *, trouble: str = "", done: str = "", status: int = 200) -> Response:
    """The page."""
    now, store, shop, who = at.clock(), at.place.store, at.place.said.shop, person()
    fields = showing.page(
        shop, desk.watched(store, shop, now=now), desk.rules(store), guard=at.token.value, me=who.id,
        offered=desk.alone_by_the_clock(store, shop, now=now), owner=who.is_owner,
        has_password=bool(mail.password_of(store.folder)), trouble=trouble, done=done,
    )  # fmt: skip
    return show.page("alone.html", fields, status=status)


def tell(at: House, words: dict[str, str]) -> None:
    """Begin, answer, or end."""
    now, store, shop, who = at.clock(), at.place.store, at.place.said.shop, person()
    what, touch, number = words.get("what", ""), words.get("touch", ""), words.get("watch", "")
    if what == "begin":
        alone = words.get("person", "")
        desk.begin(
            store, shop, person=alone, contact=words.get("contact", ""), by=who.id if who.signed_in else alone,
            now=now, every_min=words.get("every_min", ""), touch=touch,
        )  # fmt: skip
    elif what in ("here", "end") and number.isascii() and number.isdecimal() and len(number) < 10:
        desk.answer(store, int(number), by=who.id, now=now, ends=what == "end", touch=touch)
    else:
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")
