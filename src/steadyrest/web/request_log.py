"""A line for each request: when, from where, who, what, what came of it. No query, no form, no cookie: no secrets."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path
from urllib.parse import quote

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from steadyrest.trouble import BadInput

LARGEST = 5_000_000
KEPT = 3


class RequestLog:
    """Writes the lines; the file is begun anew at 5 MB, and three older ones are kept.

    app: what stands behind. file: where. clock: the door's clock.
    """

    def __init__(self, app: ASGIApp, file: Path, clock: Callable[[], datetime]) -> None:
        self.app = app
        self.clock = clock
        self.log = logging.Logger("steadyrest.requests")
        try:
            self.writes = RotatingFileHandler(file, maxBytes=LARGEST, backupCount=KEPT, encoding="utf-8")
        except OSError as fault:
            what = f"cannot be written ({fault.strerror})."
            raise BadInput(where=str(file), what=what, do="Choose another file for --log.") from None
        self.log.addHandler(self.writes)

    def close(self) -> None:
        """Let go of the file."""
        self.writes.close()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun, status = self.clock(), 0

        async def told(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, told)
        finally:
            took_ms = (self.clock() - begun).total_seconds() * 1000
            found = scope.get("state", {}).get("person")
            who = quote(found.id) if found is not None else "-"
            whence = (scope.get("client") or ("-",))[0]
            path = quote(scope["path"])[:200]
            moment = begun.isoformat(timespec="seconds")
            self.log.info("%s %s %s %s %s %s %.0f ms", moment, whence, who, scope["method"], path, status, took_ms)
