"""How true the tool has been: promises beside what happened, hours beside their estimates, and what follows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from steadyrest.desk import keeping
from steadyrest.desk.own_past import own_past
from steadyrest.promise.answer import State, state
from steadyrest.promise.lessons.fit import learn
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.told import Lessons, Ratio, lessons
from steadyrest.shop.floor import Shop
from steadyrest.store import jobs, ledger
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput

KIND = "lessons"
SEED = 1
TENTHS_SD = 2.5631  # p90 less p10 of a normal, in its sds: 2 x 1.28155
FEWEST = 5  # done steps from which figures are offered for use: below, they are mostly what was believed before


@dataclass(frozen=True, slots=True)
class ScoredPromise:
    """A promise that was given, beside what happened. odds: as said then. kept: None while nobody knows."""

    number: int
    what: str
    due: datetime
    odds: float
    delivered: datetime | None
    kept: bool | None


@dataclass(frozen=True, slots=True)
class Kept:
    """Of the promises of one kind: how many were kept of how many known, and how many the odds let expect."""

    state: State
    kept: int
    known: int
    expected: float


@dataclass(frozen=True, slots=True)
class Learnt:
    """Figures of the shop file that the hours speak about: as used now, and as the hours say."""

    name: str
    now: float
    then: float


@dataclass(frozen=True, slots=True)
class HowTrue:
    """promises: those given, newest first. lessons: None without a step done. figures: to use from now on, if any."""

    promises: tuple[ScoredPromise, ...]
    kept: tuple[Kept, ...]
    quotes: tuple[Quote, ...]
    lessons: Lessons | None
    figures: tuple[Learnt, ...]
    used_since: datetime | None


@dataclass(slots=True)
class LessonShelf:
    """The last lessons counted, kept at hand: they are the same until an hour or a quote is added."""

    kept: dict[tuple[Quote, ...], Lessons] = field(default_factory=dict)

    def lessons(self, quotes: tuple[Quote, ...]) -> Lessons:
        """What these quotes teach."""
        if quotes not in self.kept:
            self.kept = {quotes: lessons(learn(quotes, seed=SEED), quotes, [one.rivals for one in quotes])}
        return self.kept[quotes]


def how_true(store: Store, shop: Shop, shelf: LessonShelf, *, now: datetime) -> HowTrue:
    """How true it has been.

    Args:
        store: an open data folder.
        shop: as it stands, with the figures in use.
        shelf: the last lessons.
        now: aware moment.
    Returns: promises scored, hours compared, and the figures that follow.
    """
    with store.reading() as session:
        given = [one for job in jobs.jobs(session) if (one := _scored(session, job, now)) is not None]
        entry = in_use(session)
    quotes = own_past(store, now=now)
    steps = sum(step.actual_s is not None for quote in quotes for step in quote.steps)
    told = shelf.lessons(quotes) if steps else None
    return HowTrue(
        promises=tuple(sorted(given, key=lambda one: one.due, reverse=True)),
        kept=by_state(given),
        quotes=quotes,
        lessons=told,
        figures=figures(told, shop) if told is not None and steps >= FEWEST else (),
        used_since=entry.happened if entry is not None and entry.body else None,
    )


def _scored(session: Session, job: jobs.Job, now: datetime) -> ScoredPromise | None:
    kept = keeping.kept(session, job)
    stands = ledger.standing(ledger.entries(session, job.id)) if kept is not None else ()
    said = next((one for one in reversed(stands) if one.kind == "promised"), None)
    if kept is None or said is None or kept.state == "declined":
        return None
    odds, due = said.body.get("odds"), said.body.get("due")
    if not isinstance(odds, float | int) or not isinstance(due, str):
        return None
    by = datetime.fromisoformat(due)
    gone = next((one.happened for one in stands if one.kind == "delivered"), None)
    known = gone <= by if gone is not None else (False if now > by else None)
    return ScoredPromise(job.number, job.what, by, float(odds), gone, known)


def by_state(given: Sequence[ScoredPromise]) -> tuple[Kept, ...]:
    """How many promises of each kind were kept.

    Args:
        given: scored.
    Returns: a row for each kind of which something is known.
    """
    found: list[Kept] = []
    for kind in ("holds", "thin", "gone"):
        known = [one for one in given if one.kept is not None and state(one.odds) == kind]
        if known:
            found.append(Kept(kind, sum(bool(one.kept) for one in known), len(known), sum(one.odds for one in known)))
    return tuple(found)


def figures(told: Lessons, shop: Shop) -> tuple[Learnt, ...]:
    """What the hours say about the shop's own figures.

    Args:
        told: the lessons.
        shop: with the figures in use.
    Returns: each figure as it is and as the hours say: the shop's usual ratio and its spread, one job's, each person's.
    """
    habits = shop.habits
    found = [
        Learnt("bias", habits.bias, told.shop.p50),
        Learnt("bias_spread", habits.bias_spread, spread(told.shop)),
        Learnt("difficulty_spread", habits.difficulty_spread, told.job_spread),
    ]
    ratios = {one.name: one for one in told.persons}
    for person in shop.people:
        if person.id in ratios:
            found.append(Learnt(f"pace {person.id}", person.pace, ratios[person.id].p50))
            found.append(Learnt(f"spread {person.id}", person.spread, spread(ratios[person.id])))
    return tuple(replace(one, then=round(one.then, 3)) for one in found)


def spread(ratio: Ratio) -> float:
    """Sd of the logarithm of a ratio, from its tenths."""
    return math.log(ratio.p90 / ratio.p10) / TENTHS_SD


def use(store: Store, shown: Sequence[Learnt], *, who: str, now: datetime) -> None:
    """Use these figures from now on; none: those of the shop file again. Plans made before keep theirs.

    Args:
        store: an open data folder.
        shown: what was looked at.
        who: says so.
        now: aware moment.
    Raises: BadInput: a figure is out of range.
    """
    for one in shown:
        low = 0.0 if "spread" in one.name else 0.2
        if not low <= one.then <= 5.0:
            raise BadInput(where=one.name, what=f"{one.then} is out of range.", do=f"It must be {low} to 5.")
    with store.writing() as session:
        ledger.write_down(
            session, job_id=None, kind=KIND, who=who, happened=now, told=now, body={one.name: one.then for one in shown}
        )


def in_use(session: Session) -> ledger.Entry | None:
    """The figures last chosen; None if none ever were."""
    stands = ledger.standing(ledger.entries(session, None))
    return next((one for one in reversed(stands) if one.kind == KIND), None)


def with_lessons(shop: Shop, body: Mapping[str, object]) -> Shop:
    """The shop with figures learned.

    Args:
        shop: as its file says.
        body: of the entry in use; a person who is gone is passed over.
    Returns: the shop.
    """

    def given(name: str, else_: float) -> float:
        found = body.get(name, else_)
        return float(found) if isinstance(found, float | int) else else_

    habits = replace(
        shop.habits,
        bias=given("bias", shop.habits.bias),
        bias_spread=given("bias_spread", shop.habits.bias_spread),
        difficulty_spread=given("difficulty_spread", shop.habits.difficulty_spread),
    )
    people = tuple(
        replace(one, pace=given(f"pace {one.id}", one.pace), spread=given(f"spread {one.id}", one.spread))
        for one in shop.people
    )
    return replace(shop, habits=habits, people=people)
