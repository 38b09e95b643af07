"""One job: the six answers, what to ask before the visitor leaves, its pictures and papers."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.incoming import asking, seen_before, write_reading
from steadyrest.desk.plan import issue_paper, keeping
from steadyrest.trouble import BadInput
from steadyrest.web import measuring, owed, show
from steadyrest.web.asked import checked_form, house, number
from steadyrest.web.at_screen import person
from steadyrest.web.showing import before as before_page
from steadyrest.web.showing import job_page, pictures

if TYPE_CHECKING:
    from steadyrest.web.app import House


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
    typed = write_reading.Typed(feature, size, words.get("reading", ""), person().id, words.get("gauge", ""))
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


ROUTES = (
    Route("/jobs/{job:int}", job, name="job"),
    Route("/jobs/{job:int}/readings", take_reading, methods=["POST"]),
    Route("/jobs/{job:int}/before", before, methods=["GET", "POST"]),
    Route("/jobs/{job:int}/{paper}.pdf", paper),
    Route("/jobs/{job:int}/{picture}/{look}.svg", picture),
)
