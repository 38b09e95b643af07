"""What stands before every handler: whose request it is, and what the answer may load. Plain ASGI callables."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from steadyrest.web.at_screen import screen

POLICY = (
    "default-src 'none'; img-src 'self'; style-src 'self'; script-src 'self'; font-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


class Guard:
    """Refuses requests for other hosts (DNS rebinding) and forms sent from other pages; adds the protecting headers.

    app: what stands behind. hosts: the names that this app answers to, without a port.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self.app = app
        self.hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if host.rsplit(":", 1)[0].strip("[]") not in self.hosts:
            await PlainTextResponse("This app answers only on this machine.", 421)(scope, receive, send)
            return
        # A browser says where a form comes from in one of these, and lets no page change them.
        origin, site = headers.get("origin"), headers.get("sec-fetch-site")
        foreign = origin not in (None, f"{scope['scheme']}://{host}") or site in ("cross-site", "same-site")
        if scope["method"] not in ("GET", "HEAD") and foreign:
            await PlainTextResponse("This form was sent from another page.", 403)(scope, receive, send)
            return

        async def protected(message: Message) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                answer["Content-Security-Policy"] = POLICY
                answer["X-Content-Type-Options"] = "nosniff"
                answer["Referrer-Policy"] = "same-origin"
                answer["X-Frame-Options"] = "DENY"
                answer["Cross-Origin-Opener-Policy"] = "same-origin"
                answer["Cross-Origin-Resource-Policy"] = "same-origin"
                # What carries a tag may be kept and asked about again; a page is never kept.
                usual = "no-cache" if "etag" in answer else "no-store"
                answer["Cache-Control"] = answer.get("Cache-Control", usual)
            await send(message)

        await self.app(scope, receive, protected)


class FormToken:
    """The token in every form: one for each session, for the life of the app's process, compared in constant time."""

    def __init__(self) -> None:
        self.secret = secrets.token_bytes(32)

    @property
    def value(self) -> str:
        """The token of the session that is being answered."""
        return self.of(screen().key)

    def of(self, key: str) -> str:
        """The token of a session by its key; "" where nobody has to sign in."""
        return hmac.new(self.secret, key.encode(), hashlib.sha256).hexdigest()

    def fits(self, given: object) -> bool:
        """Whether a form carries its session's token."""
        return isinstance(given, str) and hmac.compare_digest(given.encode(errors="replace"), self.value.encode())
