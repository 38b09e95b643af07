"""The app: addresses and handlers. A handler parses, calls one desk verb, shows one page."""

from __future__ import annotations

import asyncio
import contextlib
import json
import secrets
import threading
from collections.abc import AsyncGenerator, AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import datetime
from importlib import resources
from pathlib import Path

from anyio import to_thread
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from steadyrest.desk import asking, issue_paper, keeping, seen_before, taking_in, write_reading
from steadyrest.desk.place import Place
from steadyrest.desk.week_now import WeekShelf
from steadyrest.store import full_disk
from steadyrest.trouble import BadInput
from steadyrest.web import alone as alone_page
from steadyrest.web import carry as carry_page
from steadyrest.web import changes as changes_page
from steadyrest.web import clock as clock_page
from steadyrest.web import customers as customers_page
from steadyrest.web import cut as cut_page
from steadyrest.web import find, how_true, leaving, measuring, owed, several, show, signin, today, week
from steadyrest.web import keep as keep_page
from steadyrest.web import lift as lift_page
from steadyrest.web import lists as lists_page
from steadyrest.web import people as people_page
from steadyrest.web import rack as rack_page
from steadyrest.web import record as record_page
from steadyrest.web import revisions as revisions_page
from steadyrest.web import spent as spent_page
from steadyrest.web import theirs as theirs_page
from steadyrest.web import then_and_now as then_page
from steadyrest.web import things as things_page
from steadyrest.web.at_screen import person
from steadyrest.web.guard import FormToken, Guard
from steadyrest.web.limits import BodyLimit
from steadyrest.web.showing import before as before_page
from steadyrest.web.showing import few_words, job_page, pictures
from steadyrest.web.showing import rules as rules_page

HERE = Path(__file__).parent
LOOK_AGAIN_S = 0.4
ANSWERED_AT_ONCE = 12  # more threads only wait for one another, and each holds memory
LONGEST_WATCH_S = 900
LARGEST = 2**63


REFUSALS = {
    404: ("There is nothing at this address.", "Go back to the bench."),
    405: ("This address takes no such request.", "Go back to the bench."),
    413: ("The file is too large.", "Export it coarser, or cut away what is not needed."),
}


@dataclass(frozen=True, slots=True)
class House:
    """What every handler needs. clock: the door's clock, the only one. likenesses, week: at hand."""

    place: Place
    queue: taking_in.Queue
    token: FormToken
    clock: Callable[[], datetime]
    likenesses: seen_before.Likenesses = field(default_factory=seen_before.Likenesses)
    week: WeekShelf = field(default_factory=WeekShelf)

    def warm(self) -> None:
        """Have at hand what the first page would wait for. What is wrong with it, that page says."""
        with contextlib.suppress(Exception):
            self.week.week(self.place.said, self.place.store, now=self.clock())
            self.likenesses.warm(self.place.store)


def house(request: Request) -> House:
    found = request.app.state.house
    assert isinstance(found, House)
    return found


async def bench(request: Request) -> Response:
    """The bench: jobs, and what is being read."""
    at = house(request)
    jobs = await run_in_threadpool(keeping.on_bench, at.place.store, now=at.clock())
    tasks = await run_in_threadpool(taking_in.open_tasks, at.place.store)
    failed = await run_in_threadpool(taking_in.failed_tasks, at.place.store, now=at.clock())
    return show.page("bench.html", few_words.bench(at.place.said.shop, jobs, tasks, failed))


async def rules(request: Request) -> Response:
    """Rules of thumb, as looked up."""
    asked = request.query_params
    shown = rules_page.page(
        house(request).place.said.shop,
        words=asked.get("words", "")[:200],
        machine=asked.get("machine", "")[:100],
        metal=asked.get("metal", "")[:100],
    )
    return show.page("rules.html", shown)


async def new(request: Request) -> Response:
    """The form that takes a part in, or what it brought."""
    at = house(request)
    now = at.clock()
    if request.method == "GET":
        return show.page("new.html", few_words.new(at.place.said.shop, now=now, token=at.token.value))
    async with request.form(max_files=1, max_fields=20) as form:
        if not at.token.fits(form.get("guard")):
            raise HTTPException(403, "This form is too old. Open the page again.")
        words = {name: str(value).strip() for name, value in form.items() if isinstance(value, str)}
        file = form.get("file")
        data = await file.read() if isinstance(file, UploadFile) else b""
        name = Path((file.filename if isinstance(file, UploadFile) else "") or "").name
    handed = few_words.handed(words, name, at.place.said.shop)
    try:
        task = await run_in_threadpool(taking_in.hand_in, at.place.store, handed, data, said=at.place.said, now=now)
    except BadInput as trouble:
        page = few_words.new(
            at.place.said.shop, now=now, token=at.token.value, handed=handed, trouble=few_words.in_the_form(trouble)
        )
        return show.page("new.html", page, status=422)
    at.queue.ring()
    return RedirectResponse(f"/reading/{task}", status_code=303)


async def reading(request: Request) -> Response:
    """How far a reading or a check is; once done, what it became."""
    at = house(request)
    seen = await run_in_threadpool(taking_in.task, at.place.store, number(request, "task"))
    if seen.state == "done":
        return RedirectResponse(few_words.opens(seen), status_code=303)
    return show.page("reading.html", few_words.reading(at.place.said.shop, seen, token=at.token.value))


async def watch(request: Request) -> Response:
    """How far a reading is, told whenever it changes, until it ends."""
    at, task = house(request), number(request, "task")
    await run_in_threadpool(taking_in.task, at.place.store, task)

    async def told() -> AsyncIterator[str]:
        last = ""
        for _ in range(int(LONGEST_WATCH_S / LOOK_AGAIN_S)):
            seen = await run_in_threadpool(taking_in.task, at.place.store, task)
            said = json.dumps({"state": seen.state, "says": seen.says, "tenths": int(10 * seen.share)})
            if said != last:
                last = said
                yield f"data: {said}\n\n"
            if seen.state not in ("waiting", "running") or await request.is_disconnected() or at.queue.closing.is_set():
                return
            await asyncio.sleep(LOOK_AGAIN_S)

    return StreamingResponse(told(), media_type="text/event-stream")


async def stop_reading(request: Request) -> Response:
    at = house(request)
    await checked_form(request)
    await run_in_threadpool(taking_in.stop_task, at.place.store, number(request, "task"), now=at.clock())
    return RedirectResponse(f"/reading/{number(request, 'task')}", status_code=303)


async def job(request: Request) -> Response:
    """One job: the six answers."""
    return await run_in_threadpool(job_shown, house(request), number(request, "job"))


def job_shown(at: House, job: int, *, trouble: str = "", typed: str = "", status: int = 200) -> Response:
    kept = keeping.kept_job(at.place.store, job)
    before = keeping.plan_before(at.place.store, job)
    seen = seen_before.seen_before(at.place.store, at.likenesses, job, now=at.clock())
    touch = secrets.token_urlsafe(12)
    page = job_page.page(kept, before, token=at.token.value, touch=touch, trouble=trouble, typed=typed,
                         measured=measuring.stands(at, job), seen=seen, money=owed.of_job(at, kept.job))  # fmt: skip
    return show.page("job.html", page, status=status)


async def take_reading(request: Request) -> Response:
    """A hand reading put into the queue; everything is judged anew there."""
    at, job = house(request), number(request, "job")
    words = await checked_form(request)
    feature, _, size = words.get("of", "").partition(" ")
    typed = write_reading.Typed(feature, size, words.get("reading", ""), person().id)
    try:
        task = await run_in_threadpool(write_reading.hand_in, at.place.store, job, typed, now=at.clock())
    except BadInput as trouble:
        shown = {"trouble": trouble.line(), "typed": typed.text[:40]}
        return await run_in_threadpool(job_shown, at, job, **shown, status=422)
    at.queue.ring()
    return RedirectResponse(f"/reading/{task}", status_code=303)


async def before(request: Request) -> Response:
    """What to ask while the visitor is still there; an answer is written down."""
    at, job = house(request), number(request, "job")
    if request.method == "GET":
        return await run_in_threadpool(before_shown, at, job)
    words = await checked_form(request)
    rank, ask, said = words.get("rank", ""), words.get("ask", ""), words.get("said", "")
    try:
        await run_in_threadpool(
            asking.write_answer, at.place.store, job,
            rank=int(rank) if rank.isdecimal() and len(rank) < 4 else -1, ask=ask, said=said, who=person().id,
            now=at.clock(),
        )  # fmt: skip
    except BadInput as trouble:
        shown = {"trouble": trouble.line(), "ask": ask, "typed": said[: asking.LONGEST]}
        return await run_in_threadpool(before_shown, at, job, **shown, status=422)
    return RedirectResponse(f"/jobs/{job}/before", status_code=303)


def before_shown(
    at: House, job: int, *, trouble: str = "", ask: str = "", typed: str = "", status: int = 200
) -> Response:
    kept = keeping.kept_job(at.place.store, job)
    page = before_page.page(kept, token=at.token.value, trouble=trouble, ask=ask, typed=typed)
    return show.page("before.html", page, status=status)


async def picture(request: Request) -> Response:
    """A picture of a job as SVG."""
    at, asked = house(request), request.path_params
    kept = await run_in_threadpool(keeping.kept_job, at.place.store, number(request, "job"))
    drawn = await run_in_threadpool(pictures.picture, kept.answer, asked["picture"], asked["look"])
    if not drawn:
        raise HTTPException(404, "There is no such picture.")
    return Response(drawn, media_type="image/svg+xml")


async def paper(request: Request) -> Response:
    """A paper as PDF."""
    at, which = house(request), request.path_params["paper"]
    papers = {**issue_paper.PAPERS, **issue_paper.ASKED_FOR}
    if which not in papers:
        raise HTTPException(404, "There is no such paper.")
    kept = await run_in_threadpool(keeping.kept_job, at.place.store, number(request, "job"))
    link = str(request.url_for("job", job=kept.job.number))
    pdf = await run_in_threadpool(papers[which], kept, made=at.clock(), link=link)
    named = f'inline; filename="job-{kept.job.number}-{which}.pdf"'
    return Response(pdf, media_type="application/pdf", headers={"Content-Disposition": named})


async def font(request: Request) -> Response:
    """A font of the papers, for the screen."""
    name = request.path_params["font"]
    folder = Path(str(resources.files("steadyrest.papers") / "fonts"))
    if name not in {entry.name for entry in folder.glob("*.ttf")}:
        raise HTTPException(404, "There is no such font.")
    return FileResponse(folder / name, media_type="font/ttf", headers={"Cache-Control": "max-age=86400"})


def number(request: Request, name: str) -> int:
    """A number in the address; 404 where it is larger than any that was ever given out."""
    found = int(request.path_params[name])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


async def checked_form(request: Request) -> dict[str, str]:
    """A small form's words, once its token fits."""
    async with request.form(max_files=0, max_fields=20) as form:
        words = {name: str(value).strip() for name, value in form.items()}
    if not house(request).token.fits(words.get("guard")):
        raise HTTPException(403, "This form is too old. Open the page again.")
    return words


async def at_fault(request: Request, trouble: Exception) -> Response:
    """Input at fault, as a page."""
    assert isinstance(trouble, BadInput)
    status = 404 if "no such" in trouble.what else 422
    page = few_words.trouble(house(request).place.said.shop, f"{trouble.where}: {trouble.what}", trouble.do)
    return show.page("trouble.html", page, status=status)


async def refused(request: Request, trouble: Exception) -> Response:
    """What the server itself refuses, as a page."""
    assert isinstance(trouble, HTTPException)
    what, do = REFUSALS.get(trouble.status_code, (trouble.detail, "Go back and try again."))
    page = few_words.trouble(house(request).place.said.shop, what, do)
    return show.page("trouble.html", page, status=trouble.status_code)


async def our_fault(request: Request, fault: Exception) -> Response:
    """What went wrong in our own code, as a page; the trace is in the log. A full disk is said as what it is."""
    full = full_disk.disk_is_full(fault)
    what, do = "This did not work, and it is our fault.", "Nothing was half done. Go back and try again."
    if full:
        what, do = full_disk.WHAT, full_disk.DO
    page = few_words.trouble(house(request).place.said.shop, what, do)
    return show.page("trouble.html", page, status=507 if full else 500)


def make_app(
    place: Place, *, clock: Callable[[], datetime], hosts: tuple[str, ...], authority: Path | None = None
) -> Starlette:
    """The app over an open data folder.

    Args:
        place: the data folder and the shop.
        clock: the door's clock.
        hosts: the names it answers to.
        authority: other machines can reach it, by the certificate of this file; None: this one alone.
    Returns: the app; its queue runs while it does.
    """
    at = House(place, taking_in.Queue(place.store, place.said, clock), FormToken(), clock)

    @asynccontextmanager
    async def life(_app: Starlette) -> AsyncGenerator[None]:
        to_thread.current_default_thread_limiter().total_tokens = ANSWERED_AT_ONCE
        at.queue.open()
        threading.Thread(target=at.warm, name="steadyrest-warm", daemon=True).start()
        try:
            yield
        finally:
            await run_in_threadpool(at.queue.close)

    app = Starlette(
        routes=[
            Route("/", bench),
            Route("/new", new, methods=["GET", "POST"]),
            Route("/reading/{task:int}", reading),
            Route("/reading/{task:int}/watch", watch),
            Route("/reading/{task:int}/stop", stop_reading, methods=["POST"]),
            Route("/jobs/{job:int}", job, name="job"),
            Route("/jobs/{job:int}/readings", take_reading, methods=["POST"]),
            Route("/jobs/{job:int}/before", before, methods=["GET", "POST"]),
            *measuring.routes(house),
            *revisions_page.routes(house),
            *lists_page.routes(house),
            *then_page.routes(house),
            *theirs_page.routes(house),
            *spent_page.routes(house),
            *things_page.routes(house),
            *several.routes(house),
            Route("/jobs/{job:int}/{paper}.pdf", paper),
            Route("/jobs/{job:int}/{picture}/{look}.svg", picture),
            Route("/rules", rules),
            *leaving.routes(house),
            *find.routes(house),
            *today.routes(house),
            *week.routes(house),
            *how_true.routes(house),
            *clock_page.routes(house),
            *record_page.routes(house),
            *customers_page.routes(house),
            *owed.routes(house),
            *rack_page.routes(house),
            *lift_page.routes(house),
            *cut_page.routes(house),
            *keep_page.routes(house),
            *carry_page.routes(house),
            *signin.routes(house),
            *people_page.routes(house),
            *alone_page.routes(house),
            *changes_page.routes(house),
            Route("/fonts/{font}", font),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ],
        exception_handlers={BadInput: at_fault, HTTPException: refused, Exception: our_fault},
        lifespan=life,
    )
    app.state.house = at
    app.state.authority = authority
    app.add_middleware(BodyLimit, place=place)
    app.add_middleware(signin.SignIn, house=at, lan=authority is not None)
    app.add_middleware(Guard, hosts=hosts)
    return app
