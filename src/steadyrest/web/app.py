"""The app: addresses and handlers. A handler parses, calls one desk verb, shows one page."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import datetime
from importlib import resources
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from steadyrest.desk import issue_paper, keeping, taking_in, write_reading
from steadyrest.desk.place import Place
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.guard import FormToken, Guard
from steadyrest.web.showing import few_words, job_sheet

HERE = Path(__file__).parent
LOOK_AGAIN_S = 0.4
LONGEST_WATCH_S = 900


@dataclass(frozen=True, slots=True)
class House:
    """What every handler needs. clock: the door's clock, the only one."""

    place: Place
    queue: taking_in.Queue
    token: FormToken
    clock: Callable[[], datetime]


def house(request: Request) -> House:
    found = request.app.state.house
    assert isinstance(found, House)
    return found


async def bench(request: Request) -> Response:
    """The bench: jobs, and what is being read."""
    at = house(request)
    jobs = await run_in_threadpool(keeping.kept_jobs, at.place.store)
    tasks = await run_in_threadpool(taking_in.open_tasks, at.place.store)
    return show.page("bench.html", few_words.bench(at.place.said.shop, jobs, tasks))


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
        page = few_words.new(at.place.said.shop, now=now, token=at.token.value, handed=handed, trouble=trouble.line())
        return show.page("new.html", page, status=422)
    at.queue.ring()
    return RedirectResponse(f"/reading/{task}", status_code=303)


async def reading(request: Request) -> Response:
    """How far a reading is; once done, the job."""
    at = house(request)
    seen = await run_in_threadpool(taking_in.task, at.place.store, number(request, "task"))
    if seen.state == "done":
        return RedirectResponse(f"/jobs/{seen.job}", status_code=303)
    return show.page("reading.html", few_words.reading(at.place.said.shop, seen, token=at.token.value))


async def watch(request: Request) -> Response:
    """How far a reading is, told whenever it changes, until it ends."""
    at, task = house(request), number(request, "task")
    await run_in_threadpool(taking_in.task, at.place.store, task)

    async def told() -> AsyncIterator[str]:
        last = ""
        for _ in range(int(LONGEST_WATCH_S / LOOK_AGAIN_S)):
            seen = await run_in_threadpool(taking_in.task, at.place.store, task)
            said = json.dumps(
                {"state": seen.state, "says": seen.says, "tenths": int(10 * seen.share), "job": seen.job}
            )
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
    at = house(request)
    kept = await run_in_threadpool(keeping.kept_job, at.place.store, number(request, "job"))
    page = await run_in_threadpool(job_sheet.page, kept, token=at.token.value)
    return show.page("job.html", page)


async def take_reading(request: Request) -> Response:
    """A hand reading written down; everything is judged anew."""
    at = house(request)
    words = await checked_form(request)
    typed = write_reading.Typed(words.get("feature", ""), words.get("size", ""), words.get("reading", ""), "owner")
    await run_in_threadpool(
        write_reading.write_reading, at.place.store, number(request, "job"), typed,
        said=at.place.said, now=at.clock(), stop=at.queue.closing.is_set,
    )  # fmt: skip
    return RedirectResponse(f"/jobs/{number(request, 'job')}", status_code=303)


async def paper(request: Request) -> Response:
    """A paper as PDF."""
    at, which = house(request), request.path_params["paper"]
    if which not in issue_paper.PAPERS:
        raise HTTPException(404, "There is no such paper.")
    kept = await run_in_threadpool(keeping.kept_job, at.place.store, number(request, "job"))
    link = str(request.url_for("job", job=kept.job.number))
    pdf = await run_in_threadpool(issue_paper.PAPERS[which], kept, made=at.clock(), link=link)
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
    return int(request.path_params[name])


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
    page = few_words.trouble(house(request).place.said.shop, trouble.detail, "Go back and try again.")
    return show.page("trouble.html", page, status=trouble.status_code)


def make_app(place: Place, *, clock: Callable[[], datetime], hosts: tuple[str, ...]) -> Starlette:
    """The app over an open data folder.

    Args:
        place: the data folder and the shop.
        clock: the door's clock.
        hosts: the names it answers to.
    Returns: the app; its queue runs while it does.
    """
    at = House(place, taking_in.Queue(place.store, place.said, clock), FormToken(), clock)

    @asynccontextmanager
    async def life(_app: Starlette) -> AsyncIterator[None]:
        at.queue.open()
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
            Route("/jobs/{job:int}/{paper}.pdf", paper),
            Route("/fonts/{font}", font),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ],
        exception_handlers={BadInput: at_fault, HTTPException: refused},
        lifespan=life,
    )
    app.state.house = at
    app.add_middleware(Guard, hosts=hosts)
    return app
