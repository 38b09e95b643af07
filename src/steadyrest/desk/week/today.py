"""Today: what to do next, who is on what, what runs, what to buy before the cut-off, what leaves, what waits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from steadyrest.desk.floor import clock
from steadyrest.desk.floor.clock import PersonNow
from steadyrest.desk.floor.things import Kept, all_things
from steadyrest.desk.incoming.their_parts import CAME, TheirPart, of_job
from steadyrest.desk.pieces.bought import Bought, bought
from steadyrest.desk.plan import keeping
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.desk.week.taken import agreed_due
from steadyrest.desk.week.week_now import WeekNow
from steadyrest.promise.answer import HOLDS, PlanRow
from steadyrest.promise.own_week import OwnJob
from steadyrest.store.ledger import TAKEN
from steadyrest.store.opening import Session, Store
from steadyrest.store.revisions import Stop

NEXT = 3  # rows told of each person
OPEN_STATES = (*TAKEN, "ready")


@dataclass(frozen=True, slots=True)
class PersonToday:
    """What a person is on by the clock, and what the week gives them next, up to the end of tomorrow."""

    now: PersonNow
    next: tuple[PlanRow, ...]


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job that was taken and is not delivered. due: as agreed. stop: its drawing changed since it was planned.

    theirs: the customer's own parts that are still here.
    """

    number: int
    what: str
    customer: str
    state: str
    due: datetime
    bought: Bought
    stop: Stop | None = None
    theirs: tuple[TheirPart, ...] = ()


@dataclass(frozen=True, slots=True)
class Today:
    """people: in the shop's order. alone: runs that need nobody now, by the plan. jobs: open, the soonest due first.

    shaky: promises that do not hold as things stand. things: of the shop, to order, check or serve now.
    """

    now: datetime
    people: tuple[PersonToday, ...]
    alone: tuple[PlanRow, ...]
    jobs: tuple[OpenJob, ...]
    shaky: tuple[OwnJob, ...]
    things: tuple[Kept, ...] = ()

    @property
    def to_buy(self) -> tuple[OpenJob, ...]:
        """What is not ordered, the next cut-off first."""
        found = (one for one in self.jobs if one.bought.stage == "to order")
        return tuple(sorted(found, key=lambda one: (one.bought.order_by or one.due, one.due)))

    @property
    def coming(self) -> tuple[OpenJob, ...]:
        """What is ordered and not here."""
        return tuple(one for one in self.jobs if one.bought.stage == "ordered")

    def leaving(self, timezone: str) -> tuple[OpenJob, ...]:
        """What is due today or overdue, and what is ready."""
        day = self.now.astimezone(ZoneInfo(timezone)).date()
        return tuple(
            one for one in self.jobs if one.state == "ready" or one.due.astimezone(ZoneInfo(timezone)).date() <= day
        )


def today(store: Store, week: WeekNow, *, now: datetime) -> Today:
    """What today asks for.

    Args:
        store: an open data folder.
        week: as it is promised now.
        now: aware moment.
    Returns: today.
    """
    shop, rows = week.shop, week.week.rows if week.week is not None else ()
    with store.reading() as session:
        found = [_open(session, kept, week, now) for kept in keeping.kept_in(session, OPEN_STATES)]
    people = clock.people_now(store, shop, now=now)
    until = now.astimezone(ZoneInfo(shop.timezone)).replace(hour=0, minute=0) + timedelta(days=2)
    return Today(
        now=now,
        people=tuple(
            PersonToday(one, tuple(row for row in rows if row.person == one.person and row.start < until)[:NEXT])
            for one in people
        ),
        alone=tuple(row for row in rows if row.person is None and row.machine and row.start <= now < row.end),
        jobs=tuple(sorted((one for one in found if one is not None), key=lambda one: (one.due, one.number))),
        shaky=tuple(one for one in (week.week.jobs if week.week is not None else ()) if one.odds < HOLDS),
        things=tuple(one for one in all_things(store, shop, now=now) if one.attention in ("low", "overdue")),
    )


def _open(session: Session, kept: KeptJob, week: WeekNow, now: datetime) -> OpenJob | None:
    if kept.state not in OPEN_STATES:
        return None
    far = bought(kept, week.shop, now=now)
    due = agreed_due(kept)
    return OpenJob(
        kept.job.number,
        kept.job.what,
        kept.job.customer,
        kept.state,
        due,
        far,
        kept.stop,
        tuple(one for one in of_job(session, kept.job) if one.back is None)
        if any(one.kind == CAME for one in kept.entries)
        else (),
    )
