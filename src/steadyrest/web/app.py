"""The app: the bench, and behind it the other pages. A handler parses, calls one desk verb, shows one page."""

from __future__ import annotations

from collections.abc import AsyncGenerator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from anyio import to_thread
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Mount, Route, Router
from starlette.staticfiles import StaticFiles
from starlette.types import Receive, Scope, Send

from steadyrest.desk.incoming import tasks
from steadyrest.desk.place import Place
from steadyrest.desk.plan import bench as on_bench
from steadyrest.store import full_disk
from steadyrest.trouble import BadInput
from steadyrest.web import show, signin
from steadyrest.web.asked import house
from steadyrest.web.behind import Behind
from steadyrest.web.guard import FormToken, Guard
from steadyrest.web.limits import BodyLimit
from steadyrest.web.showing import bench as bench_page
from steadyrest.web.showing import trouble as trouble_page

if TYPE_CHECKING:
    from steadyrest.desk.incoming.seen_before import Likenesses
    from steadyrest.desk.incoming.taking_in import Queue
    from steadyrest.desk.week.week_now import WeekShelf

HERE = Path(__file__).parent
ANSWERED_AT_ONCE = 12  # more threads only wait for one another, and each holds memory


REFUSALS = {
    404: ("There is nothing at this address.", "Go back to the bench."),
    405: ("This address takes no such request.", "Go back to the bench."),
    413: ("The file is too large.", "Export it coarser, or cut away what is not needed."),
}


@dataclass(frozen=True, slots=True)
class House:
    """What every handler needs. clock: the door's clock, the only one. behind: what takes longer to open."""

    place: Place
    token: FormToken
    clock: Callable[[], datetime]
    behind: Behind

    @property
    def queue(self) -> Queue:
        """What waits to be read, planned and checked."""
        return self.behind.rooms().queue

    @property
    def likenesses(self) -> Likenesses:
        """What the parts look like, at hand."""
        return self.behind.rooms().likenesses

    @property
    def week(self) -> WeekShelf:
        """The week as it was last counted, at hand."""
        return self.behind.rooms().week


class Late:
    """The pages behind the bench: hung into the router when one of them is first asked.

    router: the app's. behind: what they need.
    """

    def __init__(self, router: Router, behind: Behind) -> None:
        self.router = router
        self.behind = behind
        self.nowhere = router.default

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if self.router.default is self and scope["type"] == "http":
            await run_in_threadpool(self.behind.rooms)
            self.hang()
            await self.router(scope, receive, send)
            return
        await self.nowhere(scope, receive, send)

    def hang(self) -> None:
        """Hang the pages in, once."""
        from steadyrest.web import rooms

        if self.router.default is self:
            self.router.default = self.nowhere
            self.router.routes.extend(rooms.routes())


async def bench(request: Request) -> Response:
    """The bench: jobs, and what is being read."""
    at = house(request)
    jobs = await run_in_threadpool(on_bench.on_bench, at.place.store, now=at.clock())
    waiting = await run_in_threadpool(tasks.open_tasks, at.place.store)
    failed = await run_in_threadpool(tasks.failed_tasks, at.place.store, now=at.clock())
    return show.page("bench.html", bench_page.page(at.place.said.shop, jobs, waiting, failed))


async def font(request: Request) -> Response:
    """A font of the papers, for the screen."""
    name = request.path_params["font"]
    folder = Path(str(resources.files("steadyrest.papers") / "fonts"))
    if name not in {entry.name for entry in folder.glob("*.ttf")}:
        raise HTTPException(404, "There is no such font.")
    return FileResponse(folder / name, media_type="font/ttf", headers={"Cache-Control": "max-age=86400"})


async def at_fault(request: Request, trouble: Exception) -> Response:
    """Input at fault, as a page."""
    assert isinstance(trouble, BadInput)
    status = 404 if "no such" in trouble.what else 422
    page = trouble_page.page(house(request).place.said.shop, f"{trouble.where}: {trouble.what}", trouble.do)
    return show.page("trouble.html", page, status=status)


async def refused(request: Request, trouble: Exception) -> Response:
    """What the server itself refuses, as a page."""
    assert isinstance(trouble, HTTPException)
    what, do = REFUSALS.get(trouble.status_code, (trouble.detail, "Go back and try again."))
    page = trouble_page.page(house(request).place.said.shop, what, do)
    return show.page("trouble.html", page, status=trouble.status_code)


async def our_fault(request: Request, fault: Exception) -> Response:
    """What went wrong in our own code, as a page; the trace is in the log. A full disk is said as what it is."""
    full = full_disk.disk_is_full(fault)
    what, do = "This did not work, and it is our fault.", "Nothing was half done. Go back and try again."
    if full:
        what, do = full_disk.WHAT, full_disk.DO
    page = trouble_page.page(house(request).place.said.shop, what, do)
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
    behind = Behind(place, clock)
    at = House(place, FormToken(), clock, behind)

    @asynccontextmanager
    async def life(_app: Starlette) -> AsyncGenerator[None]:
        to_thread.current_default_thread_limiter().total_tokens = ANSWERED_AT_ONCE
        behind.thread.start()
        try:
            yield
        finally:
            await run_in_threadpool(behind.close)

    app = Starlette(
        routes=[
            Route("/", bench),
            *signin.routes(house),
            Route("/fonts/{font}", font),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ],
        exception_handlers={BadInput: at_fault, HTTPException: refused, Exception: our_fault},
        lifespan=life,
    )
    app.router.default = Late(app.router, behind)
    app.state.house = at
    app.state.authority = authority
    app.add_middleware(BodyLimit, place=place)
    app.add_middleware(signin.SignIn, house=at, lan=authority is not None)
    app.add_middleware(Guard, hosts=hosts)
    return app
