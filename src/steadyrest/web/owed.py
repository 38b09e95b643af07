"""The addresses of money: what is owed, what comes and goes, the picture, the accountant's list."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.accounts import money, owed
from steadyrest.desk.accounts.customers import day_of, today
from steadyrest.desk.accounts.money_export import money_csv
from steadyrest.papers.drawing.owed_heaps import owed_heaps_svg
from steadyrest.store import customers, jobs
from steadyrest.store.customers import NOT_SAID
from steadyrest.trouble import BadInput
from steadyrest.units import show_money
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.customers import form
from steadyrest.web.showing import owed as showing
from steadyrest.web.showing.pictures import LOOKS

if TYPE_CHECKING:
    from steadyrest.web.app import House

AIMS = ("invoice", "job", "customer")


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def whole(request: Request) -> Response:
        """What is owed, or money that is written down."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(owed_page, at)
        words, _ = await form(request, at)
        try:
            said = told(words)
            await run_in_threadpool(money.write, at.place.store, at.place.said, said, now=at.clock())
        except BadInput as trouble:
            return await run_in_threadpool(owed_page, at, trouble=trouble.line(), status=422)
        return RedirectResponse("/owed", status_code=303)

    async def picture(request: Request) -> Response:
        """How late it is, as a picture."""
        at, look = house(request), request.path_params["look"]
        if look not in LOOKS:
            raise HTTPException(404, "There is no such picture.")
        width_mm, dark = LOOKS[look]
        book = await run_in_threadpool(owed.book, at.place.store, at.place.said, now=at.clock())
        drawn = owed_heaps_svg({str(name): much for name, much in book.heaps.items()}, width_mm=width_mm, dark=dark)
        if not drawn:
            raise HTTPException(404, "There is no such picture.")
        return Response(drawn, media_type="image/svg+xml")

    async def export(request: Request) -> Response:
        """The list for the accountant."""
        at, asked = house(request), request.query_params
        since, until = (day_of(asked[name], name) if asked.get(name) else None for name in ("since", "until"))
        text = await run_in_threadpool(money_csv, at.place.store, at.place.said, since=since, until=until)
        headers = {"Content-Disposition": 'attachment; filename="money.csv"'}
        return Response(text.encode("utf-8-sig"), media_type="text/csv", headers=headers)

    return [
        Route("/owed", whole, methods=["GET", "POST"]),
        Route("/owed.csv", export),
        Route("/owed/heaps/{look}.svg", picture),
    ]


def of_job(at: House, job: jobs.Job) -> tuple[tuple[str, str], ...]:
    """Where a job's record and its customer stand, as (words, address): for its page."""
    links = [("Work record and invoice", f"/record/{job.number}")]
    with at.place.store.reading() as session:
        known = customers.by_name(session, job.customer) if job.customer != NOT_SAID else None
        if known is not None:
            found = owed.owes(session, at.place.said, known, day=today(at.place.said, at.clock()))
            owes = f", owes {show_money(found.account.owed, at.place.said.shop.currency)}" if found.invoices else ""
            links.append((f"{known.name}{owes}", f"/customers/{known.id}"))
    return tuple(links)


def told(words: Mapping[str, str]) -> money.Said:
    """What a form says of money. aim: such as "invoice 3", "job 107", "customer 2"."""
    what, _, which = words.get("aim", "").partition(" ")
    aims = {name: words.get(name, "") for name in ("invoice", "job")} | ({what: which} if what in AIMS else {})
    return money.Said(
        words.get("kind", ""), by(words.get("by", "")), amount=words.get("amount", ""),
        invoice=whole_number(aims["invoice"]), job=whole_number(aims["job"]), customer=aims.get("customer", ""),
        on=words.get("on", ""), due=words.get("due", ""), how=words.get("how", ""),
        reference=words.get("reference", ""), words=words.get("words", ""), touch=words.get("touch", ""),
    )  # fmt: skip


def whole_number(text: str) -> int | None:
    """A number as a form sends it; None where it sends none."""
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise BadInput(where="the form", what=f"{text[:20]!r} is no number.", do="Open the page again.")
    return int(text)


def owed_page(at: House, *, trouble: str = "", status: int = 200) -> Response:
    """What is owed."""
    store, said = at.place.store, at.place.said
    book = owed.book(store, said, now=at.clock())
    with store.reading() as session:
        known = jobs.not_invoiced(session, book.currency, newest=showing.MOST_JOBS, but=NOT_SAID)
    page = showing.owed(said.shop, book, known, guard=at.token.value, trouble=trouble)
    return show.page("owed.html", page, status=status)
