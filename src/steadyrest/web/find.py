"""Find's address: one question over everything."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.books import find as desk
from steadyrest.desk.books.find import Found, FoundRow, Group
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import person
from steadyrest.web.pages.find import FindPage, HitRow, KindRows, WhereRow
from steadyrest.web.pages.top import Top

if TYPE_CHECKING:
    from steadyrest.web.app import House

KINDS = {
    "jobs": "Jobs", "customers": "Customers", "parts": "Parts", "pieces": "Pieces on the floor", "notes": "Notes",
    "programs": "Programs", "invoices": "Invoices", "rules": "Rules of thumb",
}  # fmt: skip


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def find(request: Request) -> Response:
        """The page."""
        asked = request.query_params
        return await run_in_threadpool(page, house(request), asked.get("q", ""), asked.get("only", ""))

    return [Route("/find", find)]


def page(at: House, typed: str, only: str) -> Response:
    """The page of one question."""
    typed, shop, trouble, status = typed[: desk.LONGEST], at.place.said.shop, "", 200
    found = Found(typed, ())
    try:
        found = desk.find(at.place.store, shop, typed, only=only, owner=person().is_owner)
    except BadInput as wrong:
        trouble, status, only = wrong.line(), 422, ""
    fields = FindPage(
        top=Top(f"Find {typed}".strip(), shop.name),
        asked=typed,
        only=KINDS.get(only, ""),
        kinds=tuple(kind_rows(group, typed, full=bool(only)) for group in found.groups),
        instead=tuple(f"{' or '.join(tried)} instead of {word}" for word, tried in found.instead),
        alone=tuple((word, address(word)) for word in found.alone),
        trouble=trouble,
    )
    return show.page("find.html", fields, status=status)


def address(words: str, only: str = "") -> str:
    """The address of a question."""
    return "/find?" + urlencode({"q": words} | ({"only": only} if only else {}))


def kind_rows(group: Group, typed: str, *, full: bool) -> KindRows:
    """What was found of one kind."""
    more = address(typed, group.kind) if group.more and not full else ""
    return KindRows(KINDS[group.kind], tuple(map(hit_row, group.rows)), more, full and group.more)


def hit_row(one: FoundRow) -> HitRow:
    return HitRow(one.title, one.address, tuple(WhereRow(where.what, where.bits) for where in one.where))
