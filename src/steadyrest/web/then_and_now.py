"""The address of a part that came back, beside the job before."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.incoming import then_and_now as desk
from steadyrest.desk.incoming.then_and_now import ThenAndNow, Took
from steadyrest.papers.differences import lines, summary
from steadyrest.units import show_time
from steadyrest.web import show
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.revisions import DifferenceRow
from steadyrest.web.pages.then_and_now import ThenAndNowPage
from steadyrest.web.pages.top import Top
from steadyrest.web.revisions import number
from steadyrest.web.showing.words import Words

if TYPE_CHECKING:
    from steadyrest.web.app import House


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The address.

    Args:
        house: what the handler needs.
    Returns: routes for the app.
    """

    async def beside(request: Request) -> Response:
        """The page."""
        at, job, before = house(request), number(request, "job"), number(request, "before")

        def shown() -> Response:
            found = desk.then_and_now(at.place.store, job, before, now=at.clock())
            return show.page("then_and_now.html", fields(found))

        return await run_in_threadpool(shown)

    return [Route("/jobs/{job:int}/beside/{before:int}", beside)]


def fields(found: ThenAndNow) -> ThenAndNowPage:
    """The page in words."""
    then, is_now = found.then, found.now
    words = Words(is_now.kept.answer)

    def pair(what: str, say: Callable[[Took], str]) -> tuple[str, str, str]:
        return what, say(then), say(is_now)

    rows = (
        pair("For", lambda one: "" if one.kept.job.customer == "not said" else one.kept.job.customer),
        pair("Asked", lambda one: words.moment(one.kept.job.made_at)),
        pair("How many", lambda one: str(one.kept.answer.quantity)),
        pair("Metal", lambda one: one.kept.answer.material.id),
        *((pair("Price", lambda one: one.price),) if money_shown() else ()),
        pair("Hours with hands, planned", lambda one: show_time(one.planned_s) if one.planned_s else ""),
        pair("Hours worked", lambda one: show_time(one.worked_s) if one.worked_s else ""),
    )
    return ThenAndNowPage(
        top=Top(f"Job {is_now.kept.job.number} beside {then.kept.job.number}", is_now.kept.answer.shop.name),
        number=is_now.kept.job.number,
        before=then.kept.job.number,
        what=is_now.kept.job.what,
        rows=tuple(one for one in rows if one[1] or one[2]),
        summary=summary(found.differs),
        differs=tuple(
            DifferenceRow(one.numeral, one.what, one.before, one.after) for one in lines(found.differs, words.unit)
        ),
        notes=tuple((f"{words.name(one.who)}, {words.moment(one.when)}", one.words, one.photo) for one in found.notes),
        programs=tuple(
            f"{program}, {words.name(machine)}, {words.moment(when)}" for program, machine, when in found.programs
        ),
        fixtures=tuple(
            (int(one.id), ", ".join(part for part in (f"{one.kind} {one.name}", one.place) if part))
            for one in found.fixtures
        ),
    )
