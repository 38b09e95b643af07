"""The addresses of lists: looked at, written, undone; and everything given out."""

from __future__ import annotations

import re
import secrets
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.books import bring_in, give_out
from steadyrest.desk.books.bring_in import COLUMNS, NEEDED, Preview
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import person
from steadyrest.web.pages.lists import BroughtRow, KindRow, ListsPage, LookedAt
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment

if TYPE_CHECKING:
    from steadyrest.web.app import House

OLD_FORM = "This form is too old. Open the page again."
HASH = re.compile(r"[0-9a-f]{64}")
SHOWN = 200
LONGEST_NAME = 120


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def lists(request: Request) -> Response:
        """The page, or a list looked at, written, undone."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(page, at)
        async with request.form(max_files=1, max_fields=20) as form:
            if not at.token.fits(form.get("guard")):
                raise HTTPException(403, OLD_FORM)
            words = {name: str(value).strip() for name, value in form.items() if isinstance(value, str)}
            file = form.get("file")
            data = await file.read() if isinstance(file, UploadFile) else b""
            name = Path((file.filename if isinstance(file, UploadFile) else "") or "").name[:LONGEST_NAME]
        try:
            if words.get("act") == "look":
                return await run_in_threadpool(looked, at, words, name, data)
            await run_in_threadpool(act, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, trouble=trouble.line(), status=422)
        return RedirectResponse("/import", status_code=303)

    async def everything(request: Request) -> Response:
        """The archive."""
        at = house(request)
        async with request.form(max_files=0, max_fields=5) as form:
            if not at.token.fits(form.get("guard")):
                raise HTTPException(403, OLD_FORM)
        now = at.clock()

        def made() -> Path:
            folder = Path(tempfile.mkdtemp(prefix="steadyrest-out-"))
            return give_out.give_out(at.place.store, at.place.said, folder / "everything.zip", now=now).path

        path = await run_in_threadpool(made)
        named = f"steadyrest-{now:%Y-%m-%d}.zip"
        return FileResponse(
            path, media_type="application/zip", filename=named, background=BackgroundTask(cleared, path)
        )

    return [Route("/import", lists, methods=["GET", "POST"]), Route("/export", everything, methods=["POST"])]


def cleared(path: Path) -> None:
    """The archive was sent: nothing of it stays behind."""
    path.unlink(missing_ok=True)
    path.parent.rmdir()


def looked(at: House, words: Mapping[str, str], name: str, data: bytes) -> Response:
    """What a list would make; its file is kept, so that exactly this one is written afterwards."""
    store, shop = at.place.store, at.place.said.shop
    found = bring_in.preview(store, shop, words.get("what", ""), name or "the file", data, now=at.clock())
    sha256 = store.files.keep(data)
    return page(at, found=found, sha256=sha256, status=422 if found.faults else 200)


def act(at: House, words: Mapping[str, str]) -> None:
    """Write a list that was looked at, or undo one."""
    store, shop, now, who = at.place.store, at.place.said.shop, at.clock(), person().id
    if words.get("act") == "undo":
        entry = words.get("entry", "")
        number = int(entry) if entry.isascii() and entry.isdecimal() and len(entry) < 16 else 0
        bring_in.undo(store, number, who=who, now=now)
    elif words.get("act") == "write":
        sha256, what, name = words.get("sha256", ""), words.get("what", ""), words.get("name", "")[:LONGEST_NAME]
        if not HASH.fullmatch(sha256):
            raise BadInput(where="the form", what="its file is not named.", do="Look at the list once more.")
        bring_in.bring_in(
            store, shop, what, name, store.files.read(sha256), who=who, now=now, touch=words.get("touch", "")
        )
    else:
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")


def page(
    at: House, *, found: Preview | None = None, sha256: str = "", trouble: str = "", status: int = 200
) -> Response:
    """The page."""
    shop = at.place.said.shop
    looked_at = None
    if found is not None:
        looked_at = LookedAt(
            what=found.what,
            file=found.file,
            sha256=sha256,
            read=found.read,
            made=tuple((one.line, one.says) for one in found.made[:SHOWN]),
            more=max(len(found.made) - SHOWN, 0),
            same=found.same,
            faults=tuple((one.line, one.column, f"{one.what} {one.do}") for one in found.faults),
        )
    fields = ListsPage(
        top=Top("Lists in and out", shop.name),
        guard=at.token.value,
        touch=secrets.token_urlsafe(12),
        kinds=tuple(KindRow(name, ", ".join(COLUMNS[name]), ", ".join(NEEDED[name])) for name in COLUMNS),
        looked=looked_at,
        brought=tuple(
            BroughtRow(int(one.entry), one.what, one.file, one.rows,
                       f"{moment(one.when, shop.timezone)}, by {one.who}", one.undone)
            for one in bring_in.all_imports(at.place.store)
        ),
        trouble=trouble,
    )  # fmt: skip
    return show.page("lists.html", fields, status=status)
