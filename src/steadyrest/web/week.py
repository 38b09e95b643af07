"""The week's addresses: what is promised, a change tried on it, and the yes or no to a job."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Mapping
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.plan import keeping
from steadyrest.desk.week import taken, week_calendar, week_now
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.at_screen import only_the_owner, person
from steadyrest.web.showing import pictures
from steadyrest.web.showing import week as showing

if TYPE_CHECKING:
    from steadyrest.web.app import House

LARGEST = 2**63
LONGEST = 300
ANSWERS: Mapping[str, taken.Answer] = {"yes": "promised", "ready": "ready", "delivered": "delivered"}
OLD_FORM = "This form is too old. Open the page again."


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def week(request: Request) -> Response:
        """The week, or what a change would do to it."""
        at = house(request)
        if request.method == "GET":
            return await run_in_threadpool(shown, at, {})
        return await run_in_threadpool(shown, at, await words_of(request, at))

    def shown(at: House, asked: Mapping[str, str]) -> Response:
        now = at.week.week(at.place.said, at.place.store, now=at.clock())
        numbers = keeping.open_numbers(at.place.store)
        typed, status, trouble, tried = asked.get("words", "")[:LONGEST], 200, "", None
        if asked and now.week is not None:
            try:
                said = change_of(asked, now.shop.timezone)
                tried = week_now.tried(now.shop, now.week, (said,))
            except BadInput as bad:
                trouble, status = f"{bad.what} {bad.do}", 422
        page = showing.page(now, numbers, token=at.token.value, typed=typed, trouble=trouble, tried=tried)
        return show.page("week.html", page, status=status)

    async def night(request: Request) -> Response:
        """The night sheet of the week, drawn."""
        at, look = house(request), request.path_params["look"]
        if look not in pictures.LOOKS:
            raise HTTPException(404, "There is no such picture.")
        drawn = await run_in_threadpool(drawn_night, at, look)
        if not drawn:
            raise HTTPException(404, "There is no such picture.")
        return Response(drawn, media_type="image/svg+xml", headers={"Cache-Control": "no-store"})

    def drawn_night(at: House, look: str) -> str:
        width_mm, dark = pictures.LOOKS[look]
        highest = None if width_mm < pictures.PAGE_MM else pictures.NIGHT_HIGHEST * width_mm
        now = at.week.week(at.place.said, at.place.store, now=at.clock())
        return week_now.night_picture(now, width_mm=width_mm, height_mm=highest, dark=dark)

    async def for_calendar(request: Request) -> Response:
        """The week, a person's own or the night, for a calendar to read."""
        at, whose = house(request), request.path_params.get("whose", week_calendar.EVERYBODY)
        written = await run_in_threadpool(written_calendar, at, whose)
        plain = f"-{whose}" if whose.isascii() and whose.isalnum() else ""
        named = f'attachment; filename="week{plain}.ics"'
        return Response(
            written, media_type="text/calendar; charset=utf-8",
            headers={"Content-Disposition": named, "Cache-Control": "no-store"},
        )  # fmt: skip

    def written_calendar(at: House, whose: str) -> str:
        return week_calendar.week_calendar(at.week.week(at.place.said, at.place.store, now=at.clock()), whose)

    async def answer(request: Request) -> Response:
        """Yes or no to a job, written down."""
        at, job = house(request), int(request.path_params["job"])
        if job >= LARGEST:
            raise HTTPException(404, "There is no such number.")
        words = await words_of(request, at)
        told = ANSWERS.get(words.get("answer", ""), "declined")
        if told in ("promised", "declined"):
            only_the_owner("says yes or no to a customer")
        zone = at.place.said.shop.timezone
        said = taken.YesOrNo(
            due=datetime.fromisoformat(moment(words["by"], zone)) if words.get("by") else None,
            price=price(words.get("price", "")),
            by_the_hour=words.get("charged") == "hours",
            number=job,
            answer=told,
            who=person().id,
            why=words.get("why", ""),
            words=words.get("said", ""),
            touch=words.get("touch", ""),
        )
        await run_in_threadpool(taken.say_yes_or_no, at.place.store, said, now=at.clock())
        return RedirectResponse(f"/jobs/{job}", status_code=303)

    return [
        Route("/week", week, methods=["GET", "POST"]),
        Route("/week/night/{look}.svg", night),
        Route("/week.ics", for_calendar),
        Route("/week/of/{whose}.ics", for_calendar),
        Route("/jobs/{job:int}/answer", answer, methods=["POST"]),
    ]


async def words_of(request: Request, at: House) -> dict[str, str]:
    """A small form's words, once its token fits."""
    async with request.form(max_files=0, max_fields=20) as form:
        words = {name: str(value).strip() for name, value in form.items()}
    if not at.token.fits(words.get("guard")):
        raise HTTPException(403, OLD_FORM)
    return words


def change_of(words: Mapping[str, str], timezone: str) -> str:
    """A change from a form, as its words say it.

    Args:
        words: of one of the page's forms.
        timezone: the shop's.
    Returns: as promise/suppose/words.py reads it.
    Raises: BadInput: a moment is missing.
    """
    if words.get("job"):
        return f"drop {shlex.quote(words['job'])}"
    for whom, does in ((words.get("machine"), "down"), (words.get("person"), words.get("does", "away"))):
        if whom:
            begin, end = (moment(words.get(name, ""), timezone) for name in ("from", "to"))
            return f"{shlex.quote(whom)} {does if does in ('down', 'in') else 'away'} {begin} to {end}"
    return words.get("words", "")[:LONGEST]


def price(typed: str) -> Decimal | None:
    """An amount as typed; None for nothing. Raises: BadInput: it is none."""
    if not typed:
        return None
    try:
        found = Decimal(typed.replace(",", "."))
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite():
        raise BadInput(where="the form", what=f"{typed[:40]!r} is no amount.", do="Write it as 1250.00.")
    return found.quantize(Decimal("0.01")) if abs(found) < LARGEST else found


def moment(typed: str, timezone: str) -> str:
    """A form's moment with the shop's offset. Raises: BadInput: it is none."""
    try:
        return datetime.fromisoformat(typed).replace(tzinfo=ZoneInfo(timezone)).isoformat()
    except ValueError:
        raise BadInput(where="the form", what="a moment is missing.", do="Say from when to when.") from None
