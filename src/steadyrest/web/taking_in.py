"""A part put in, and the reading that it becomes."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from steadyrest.desk.incoming import taking_in, tasks
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.asked import checked_form, house, number
from steadyrest.web.showing import few_words

LOOK_AGAIN_S = 0.4
LONGEST_WATCH_S = 900


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
    seen = await run_in_threadpool(tasks.task, at.place.store, number(request, "task"))
    if seen.state == "done":
        return RedirectResponse(few_words.opens(seen), status_code=303)
    return show.page("reading.html", few_words.reading(at.place.said.shop, seen, token=at.token.value))


async def watch(request: Request) -> Response:
    """How far a reading is, told whenever it changes, until it ends."""
    at, task = house(request), number(request, "task")
    await run_in_threadpool(tasks.task, at.place.store, task)

    async def told() -> AsyncIterator[str]:
        last = ""
        for _ in range(int(LONGEST_WATCH_S / LOOK_AGAIN_S)):
            seen = await run_in_threadpool(tasks.task, at.place.store, task)
            said = json.dumps({"state": seen.state, "says": seen.says, "tenths": int(10 * seen.share)})
            if said != last:
                last = said
                yield f"data: {said}\n\n"
            if seen.state not in ("waiting", "running") or await request.is_disconnected() or at.queue.closing.is_set():
                return
            await asyncio.sleep(LOOK_AGAIN_S)

    return StreamingResponse(told(), media_type="text/event-stream")


async def stop_reading(request: Request) -> Response:
    """Stop a reading."""
    at = house(request)
    await checked_form(request)
    await run_in_threadpool(tasks.stop_task, at.place.store, number(request, "task"), now=at.clock())
    return RedirectResponse(f"/reading/{number(request, 'task')}", status_code=303)


async def say_unit(request: Request) -> Response:
    """The unit of a file that does not say it: it is read anew, with all else as it was typed."""
    at = house(request)
    words = await checked_form(request)
    task = await run_in_threadpool(
        taking_in.say_unit, at.place.store, number(request, "task"), words.get("unit", ""), now=at.clock()
    )
    at.queue.ring()
    return RedirectResponse(f"/reading/{task}", status_code=303)


ROUTES = (
    Route("/new", new, methods=["GET", "POST"]),
    Route("/reading/{task:int}", reading),
    Route("/reading/{task:int}/watch", watch),
    Route("/reading/{task:int}/stop", stop_reading, methods=["POST"]),
    Route("/reading/{task:int}/unit", say_unit, methods=["POST"]),
)
