"""The leaving check's addresses: take a program, show the answer, its pictures and its sheet, hand it over."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.night import checking, edge_record, leaving_page, release_program
from steadyrest.desk.night.leave import ShopText
from steadyrest.desk.night.leaving_page import HandedProgram
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.showing import leaving as showing

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

    async def leave(request: Request) -> Response:
        """The form, or what it brought."""
        at = house(request)
        if request.method == "GET":
            return show.page("leave.html", await run_in_threadpool(form_page, at))
        async with request.form(max_files=1, max_fields=20) as form:
            if not at.token.fits(form.get("guard")):
                raise HTTPException(403, OLD_FORM)
            words = {name: str(value).strip() for name, value in form.items() if isinstance(value, str)}
            file = form.get("file")
            data = await file.read() if isinstance(file, UploadFile) else b""
            name = (file.filename if isinstance(file, UploadFile) else "") or ""
        handed = HandedProgram(name, words.get("machine", ""), words.get("unit", ""), words.get("blank", ""))
        try:
            task = await run_in_threadpool(hand_in, at, handed, data, words.get("kept", ""))
        except BadInput as trouble:
            page = await run_in_threadpool(form_page, at, handed, trouble.line())
            return show.page("leave.html", page, status=422)
        at.queue.ring()
        return RedirectResponse(f"/reading/{task}", status_code=303)

    async def leaving(request: Request) -> Response:
        """The answer of a check."""
        at, check = house(request), number(request)
        return show.page("leaving.html", await run_in_threadpool(answer_page, at, check))

    async def hand_over(request: Request) -> Response:
        """Hand it over to its machine."""
        at, check = house(request), number(request)
        async with request.form(max_files=0, max_fields=20) as form:
            words = {name: str(value).strip() for name, value in form.items()}
        if not at.token.fits(words.get("guard")):
            raise HTTPException(403, OLD_FORM)
        try:
            await run_in_threadpool(release_it, at, check, by(words.get("by", "")), attended="attended" in words)
        except BadInput as trouble:
            page = await run_in_threadpool(answer_page, at, check, trouble.line())
            return show.page("leaving.html", page, status=422)
        return RedirectResponse(f"/leave/{check}#release", status_code=303)

    async def edge(request: Request) -> Response:
        """How an edge ended, written down; the answer is then judged anew."""
        at, check = house(request), number(request)
        async with request.form(max_files=0, max_fields=20) as form:
            words = {name: str(value).strip() for name, value in form.items()}
        if not at.token.fits(words.get("guard")):
            raise HTTPException(403, OLD_FORM)
        try:
            await run_in_threadpool(write_edge, at, check, words)
        except BadInput as trouble:
            page = await run_in_threadpool(answer_page, at, check, edge_trouble=trouble.line())
            return show.page("leaving.html", page, status=422)
        at.queue.shelf.clear()
        return RedirectResponse(f"/leave/{check}#tools", status_code=303)

    async def picture(request: Request) -> Response:
        """A picture as SVG."""
        at, asked = house(request), request.path_params
        found = await run_in_threadpool(found_of, at, number(request))
        drawn = found.pictures.get((asked["picture"], asked["look"]), "")
        if not drawn:
            raise HTTPException(404, "There is no such picture.")
        return Response(drawn, media_type="image/svg+xml")

    async def paper(request: Request) -> Response:
        """The leaving sheet as PDF."""
        at, check = house(request), number(request)
        found = await run_in_threadpool(found_of, at, check)
        pdf = await run_in_threadpool(leaving_page.sheet, found, shop=at.place.said.shop, made=at.clock())
        named = f'inline; filename="leaving-sheet-{check}.pdf"'
        return Response(pdf, media_type="application/pdf", headers={"Content-Disposition": named})

    return [
        Route("/leave", leave, methods=["GET", "POST"]),
        Route("/leave/{check:int}", leaving),
        Route("/leave/{check:int}/release", hand_over, methods=["POST"]),
        Route("/leave/{check:int}/edges", edge, methods=["POST"]),
        Route("/leave/{check:int}/leaving-sheet.pdf", paper),
        Route("/leave/{check:int}/{picture}/{look}.svg", picture),
    ]


def number(request: Request) -> int:
    """The check's number; 404 where it is larger than any that was ever given out."""
    found = int(request.path_params["check"])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


def text_of(at: House) -> ShopText:
    """The shop file as the leaving check reads it."""
    said = at.place.said
    return ShopText(said.text, said.where, example=said.example)


def form_page(at: House, handed: HandedProgram | None = None, trouble: str = "") -> object:
    """The form."""
    store = at.place.store
    checks = [(noted, store.files.path(noted.sha256).exists()) for noted in leaving_page.checks(store)]
    return showing.form(
        at.place.said.shop,
        leaving_page.machine_names(text_of(at)),
        checks,
        token=at.token.value,
        handed=handed,
        trouble=trouble,
    )


def hand_in(at: House, handed: HandedProgram, data: bytes, kept: str) -> int:
    """Put what was handed in, or picked among the programs kept, into the queue."""
    store = at.place.store
    if not data and kept.isdecimal() and len(kept) < 19:
        noted = leaving_page.check_of(store, int(kept))
        data = leaving_page.kept_program(store, noted)
        handed = HandedProgram(noted.program, handed.machine, handed.unit, handed.blank)
    return checking.hand_in(store, handed, data, text=text_of(at), now=at.clock())


def found_of(at: House, check: int) -> leaving_page.LeavingShown:
    """The answer of a check."""
    shop, stop = at.place.said.shop, at.queue.closing.is_set
    return leaving_page.shown(at.place.store, at.queue.shelf, check, shop=shop, text=text_of(at), stop=stop)


def asked_of(at: House, check: int, by: str, *, attended: bool) -> release_program.Asked:
    """A check's program as something to be released."""
    store = at.place.store
    noted = leaving_page.check_of(store, check)
    return release_program.asked_of(
        noted, leaving_page.kept_program(store, noted), text_of(at), store.folder, by=by, attended=attended
    )


def answer_page(at: House, check: int, trouble: str = "", edge_trouble: str = "") -> object:
    """The answer, with the release before it where there is a folder to release to."""
    noted = leaving_page.check_of(at.place.store, check)
    found = found_of(at, check)
    try:
        before = release_program.before_release(at.place.store, asked_of(at, check, "", attended=False))
    except BadInput:
        before = None  # no watched folder: the command line and the shop file say how to name one
    return showing.answer(
        at.place.said.shop, noted, found, before, token=at.token.value, trouble=trouble, edge_trouble=edge_trouble
    )


def write_edge(at: House, check: int, words: dict[str, str]) -> None:
    """Write down how an edge of the check's machine ended."""
    noted = leaving_page.check_of(at.place.store, check)
    edge_record.write_edge(
        at.place.store, machine=noted.machine, tool=words.get("tool", ""), had_cut=words.get("had_cut", ""),
        failed=words.get("how") == "failed", by=by(words.get("by", "")), now=at.clock(),
    )  # fmt: skip


def release_it(at: House, check: int, by: str, *, attended: bool) -> None:
    """Release, by somebody of the shop."""
    asked = asked_of(at, check, by, attended=attended)
    release_program.release(at.place.store, asked, now=at.clock())
