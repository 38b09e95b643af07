"""The customers' addresses: the list, one of them, papers and files of theirs, and a reminder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.accounts import customer_story, customers, money, reminding
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.record import HASH, as_pdf, number
from steadyrest.web.showing import customers as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

MOST_FIELDS = 20
PDF = b"%PDF-"


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def whole(request: Request) -> Response:
        """Every customer, or a new one."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(list_page, at)
        words, _ = await form(request, at)
        try:
            made = await run_in_threadpool(customers.make, at.place.store, words.get("name", ""))
        except BadInput as trouble:
            return await run_in_threadpool(list_page, at, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/customers/{made.id}", status_code=303)

    async def one(request: Request) -> Response:
        """One customer, or what is told of him."""
        at, customer = house(request), number(request, "customer")
        if request.method == "GET":
            return await run_in_threadpool(customer_page, at, customer)
        words, file = await form(request, at)
        try:
            await run_in_threadpool(told, at, customer, words, file)
        except BadInput as trouble:
            return await run_in_threadpool(customer_page, at, customer, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/customers/{customer}", status_code=303)

    async def remind(request: Request) -> Response:
        """A reminder to send, or that it was sent."""
        at, customer = house(request), number(request, "customer")
        if request.method == "GET":
            return await run_in_threadpool(remind_page, at, customer)
        words, _ = await form(request, at)
        try:
            await run_in_threadpool(
                reminding.sent, at.place.store, at.place.said, str(customer), by=by(words.get("by", "")),
                words=words.get("words", ""), now=at.clock(), touch=words.get("touch", ""),
            )  # fmt: skip
        except BadInput as trouble:
            return await run_in_threadpool(remind_page, at, customer, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/customers/{customer}/remind", status_code=303)

    async def paper(request: Request) -> Response:
        """The statement of account as PDF, plain or with the reminder's words."""
        at, customer = house(request), number(request, "customer")
        which = request.path_params["paper"]
        if which not in ("account", "reminder"):
            raise HTTPException(404, "There is no such paper.")
        pdf = await run_in_threadpool(
            reminding.account_pdf, at.place.store, at.place.said, str(customer), now=at.clock(),
            reminding=which == "reminder",
        )  # fmt: skip
        return as_pdf(pdf, f"{which}-{customer}.pdf")

    async def file(request: Request) -> Response:
        """A kept file of this customer's: a certificate, a reminder's paper, a credit note."""
        at, customer, sha256 = house(request), number(request, "customer"), request.path_params["sha"]
        story = await run_in_threadpool(
            customer_story.story, at.place.store, at.place.said, str(customer), now=at.clock()
        )
        if not HASH.fullmatch(sha256) or sha256 not in showing.files(story):
            raise HTTPException(404, "There is no such file.")
        data = await run_in_threadpool(at.place.store.files.read, sha256)
        # Handed over, never opened in the app's own page: it may be a stranger's.
        name = f"file-{sha256[:8]}{'.pdf' if data.startswith(PDF) else ''}"
        headers = {"Content-Disposition": f'attachment; filename="{name}"'}
        return Response(data, media_type="application/octet-stream", headers=headers)

    return [
        Route("/customers", whole, methods=["GET", "POST"]),
        Route("/customers/{customer:int}", one, methods=["GET", "POST"], name="customer"),
        Route("/customers/{customer:int}/remind", remind, methods=["GET", "POST"]),
        Route("/customers/{customer:int}/{paper}.pdf", paper),
        Route("/customers/{customer:int}/file/{sha}", file),
    ]


async def form(request: Request, at: House) -> tuple[dict[str, str], tuple[str, bytes] | None]:
    """A form's words, and its file if one was sent, once its token fits."""
    async with request.form(max_files=1, max_fields=MOST_FIELDS) as sent:
        words = {name: str(value).strip() for name, value in sent.items() if isinstance(value, str)}
        if not at.token.fits(words.get("guard")):
            raise HTTPException(403, "This form is too old. Open the page again.")
        file = sent.get("file")
        if not isinstance(file, UploadFile) or not file.filename:
            return words, None
        data = await file.read(customers.LARGEST_FILE + 1)
        return words, (Path(file.filename).name[:200], data)


def told(at: House, customer: int, words: dict[str, str], file: tuple[str, bytes] | None) -> None:
    """What a form tells of a customer; or which entry of money it strikes."""
    store, said, now, touch = at.place.store, at.place.said, at.clock(), words.get("touch", "")
    who, kind = by(words.get("by", "")), words.get("kind", "")
    if kind == "strike":
        entry = words.get("entry", "")
        if not (entry.isascii() and entry.isdecimal() and len(entry) < 10):
            raise BadInput(where="the form", what="it does not say which entry.", do="Open the page again.")
        money.strike(store, said, int(entry), by=who, words=words.get("words", ""), now=now, touch=touch)
    else:
        customers.tell(store, said, str(customer), customers.Told(kind, words, who, touch, file), now=now)


def list_page(at: House, *, trouble: str = "", status: int = 200) -> Response:
    """Every customer."""
    found = customer_story.listed(at.place.store, at.place.said, now=at.clock())
    page = showing.listed(at.place.said.shop, found, guard=at.token.value, trouble=trouble)
    return show.page("customers.html", page, status=status)


def customer_page(at: House, customer: int, *, trouble: str = "", status: int = 200) -> Response:
    """One customer."""
    story = customer_story.story(at.place.store, at.place.said, str(customer), now=at.clock())
    page = showing.customer(at.place.said.shop, story, guard=at.token.value, trouble=trouble)
    return show.page("customer.html", page, status=status)


def remind_page(at: House, customer: int, *, trouble: str = "", status: int = 200) -> Response:
    """A reminder."""
    found = reminding.remind(at.place.store, at.place.said, str(customer), now=at.clock())
    page = showing.reminder(at.place.said.shop, found, guard=at.token.value, trouble=trouble)
    return show.page("remind.html", page, status=status)
