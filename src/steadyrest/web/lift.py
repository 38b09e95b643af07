"""The address of lifting and hauling: four forms, each answered at once; nothing is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.pieces.lift_and_haul import WAYS, Judged, judge
from steadyrest.shop.figure import Reason
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.pages.lift import LiftPage, Verdict
from steadyrest.web.pages.top import Top, Worded
from steadyrest.wording.say import Reader, figure, say

if TYPE_CHECKING:
    from steadyrest.web.app import House

LONGEST = 600
YES = {
    "hand": "One person may lift it so", "hook": "Nothing here speaks against it", "table": "It may stand there",
    "trailer": "Nothing here speaks against it",
}  # fmt: skip
NO = {
    "hand": "Do not lift it by hand alone", "hook": "Do not lift it so", "table": "Not on this table",
    "trailer": "Not on the road so",
}  # fmt: skip


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The address.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def lift(request: Request) -> Response:
        """The forms, and the answer to the one that was sent."""
        typed = {name: value[:LONGEST] for name, value in request.query_params.items()}
        return await run_in_threadpool(page, house(request), typed)

    return [Route("/lift", lift)]


def page(at: House, typed: dict[str, str]) -> Response:
    """The page for what was typed."""
    shop, how = at.place.said.shop, typed.pop("how", "")
    verdict, trouble = None, ""
    if how in WAYS and typed.get("mass", typed.get("loads")):
        try:
            verdict = shown(how, judge(how, typed, unit=shop.unit), unit=shop.unit)
        except BadInput as wrong:
            trouble = wrong.line()
    fields = LiftPage(Top("Lift and haul", shop.name), shop.unit, how, typed, verdict, trouble)
    return show.page("lift.html", fields, status=422 if trouble else 200)


def shown(how: str, found: Judged, *, unit: str) -> Verdict:
    """An answer in words."""
    reader = Reader("in" if unit == "in" else "mm")

    def said(reasons: Iterable[Reason]) -> tuple[str, ...]:
        return tuple(say(reason, reader) for reason in reasons)

    return Verdict(
        YES[how] if found.may else NO[how],
        found.may,
        tuple((name, Worded(figure(one, reader), said(one.why))) for name, one in found.figures),
        said(found.cannot),
        said(found.cautions),
    )
