"""The clock's addresses: one page, one form's address for everything that is told."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.floor import clock as desk
from steadyrest.desk.night import check_in
from steadyrest.desk.wall_time import wall_time
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.showing import clock as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

LATELY = timedelta(days=2)
KINDS: dict[str, desk.Kind] = {"start": "start", "beside": "beside", "stop": "stop", "done": "done", "note": "note"}


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def clock(request: Request) -> Response:
        """The page, or what somebody tells."""
        at = house(request)
        if request.method == "GET":
            # Whoever signed in has their own page first, and everybody else's at its foot.
            asked = request.query_params
            job = number(dict(asked), "job") or 0
            return await run_in_threadpool(page, at, asked.get("person") or by(""), asked_for=job)
        async with request.form(max_files=1, max_fields=20) as form:
            if not at.token.fits(form.get("guard")):
                raise HTTPException(403, "This form is too old. Open the page again.")
            words = {name: str(value).strip() for name, value in form.items() if isinstance(value, str)}
            file = form.get("photo")
            photo = await file.read() if isinstance(file, UploadFile) else b""
        me = words.get("person", "")
        try:
            await run_in_threadpool(tell, at, words, photo)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, me, trouble.line(), 422)
        return RedirectResponse(f"/clock?person={me}", status_code=303)

    return [Route("/clock", clock, methods=["GET", "POST"])]


def page(at: House, me: str, trouble: str = "", status: int = 200, *, asked_for: int = 0) -> Response:
    """The page of one person, or of nobody yet."""
    now, store, shop = at.clock(), at.place.store, at.place.said.shop
    known = me in {one.id for one in shop.people}
    lately = now - LATELY
    works = desk.listed(store, shop, job=None, person=me, since=lately, now=now).works if known else ()
    fields = showing.page(
        shop, desk.people_now(store, shop, now=now), me, works=works,
        offered=desk.offered(store, me, now=now) if known else (), now=now, guard=at.token.value,
        touch=secrets.token_urlsafe(12), trouble=trouble,
        asked_for=asked_for, alone=known and check_in.alone_by_the_clock(store, shop, now=now) == me,
    )  # fmt: skip
    return show.page("clock.html", fields, status=status)


def tell(at: House, words: dict[str, str], photo: bytes) -> None:
    """Write down what a form says."""
    now, store, shop = at.clock(), at.place.store, at.place.said.shop
    what, me, touch = words.get("what", ""), words.get("person", ""), words.get("touch", "")
    when = moment(words.get("at", ""), shop.timezone)
    if what == "there":
        works = desk.to_ask(store, shop, now=now, since=now - LATELY)
        asked = next((one for one in works if str(int(one.stretch.begun_by)) == words.get("entry")), None)
        if asked is None:
            raise BadInput(where="the clock", what="this is not asked any more.", do="Look at what it says now.")
        desk.tell(store, shop, desk.was_there(asked, who=by(me), now=now, touch=touch), now=now)
    elif what in ("fix", "strike"):
        said = desk.Fix(number(words, "entry") or 0, by(me), at=when, strike=what == "strike", touch=touch)
        desk.fix(store, shop, said, now=now)
    elif what in KINDS:
        said = desk.Said(
            KINDS[what], me, job=number(words, "job"), step=number(words, "step"), at=when,
            words=words.get("words", ""), who=by(me), photo=photo, photo_name="photo", touch=touch,
        )  # fmt: skip
        if what == "note" and not said.words and not photo:
            raise BadInput(where="note", what="there is nothing to note.", do="Write something, or take a photo.")
        desk.tell(store, shop, said, now=now)
    else:
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")


def number(words: dict[str, str], name: str) -> int | None:
    """A number of a form; None for none."""
    text = words.get(name, "")
    if text in ("", "0"):
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise BadInput(where=name, what=f"{text[:20]!r} is no number.", do="Open the page again.")
    return int(text)


def moment(text: str, timezone: str) -> datetime | None:
    """When it happened, as the field says; None for now."""
    return wall_time(text, timezone, where="when") if text else None
