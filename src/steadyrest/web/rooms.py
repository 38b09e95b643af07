"""The pages behind the bench, all of them, with what they share: the queue, and what is kept at hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from steadyrest.desk.incoming import seen_before, taking_in
from steadyrest.desk.place import Place
from steadyrest.desk.week.week_now import WeekShelf
from steadyrest.web import (
    alone,
    carry,
    changes,
    clock,
    count,
    customers,
    cut,
    find,
    how_true,
    job,
    keep,
    leaving,
    lift,
    lists,
    measuring,
    nest,
    owed,
    people,
    plates,
    rack,
    record,
    revisions,
    scrap,
    several,
    show,
    spent,
    theirs,
    then_and_now,
    things,
    today,
    week,
)
from steadyrest.web import taking_in as put_in
from steadyrest.web.asked import house
from steadyrest.web.showing import rules as rules_page

BY_SUBJECT = (
    measuring, revisions, lists, then_and_now, theirs, spent, things, several, leaving, find, today, week, how_true,
    clock, record, customers, owed, rack, lift, cut, nest, plates, scrap, count, keep, carry, people, alone, changes,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rooms:
    """What the pages share. likenesses, week: kept at hand."""

    queue: taking_in.Queue
    likenesses: seen_before.Likenesses = field(default_factory=seen_before.Likenesses)
    week: WeekShelf = field(default_factory=WeekShelf)


def opened(place: Place, clock: Callable[[], datetime]) -> Rooms:
    """The rooms of a data folder; the queue does not run yet.

    Args:
        place: the data folder and the shop.
        clock: the door's clock.
    Returns: the rooms.
    """
    return Rooms(taking_in.Queue(place.store, place.said, clock))


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


def routes() -> tuple[BaseRoute, ...]:
    """The addresses of the pages behind the bench."""
    found = [*put_in.ROUTES, Route("/rules", rules)]
    for subject in BY_SUBJECT:
        found += subject.routes(house)
    return (*found, *job.ROUTES)
