"""The addresses of a job's drawings: the page, a revision handed in, planned from or struck, its pictures."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.incoming import revisions as desk
from steadyrest.desk.wall_time import wall_time
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import only_the_owner, person
from steadyrest.web.showing import revisions as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

LARGEST = 2**63
OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def drawings(request: Request) -> Response:
        """The drawings, or what is done with one."""
        at, job = house(request), number(request, "job")
        if request.method == "GET":
            return await run_in_threadpool(page, at, job)
        async with request.form(max_files=1, max_fields=20) as form:
            if not at.token.fits(form.get("guard")):
                raise HTTPException(403, OLD_FORM)
            words = {name: str(value).strip() for name, value in form.items() if isinstance(value, str)}
            file = form.get("file")
            data = await file.read() if isinstance(file, UploadFile) else b""
            name = Path((file.filename if isinstance(file, UploadFile) else "") or "").name
        try:
            task = await run_in_threadpool(act, at, job, words, name, data)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, job, trouble.line(), 422)
        if task:
            at.queue.ring()
        return RedirectResponse(f"/reading/{task}" if task else f"/jobs/{job}/revisions", status_code=303)

    async def picture(request: Request) -> Response:
        """A revision, what changed filled; or the one before, what is gone filled."""
        at, asked = house(request), request.path_params

        def drawn() -> str:
            found = desk.history(at.place.store, number(request, "job"))
            return showing.picture(
                found.beside, number(request, "at"), asked["which"], asked["look"], unit=found.kept.answer.shop.unit
            )

        made = await run_in_threadpool(drawn)
        if not made:
            raise HTTPException(404, "There is no such picture.")
        return Response(made, media_type="image/svg+xml")

    return [
        Route("/jobs/{job:int}/revisions", drawings, methods=["GET", "POST"]),
        Route("/jobs/{job:int}/revisions/{at:int}/{which}/{look}.svg", picture),
    ]


def number(request: Request, name: str) -> int:
    """A number in the address; 404 where it is larger than any that was ever given out."""
    found = int(request.path_params[name])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


def page(at: House, job: int, trouble: str = "", status: int = 200) -> Response:
    """The page."""
    found = desk.history(at.place.store, job)
    fields = showing.page(found, guard=at.token.value, touch=secrets.token_urlsafe(12), trouble=trouble)
    return show.page("revisions.html", fields, status=status)


def act(at: House, job: int, words: Mapping[str, str], name: str, data: bytes) -> int:
    """Do what a form says; the task that it began, or 0."""
    store, now, what, touch = at.place.store, at.clock(), words.get("act", ""), words.get("touch", "")
    if what == "hand in":
        typed = desk.Typed(
            words.get("name", ""), person().id, unit=words.get("unit", ""), body=words.get("body", ""),
            words=words.get("words", ""), touch=touch,
        )  # fmt: skip
        return desk.hand_in(store, job, typed, name, data, now=now)
    if what == "plan":
        only_the_owner("plans a job anew")
        due = words.get("due", "")
        zone = at.place.said.shop.timezone
        return desk.plan_anew(
            store, job, due=wall_time(due, zone, where="By when").isoformat() if due else "", touch=touch, now=now
        )
    if what == "strike":
        desk.strike(store, job, words.get("entry", ""), words.get("words", ""), who=person().id, now=now)
        return 0
    raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")
