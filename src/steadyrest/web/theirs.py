"""The addresses of the customer's own parts: what came, what went back, their photos."""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.incoming import their_parts as desk
from steadyrest.desk.incoming.receipt import receipt_paper
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.pages.theirs import TheirRow, TheirsPage
from steadyrest.web.pages.top import Top
from steadyrest.web.record import KINDS, as_pdf
from steadyrest.web.revisions import number
from steadyrest.web.things import sent

if TYPE_CHECKING:
    from steadyrest.web.app import House

HASH = re.compile(r"[0-9a-f]{64}")


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def theirs(request: Request) -> Response:
        """The page, or a part that came or went back."""
        at, job = house(request), number(request, "job")
        if request.method == "GET":
            return await run_in_threadpool(page, at, job)
        words, photo = await sent(request, at)
        try:
            await run_in_threadpool(act, at, job, words, photo)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, job, trouble.line(), 422)
        return RedirectResponse(f"/jobs/{job}/theirs", status_code=303)

    async def photo(request: Request) -> Response:
        """A photo of one of them."""
        at, sha256 = house(request), str(request.path_params["sha"])
        _, known = await run_in_threadpool(desk.parts_of, at.place.store, number(request, "job"))
        if not HASH.fullmatch(sha256) or sha256 not in {one.photo for one in known}:
            raise HTTPException(404, "There is no such photo.")
        data = await run_in_threadpool(at.place.store.files.read, sha256)
        kind = next((kind for begins, kind in KINDS.items() if data.startswith(begins)), "application/octet-stream")
        return Response(data, media_type=kind)

    async def paper(request: Request) -> Response:
        """The receipt as PDF."""
        at, job = house(request), number(request, "job")
        shop, link = at.place.said.shop, str(request.url_for("theirs", job=job))
        pdf = await run_in_threadpool(receipt_paper, at.place.store, shop, job, now=at.clock(), link=link)
        return as_pdf(pdf, f"job-{job}-receipt.pdf")

    return [
        Route("/jobs/{job:int}/theirs.pdf", paper),
        Route("/jobs/{job:int}/theirs", theirs, methods=["GET", "POST"], name="theirs"),
        Route("/jobs/{job:int}/theirs/photo/{sha}", photo),
    ]


def act(at: House, job: int, words: Mapping[str, str], photo: bytes) -> None:
    """Write down what a form says."""
    store, now, who, touch = at.place.store, at.clock(), by(words.get("by", "")), words.get("touch", "")
    if words.get("act") == "back":
        desk.give_back(store, job, words.get("entry", ""), who=who, now=now, touch=touch)
    elif words.get("act") == "came":
        desk.take_in(store, at.place.said.shop, job, words, photo, who=who, now=now, touch=touch)
    else:
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")


def page(at: House, job: int, trouble: str = "", status: int = 200) -> Response:
    """The page."""
    shop = at.place.said.shop
    found, parts = desk.parts_of(at.place.store, job)
    touch = secrets.token_urlsafe(12)
    fields = TheirsPage(
        top=Top(f"Left with us, job {job}", shop.name),
        guard=at.token.value,
        touch=f"{touch}-came",
        number=job,
        what=found.what,
        customer="" if found.customer == "not said" else found.customer,
        rows=tuple(
            TheirRow(
                one.entry, desk.in_words(one, shop), desk.told(one, shop),
                f"/jobs/{job}/theirs/photo/{one.photo}" if one.photo else "", one.back is None, f"{touch}-{one.entry}",
            )
            for one in parts
        ),
        people=tuple((person.id, person.name) for person in shop.people),
        trouble=trouble,
    )  # fmt: skip
    return show.page("theirs.html", fields, status=status)
