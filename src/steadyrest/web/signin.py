"""Who is at the screen: found out before every handler, and the page to come in by."""

from __future__ import annotations

import ipaddress
import secrets
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from steadyrest.desk.floor import who as desk
from steadyrest.desk.floor.who import CameIn, Who
from steadyrest.desk.night import check_in
from steadyrest.store.people import CALENDAR, TOKEN_LASTS
from steadyrest.web import show
from steadyrest.web.allowed import a_hand_may, what_it_is
from steadyrest.web.at_screen import SCREEN, Alarm, Screen, screen
from steadyrest.web.showing import alone as alone_showing
from steadyrest.web.showing import signin as showing
from steadyrest.web.showing import trouble

if TYPE_CHECKING:
    from steadyrest.web.app import House

COOKIE = "steadyrest"
SAFE_COOKIE = "__Host-steadyrest"  # under TLS: a browser takes it for this host alone, and never sends it in the clear
PAGE = "/sign-in"
CERTIFICATE = "/sign-in/certificate"
OPEN = ("/static/", "/fonts/", CERTIFICATE)
OLD_FORM = "This form is too old. Open the page again."


class SignIn:
    """Lets in who came in by a PIN, everybody at this machine while nobody has one, and a hand to what a hand may do.

    app: what stands behind. house: the open data folder. lan: whether other machines can reach it.
    """

    def __init__(self, app: ASGIApp, house: House, *, lan: bool) -> None:
        self.app = app
        self.house = house
        self.lan = lan

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"].startswith(OPEN):
            await self.app(scope, receive, send)
            return
        token = calendar_key_of(scope) or cookie_of(scope)
        found = await run_in_threadpool(self.found, token, scope)
        SCREEN.set(found)
        scope.setdefault("state", {})["person"] = found.who
        answer = self.refused(scope, found.who)
        await (answer or self.app)(scope, receive, send)

    def found(self, token: str, scope: Scope) -> Screen:
        """Who is at the screen, and what it has to tell of somebody alone."""
        at = self.house
        who = desk.at_screen(at.place.store, at.place.said.shop, token=token, now=at.clock())
        if who is not None and not who.signed_in and self.lan and not is_here(scope):
            who = None  # the last PIN was taken back while other machines could reach it
        key = token if who is not None and who.signed_in else ""
        back = scope["path"] if scope["method"] == "GET" and not scope["path"].startswith("/alone/") else "/alone"
        return Screen(who, key, alarms(at, who), at.token.of(key), back)

    def refused(self, scope: Scope, who: Who | None) -> Response | None:
        """What is answered instead of the page; None where they may."""
        method, path = scope["method"], scope["path"]
        shop = self.house.place.said.shop
        if path == PAGE:
            return None
        if who is None:
            if method in ("GET", "HEAD"):
                asked = scope["query_string"].decode("latin-1")
                back = quote(quote(path) + (f"?{asked}" if asked else ""))
                return RedirectResponse(f"{PAGE}?next={back}", status_code=303)
            page = trouble.page(shop, "You are not signed in.", "Sign in, then go back and send it again.")
            return show.page("trouble.html", page, status=401)
        if not who.is_owner and not a_hand_may(method, path):
            page = trouble.page(shop, f"Only the owner opens {what_it_is(path)}.", "Ask the owner.")
            return show.page("trouble.html", page, status=403)
        return None


def alarms(at: House, who: Who | None) -> tuple[Alarm, ...]:
    """What is said of those who are alone: to everybody that nobody answered, to themselves that they are asked."""
    found: list[Alarm] = []
    for one in check_in.watched(at.place.store, at.place.said.shop, now=at.clock()):
        # Where nobody has to sign in, anybody may be the one: the question stands on every screen.
        asked = who is not None and (not who.signed_in or who.id == one.watch.person)
        mine = who is not None and who.id == one.watch.person
        if one.state == "missed" or (one.state == "asks" and asked):
            says = alone_showing.alarm(one, at.place.said.shop.timezone)
            found.append(Alarm(says, one.state == "missed", mine, int(one.watch.id), secrets.token_urlsafe(12)))
    return tuple(found)


def is_here(scope: Scope) -> bool:
    """Whether the request comes from this machine itself."""
    client = scope.get("client")
    try:
        return client is not None and ipaddress.ip_address(client[0]).is_loopback
    except ValueError:
        return False


def cookie_name(scope: Scope) -> str:
    return SAFE_COOKIE if scope["scheme"] == "https" else COOKIE


def cookie_of(scope: Scope) -> str:
    """The device's token, as its browser sends it; "" for none."""
    kept = SimpleCookie()
    try:
        kept.load(Headers(scope=scope).get("cookie", ""))
    except CookieError:
        return ""
    found = kept.get(cookie_name(scope))
    # A calendar's key, put into a cookie by hand, would open every page.
    return found.value[:200] if found is not None and not found.value.startswith(CALENDAR) else ""


def calendar_key_of(scope: Scope) -> str:
    """The key with which a calendar program asks for a calendar; "" for whatever else is asked."""
    if scope["method"] not in ("GET", "HEAD") or not scope["path"].endswith(".ics"):
        return ""
    key = QueryParams(scope["query_string"]).get("key", "")[:200]
    return key if key.startswith(CALENDAR) else ""


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def signin(request: Request) -> Response:
        """The page: come in, or go out."""
        at = house(request)
        if request.method == "GET":
            back = request.query_params.get("next", "")
            return await run_in_threadpool(page, at, request, back=back)
        async with request.form(max_files=0, max_fields=10) as form:
            words = {name: str(value) for name, value in form.items()}
        if not at.token.fits(words.get("guard")):
            raise HTTPException(403, OLD_FORM)
        if words.get("what") == "calendar":
            return await run_in_threadpool(calendar, at, request)
        if words.get("what") in ("out", "device"):
            return await run_in_threadpool(leave, at, request, words)
        return await run_in_threadpool(come, at, request, words)

    async def certificate(request: Request) -> Response:
        """The certificate to put on a phone, where other machines come in by it."""
        authority = request.app.state.authority
        if authority is None:
            raise HTTPException(404, "There is no certificate: only this machine comes in.")
        named = 'attachment; filename="steadyrest-of-this-shop.crt"'
        kind = "application/x-x509-ca-cert"
        return FileResponse(authority, media_type=kind, headers={"Content-Disposition": named})

    return [Route(PAGE, signin, methods=["GET", "POST"]), Route(CERTIFICATE, certificate)]


def page(
    at: House, request: Request, *, back: str, asked: CameIn | None = None, person: str = "", status: int = 200,
    calendar: str = "",
) -> Response:  # fmt: skip
    """The page to sign in by, or who is in."""
    now, shop = at.clock(), at.place.said.shop
    fields = showing.page(
        shop, desk.everybody(at.place.store, shop, now=now), screen(), guard=at.token.value, back=safe_way(back),
        came_in=asked, person=person, certificate=request.app.state.authority is not None, now=now, calendar=calendar,
    )  # fmt: skip
    return show.page("signin.html", fields, status=status)


def calendar(at: House, request: Request) -> Response:
    """An address for the calendar of who is in, shown this once."""
    who = screen().who
    if who is None or not who.signed_in:
        return RedirectResponse(PAGE, status_code=303)
    key = desk.give_calendar_key(at.place.store, person=who.id, now=at.clock())
    address = f"{request.base_url}week/of/{quote(who.id, safe='')}.ics?key={key}"
    return page(at, request, back="", calendar=address)


def come(at: House, request: Request, words: dict[str, str]) -> Response:
    """Try a PIN."""
    remember = words.get("remember") == "yes"
    came = desk.sign_in(
        at.place.store, person=words.get("person", ""), pin=words.get("pin", ""),
        device=words.get("device", "").strip() or kind_of_device(request), remember=remember,
        here=is_here(request.scope), now=at.clock(),
    )  # fmt: skip
    if not came.token:
        status = 429 if came.tried.answer == "wait" else 403
        back, person = words.get("next", ""), words.get("person", "")
        answer = page(at, request, back=back, asked=came, person=person, status=status)
        if came.tried.wait_until is not None:
            answer.headers["Retry-After"] = str(max(1, round((came.tried.wait_until - at.clock()).total_seconds())))
        return answer
    answer = RedirectResponse(safe_way(words.get("next", "")), status_code=303)
    set_cookie(answer, request, came.token, lasts_s=int(TOKEN_LASTS.total_seconds()) if remember else None)
    return answer


def set_cookie(answer: Response, request: Request, token: str, *, lasts_s: int | None) -> None:
    """Hand a token to the device, for no script and no other site to read; None: until its browser is closed."""
    scope = request.scope
    answer.set_cookie(
        cookie_name(scope), token, max_age=lasts_s, path="/", secure=scope["scheme"] == "https", httponly=True,
        samesite="lax",
    )  # fmt: skip


def leave(at: House, request: Request, words: dict[str, str]) -> Response:
    """Go out, or take one of one's own devices back."""
    now, store, who = at.clock(), at.place.store, screen().who
    if who is None or not who.signed_in:
        return RedirectResponse(PAGE, status_code=303)
    if words.get("what") == "device":
        desk.take_device_back(store, key=words.get("device", ""), by=who.id, only_of=who.id, now=now)
        return RedirectResponse(PAGE, status_code=303)
    desk.sign_out(store, screen().key)
    answer = RedirectResponse(PAGE, status_code=303)
    set_cookie(answer, request, "", lasts_s=0)
    return answer


def safe_way(typed: str) -> str:
    """Where to go on: an address of this app and no other; else the bench."""
    plain = typed.isprintable() and "\\" not in typed and typed.startswith("/") and not typed.startswith("//")
    return typed if plain and not typed.startswith(PAGE) else "/"


def kind_of_device(request: Request) -> str:
    """What the device seems to be, in one word."""
    return "phone" if "Mobi" in request.headers.get("user-agent", "") else "computer"
