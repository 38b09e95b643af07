"""The work record's addresses: the page, its paper, its photos, its invoices."""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.accounts import charging, taxed_lines
from steadyrest.desk.accounts.customers import today
from steadyrest.desk.accounts.owed import owes
from steadyrest.desk.accounts.work_record import WorkRecord, work_record
from steadyrest.desk.incoming.their_parts import in_words, told
from steadyrest.price.owed.account import Stands
from steadyrest.store.invoices import Invoice
from steadyrest.trouble import BadInput
from steadyrest.units import show_money
from steadyrest.web import show
from steadyrest.web.asked import checked_form
from steadyrest.web.at_screen import by
from steadyrest.web.pages.record import IssuedRow, RecordDay, RecordPage, TaxRow
from steadyrest.web.pages.top import Top
from steadyrest.wording import moments

if TYPE_CHECKING:
    from steadyrest.web.app import House

LARGEST = 2**63
HASH = re.compile(r"[0-9a-f]{64}")
# Shown inert: a kept picture is a picture or nothing.
KINDS = {b"\xff\xd8\xff": "image/jpeg", b"\x89PNG\r\n\x1a\n": "image/png"}


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def record(request: Request) -> Response:
        """The page."""
        return await run_in_threadpool(page, house(request), number(request, "job"))

    async def paper(request: Request) -> Response:
        """The record as PDF."""
        at, job = house(request), number(request, "job")
        link = str(request.url_for("record", job=job))
        pdf = await run_in_threadpool(
            charging.record_paper, at.place.store, at.place.said, job, now=at.clock(), link=link
        )
        return as_pdf(pdf, f"job-{job}-work-record.pdf")

    async def photo(request: Request) -> Response:
        """A photo of the record."""
        at, job, sha256 = house(request), number(request, "job"), request.path_params["sha"]
        known = await run_in_threadpool(work_record, at.place.store, at.place.said, job, now=at.clock())
        if not HASH.fullmatch(sha256) or sha256 not in {one.photo for day in known.days for one in day.found}:
            raise HTTPException(404, "There is no such photo.")
        data = await run_in_threadpool(at.place.store.files.read, sha256)
        kind = next((kind for begins, kind in KINDS.items() if data.startswith(begins)), "application/octet-stream")
        named = f'{"inline" if kind.startswith("image/") else "attachment"}; filename="photo"'
        return Response(data, media_type=kind, headers={"Content-Disposition": named})

    async def issue(request: Request) -> Response:
        """The next invoice."""
        at, job = house(request), number(request, "job")
        words = await checked_form(request)
        try:
            await run_in_threadpool(
                charging.issue_invoice, at.place.store, at.place.said, job, by=by(words.get("by", "")),
                by_hours=words.get("how") == "hours", now=at.clock(), touch=words.get("touch", ""),
                again=bool(words.get("again")),
            )  # fmt: skip
        except BadInput as trouble:
            return await run_in_threadpool(page, at, job, trouble.line(), 422)
        return RedirectResponse(f"/record/{job}#invoice", status_code=303)

    async def tax(request: Request) -> Response:
        """On which line tax is owed."""
        at, job = house(request), number(request, "job")
        words = await checked_form(request)
        try:
            await run_in_threadpool(
                taxed_lines.say, at.place.store, at.place.said.shop, job, words.get("line", ""),
                taxed=words.get("taxed") == "yes", who=by(words.get("by", "")), now=at.clock(),
                touch=words.get("touch", ""),
            )  # fmt: skip
        except BadInput as trouble:
            return await run_in_threadpool(page, at, job, trouble.line(), 422)
        return RedirectResponse(f"/record/{job}#tax", status_code=303)

    async def invoice(request: Request) -> Response:
        """An invoice as it was issued."""
        at, job, wanted = house(request), number(request, "job"), number(request, "invoice")

        def kept() -> bytes:
            with at.place.store.reading() as session:
                found = charging.invoice(session, job, wanted)
            return at.place.store.files.read(found.sha256)

        return as_pdf(await run_in_threadpool(kept), f"invoice-{wanted}.pdf")

    return [
        Route("/record/{job:int}", record, name="record"),
        Route("/record/{job:int}.pdf", paper),
        Route("/record/{job:int}/photo/{sha}", photo),
        Route("/record/{job:int}/tax", tax, methods=["POST"]),
        Route("/record/{job:int}/invoice", issue, methods=["POST"]),
        Route("/record/{job:int}/invoice/{invoice:int}.pdf", invoice),
    ]


def number(request: Request, name: str) -> int:
    """A number in the address; 404 where it is larger than any that was ever given out."""
    found = int(request.path_params[name])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


def as_pdf(pdf: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


def page(at: House, job: int, trouble: str = "", status: int = 200) -> Response:
    """The page of a job's record."""
    record = work_record(at.place.store, at.place.said, job, now=at.clock())
    with at.place.store.reading() as session:
        found = owes(session, at.place.said, record.about.customer, day=today(at.place.said, at.clock()))
    stands = {one.charge.number: one for one in found.account.invoices}
    return show.page("record.html", fields(record, stands, at.token.value, trouble), status=status)


def open_words(one: Invoice, stands: Mapping[int, Stands]) -> str:
    """What is open of an invoice, in words."""
    at = stands.get(one.number)
    if at is None:  # in a currency that the shop no longer reckons in
        return f"due {moments.calendar_day(one.due)}"
    if at.settled is not None:
        return f"settled {moments.calendar_day(at.settled)}"
    return f"{show_money(at.open, one.currency)} open, due {moments.calendar_day(one.due)}"


def fields(record: WorkRecord, stands: Mapping[int, Stands], guard: str, trouble: str) -> RecordPage:
    """The record in words: the same as on its paper; stands: how its invoices stand."""
    paper = charging.paper_of(record, lambda _sha256: b"", kind="Work record", said_as="")
    zone = record.shop.timezone
    return RecordPage(
        top=Top(f"Work record {record.job.number}", record.shop.name),
        guard=guard,
        number=record.job.number,
        what=paper.what,
        customer=paper.customer,
        customer_number=int(record.about.customer.id),
        days=tuple(
            RecordDay(
                shown.day, shown.rows,
                tuple((*said, one.photo) for said, one in zip(shown.found, day.found, strict=True)), shown.spent,
            )
            for shown, day in zip(paper.days, record.days, strict=True)
        ),
        lines=paper.lines,
        taxed_shown=any(one.tax for one in paper.lines),
        taxed=tuple(TaxRow(one.which, one.says, one.taxed) for one in record.taxed),
        theirs=tuple(f"{in_words(one, record.shop)}; {told(one, record.shop)}" for one in record.theirs),
        sums=paper.sums,
        total=paper.total,
        footing=paper.footing,
        invoices=tuple(
            IssuedRow(
                one.number, f"{show_money(one.total, one.currency)}, {moments.day(one.when, zone)}",
                open_words(one, stands),
            )
            for one in record.invoices
        ),
        people=tuple((person.id, person.name) for person in record.shop.people),
        touch=secrets.token_urlsafe(12),
        trouble=trouble,
    )  # fmt: skip
