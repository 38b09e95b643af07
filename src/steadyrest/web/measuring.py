"""The addresses of measuring: a piece's page, a reading, a decision."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.floor import measuring as desk
from steadyrest.desk.floor import measuring_report
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import person
from steadyrest.web.showing import measure as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

LARGEST = 2**63
OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def measure(request: Request) -> Response:
        """One piece of the lot, or a reading of it."""
        at, job = house(request), number(request)
        if request.method == "GET":
            asked = request.query_params.get("piece", "1") or "1"
            return await run_in_threadpool(page, at, job, asked)
        words = await form(request, at)
        try:
            await run_in_threadpool(tell, at, job, words)
        except BadInput as trouble:
            return await run_in_threadpool(refused, at, job, words, trouble)
        there = f"{words.get('feature', '')}-{words.get('size', '')}".replace(" ", "-")
        return RedirectResponse(f"/jobs/{job}/measure?piece={desk.piece_of(words['piece'])}#{there}", status_code=303)

    async def paper(request: Request) -> Response:
        """The measuring report as PDF."""
        at, job = house(request), number(request)
        link = str(request.url_for("job", job=job))
        pdf = await run_in_threadpool(
            measuring_report.report, at.place.store, job, at.place.said.shop, made=at.clock(), link=link
        )
        named = f'inline; filename="job-{job}-measuring-report.pdf"'
        return Response(pdf, media_type="application/pdf", headers={"Content-Disposition": named})

    return [
        Route("/jobs/{job:int}/measure", measure, methods=["GET", "POST"]),
        Route("/jobs/{job:int}/measuring-report.pdf", paper),
    ]


def number(request: Request) -> int:
    found = int(request.path_params["job"])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


async def form(request: Request, at: House) -> dict[str, str]:
    """The form's words, once its token fits."""
    async with request.form(max_files=0, max_fields=20) as sent:
        words = {name: str(value).strip() for name, value in sent.items()}
    if not at.token.fits(words.get("guard")):
        raise HTTPException(403, OLD_FORM)
    return words


def page(
    at: House, job: int, piece: str, *, trouble: str = "", at_fault: tuple[str, str] = ("", ""), typed: str = "",
    status: int = 200,
) -> Response:  # fmt: skip
    """The page of one piece."""
    store, shop, now = at.place.store, at.place.said.shop, at.clock()
    found = desk.record(store, job, desk.piece_of(piece), shop, now=now)
    others = desk.records(store, job, shop, now=now)
    fields = showing.page(
        found, others, guard=at.token.value, touch=secrets.token_urlsafe(12), trouble=trouble, at_fault=at_fault,
        typed=typed,
    )  # fmt: skip
    return show.page("measure.html", fields, status=status)


def stands(at: House, job: int) -> str:
    """How a job's lot stands by what was measured, in words; "" where nothing was."""
    found = desk.records(at.place.store, job, at.place.said.shop, now=at.clock())
    seen = any(size.kept for one in found for size in one.sizes)
    return measuring_report.lot_stands(found) if seen else ""


def refused(at: House, job: int, words: dict[str, str], trouble: BadInput) -> Response:
    """The page again, with what was typed and why it was not written down."""
    at_fault = (words.get("feature", ""), words.get("size", ""))
    piece = words.get("piece", "1")
    try:
        desk.record(at.place.store, job, desk.piece_of(piece), at.place.said.shop, now=at.clock())
    except BadInput:
        piece = "1"
    typed = words.get("reading", "")[:200]
    return page(at, job, piece, trouble=trouble.line(), at_fault=at_fault, typed=typed, status=422)


def tell(at: House, job: int, words: dict[str, str]) -> None:
    """Write down what a form says: a reading, or what becomes of it."""
    store, shop, now = at.place.store, at.place.said.shop, at.clock()

    def word(name: str, usual: str = "") -> str:
        return words.get(name) or usual

    if word("what") == "decide":
        said = desk.TypedDecision(
            word("feature"), word("size"), word("piece", "1"), word("becomes"), word("words"), word("who", person().id),
            word("touch"),
        )  # fmt: skip
        desk.write_decision(store, job, said, shop, now=now)
        return
    replaces = word("replaces")
    typed = desk.TypedReading(
        word("feature"), word("size"), word("reading"), word("gauge"), word("piece", "1"), word("part_c"),
        word("gauge_c"), word("who", person().id), desk.piece_of(replaces) if replaces not in ("", "0") else None,
        word("touch"),
    )  # fmt: skip
    desk.write_reading(store, job, typed, shop, now=now)
