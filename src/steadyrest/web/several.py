"""The address that takes several parts in: a list and its files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import PurePath
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.incoming import taking_in_several
from steadyrest.shop.parts_list_file import MOST_PARTS
from steadyrest.trouble import BadInput
from steadyrest.web import show
from steadyrest.web.pages.several import SeveralPage
from steadyrest.web.pages.top import Top

if TYPE_CHECKING:
    from steadyrest.web.app import House

EXAMPLE = """name = "hoist trolley"
customer = "the ferry office"
due = 2026-12-11T16:00:00+01:00

[[part]]
id = "P1"
file = "axle.step"
material = "C45"
quantity = 2

[[part]]
id = "B1"
made_here = false
what = "bearing 6205"
quantity = 2
price = "8.40"
lead_days = 2

[[assembly]]
id = "A1"
of = ["P1", "B1"]
joint = "press fit"
"""


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def several(request: Request) -> Response:
        """The form, or what it brought."""
        at = house(request)
        if request.method == "GET":
            return show.page("several.html", page(at))
        async with request.form(max_files=MOST_PARTS + 1, max_fields=20) as form:
            if not at.token.fits(form.get("guard")):
                raise HTTPException(403, "This form is too old. Open the page again.")
            files = {
                PurePath((one.filename or "").replace("\\", "/")).name: await one.read()
                for one in form.getlist("files")
                if isinstance(one, UploadFile) and one.filename
            }
        try:
            task = await run_in_threadpool(
                taking_in_several.hand_in, at.place.store, files, said=at.place.said, now=at.clock()
            )
        except BadInput as trouble:
            return show.page("several.html", page(at, trouble.line()), status=422)
        at.queue.ring()
        return RedirectResponse(f"/reading/{task}", status_code=303)

    return [Route("/several", several, methods=["GET", "POST"])]


def page(at: House, trouble: str = "") -> SeveralPage:
    """The form."""
    return SeveralPage(Top("Put several parts in", at.place.said.shop.name), trouble, EXAMPLE, at.token.value)
