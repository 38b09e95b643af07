"""The address of what was spent: a form for a phone, and what was written down lately."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.accounts import work_record
from steadyrest.desk.accounts.work_record import SpentOn
from steadyrest.desk.floor import clock
from steadyrest.shop.floor import Shop
from steadyrest.trouble import BadInput
from steadyrest.units import show_money
from steadyrest.web import show
from steadyrest.web.at_screen import by, money_shown
from steadyrest.web.pages.spent import SpentPage, SpentRow
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment

if TYPE_CHECKING:
    from steadyrest.web.app import House

OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The address.

    Args:
        house: what the handler needs.
    Returns: routes for the app.
    """

    async def spent(request: Request) -> Response:
        """The page, or what somebody spent."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(page, at)
        async with request.form(max_files=0, max_fields=20) as form:
            words = {name: str(value).strip() for name, value in form.items()}
        if not at.token.fits(words.get("guard")):
            raise HTTPException(403, OLD_FORM)
        try:
            await run_in_threadpool(write, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(page, at, trouble.line(), 422)
        return RedirectResponse("/spent", status_code=303)

    return [Route("/spent", spent, methods=["GET", "POST"])]


def write(at: House, words: Mapping[str, str]) -> None:
    """Write down what a form says."""
    job = words.get("job", "")
    number = int(job) if job.isascii() and job.isdecimal() and len(job) < 10 else 0
    work_record.write_spent(
        at.place.store, at.place.said.shop, number, what=words.get("what", ""), cost=words.get("cost", ""),
        distance=words.get("distance", ""), taxable=not words.get("untaxed"), by=by(words.get("by", "")), at=None,
        now=at.clock(), touch=words.get("touch", ""),
    )  # fmt: skip


def page(at: House, trouble: str = "", status: int = 200) -> Response:
    """The page."""
    shop, store = at.place.said.shop, at.place.store
    fields = SpentPage(
        top=Top("What was spent", shop.name),
        guard=at.token.value,
        touch=secrets.token_urlsafe(12),
        jobs=tuple((one.number, one.what) for one in clock.offered(store, "", now=at.clock())),
        currency=shop.currency,
        road="",
        people=tuple((person.id, person.name) for person in shop.people),
        rows=tuple(row(one, shop) for one in work_record.spent_lately(store)),
        trouble=trouble,
    )
    return show.page("spent.html", fields, status=status)


def row(one: SpentOn, shop: Shop) -> SpentRow:
    """What was spent in words."""
    names = {person.id: person.name for person in shop.people}
    much = show_money(one.spent.much, shop.currency) if one.spent.kind == "goods" else f"{one.spent.much} driven"
    untaxed = "" if one.spent.taxable else ", no tax"
    return SpentRow(
        job=one.job,
        what=one.spent.what,
        on=one.what,
        much=f"{much}{untaxed}" if money_shown() or one.spent.kind == "travel" else "",
        says=f"{names.get(one.spent.who, one.spent.who)}, {moment(one.spent.when, shop.timezone)}",
    )
