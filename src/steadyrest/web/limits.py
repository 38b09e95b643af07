"""How much a request may bring, by its address: refused before it is read, and before it fills a disk."""

from __future__ import annotations

import re
import shutil
import tempfile
from pathlib import Path

from starlette.datastructures import Headers
from starlette.middleware.body_limit import RequestBodyLimitMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

from steadyrest.desk.place import Place
from steadyrest.store.full_disk import DO, WHAT
from steadyrest.web import show
from steadyrest.web.showing import trouble

# A file is limited by what reads it (workers/reading.py); here with room for the form around it.
FILES = 520_000_000
PHOTO = 32_000_000
PROGRAM = 64_000_000
WORDS = 1_000_000
BY_ADDRESS = (
    (re.compile(r"/new|/several|/nest|/jobs/\d+/revisions"), FILES),
    (re.compile(r"/leave"), PROGRAM),
    (re.compile(r"/clock|/things(/\d+)?|/customers/\d+|/jobs/\d+/theirs|/import|/rack/[^/]+/paper"), PHOTO),
)
# What stays free whatever is sent: the database and the papers of the day need it.
ROOM = 200_000_000


def limit_of(path: str) -> int:
    """How many bytes a request to this address may bring."""
    return next((limit for pattern, limit in BY_ADDRESS if pattern.fullmatch(path)), WORDS)


class BodyLimit:
    """Refuses what is too large, or would fill the disk, by what the request says of itself; and counts what comes.

    app: what stands behind. place: the data folder and its shop.
    """

    def __init__(self, app: ASGIApp, place: Place) -> None:
        self.app = app
        self.place = place

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        limit = limit_of(scope["path"])
        said = Headers(scope=scope).get("content-length", "0")
        size = int(said) if said.isascii() and said.isdecimal() and len(said) < 20 else 0
        if size > limit:
            what = f"This is too large: {limit // 1_000_000} MB at most."
            page = trouble.page(self.place.said.shop, what, "Export it coarser, or send less at once.")
            await show.page("trouble.html", page, status=413)(scope, receive, send)
            return
        if size > WORDS and size + ROOM > free(self.place.store.folder):
            page = trouble.page(self.place.said.shop, WHAT, DO)
            await show.page("trouble.html", page, status=507)(scope, receive, send)
            return
        await RequestBodyLimitMiddleware(self.app, max_body_size=limit)(scope, receive, send)


def free(folder: Path) -> int:
    """Bytes free where a file would be put: the folder for what is half read, and the data folder."""
    return min(shutil.disk_usage(where).free for where in (Path(tempfile.gettempdir()), folder))
