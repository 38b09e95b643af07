"""The addresses of the shop's things: the list, one of them, what is told of it, its photos."""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.floor import things as desk
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.record import KINDS
from steadyrest.web.showing import things as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

LARGEST = 2**63
HASH = re.compile(r"[0-9a-f]{64}")
OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def whole(request: Request) -> Response:
        """All things, or one that is put in the book."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(page, at)
        words, photo = await sent(request, at)

        def put_in() -> int:
            return desk.add(
                at.place.store, at.place.said.shop, words.get("kind", ""), words.get("name", ""), words, photo,
                who=by(words.get("by", "")), now=at.clock(), touch=words.get("touch", ""),
            )  # fmt: skip

        try:
            made = await run_in_threadpool(put_in)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, words.get("kind", ""), trouble.line(), 422)
        return RedirectResponse(f"/things/{made}", status_code=303)

    async def one(request: Request) -> Response:
        """A thing, or what happened to it."""
        at, thing = house(request), number(request)
        if request.method == "GET":
            return await run_in_threadpool(one_page, at, thing)
        words, photo = await sent(request, at)

        def told() -> None:
            desk.tell(
                at.place.store, thing, words.get("what", ""), words, photo, seen=words.get("seen", ""),
                who=by(words.get("by", "")), now=at.clock(), touch=words.get("touch", ""),
            )  # fmt: skip

        try:
            await run_in_threadpool(told)
        except BadInput as trouble:
            return await run_in_threadpool(one_page, at, thing, trouble.line(), 422)
        return RedirectResponse(f"/things/{thing}", status_code=303)

    async def photo(request: Request) -> Response:
        """A photo of a thing."""
        at, thing, sha256 = house(request), number(request), str(request.path_params["sha"])
        found = await run_in_threadpool(desk.one_thing, at.place.store, thing, at.place.said.shop, now=at.clock())
        if not HASH.fullmatch(sha256) or sha256 not in {each.file_sha256 for each in found.thing.entries}:
            raise HTTPException(404, "There is no such photo.")
        data = await run_in_threadpool(at.place.store.files.read, sha256)
        kind = next((kind for begins, kind in KINDS.items() if data.startswith(begins)), "application/octet-stream")
        return Response(data, media_type=kind)

    return [
        Route("/things", whole, methods=["GET", "POST"]),
        Route("/things/{thing:int}", one, methods=["GET", "POST"]),
        Route("/things/{thing:int}/photo/{sha}", photo),
    ]


def number(request: Request) -> int:
    """The thing's number in the address."""
    found = int(request.path_params["thing"])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


async def sent(request: Request, at: House) -> tuple[dict[str, str], bytes]:
    """A form's words and its photo, once its token fits."""
    async with request.form(max_files=1, max_fields=20) as form:
        if not at.token.fits(form.get("guard")):
            raise HTTPException(403, OLD_FORM)
        words = {name: str(value).strip() for name, value in form.items() if isinstance(value, str)}
        file = form.get("photo")
        return words, await file.read() if isinstance(file, UploadFile) else b""


def page(at: House, kind: str = "", trouble: str = "", status: int = 200) -> Response:
    """The page of all."""
    shop = at.place.said.shop
    found = desk.all_things(at.place.store, shop, now=at.clock())
    fields = showing.page(
        found, shop, guard=at.token.value, touch=secrets.token_urlsafe(12), kind=kind, trouble=trouble
    )
    return show.page("things.html", fields, status=status)


def one_page(at: House, thing: int, trouble: str = "", status: int = 200) -> Response:
    """The page of one."""
    shop = at.place.said.shop
    found = desk.one_thing(at.place.store, thing, shop, now=at.clock())
    fields = showing.one_page(found, shop, guard=at.token.value, touch=secrets.token_urlsafe(12), trouble=trouble)
    return show.page("thing.html", fields, status=status)
