"""How true the tool has been: promises beside what happened, hours beside their estimates, and what follows."""

from __future__ import annotations

import json
import math
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from sqlalchemy import select

from steadyrest.desk.at_hand import AtHand
from steadyrest.desk.week.own_past import costs_foretold, decided_quotes, foretold, own_past
from steadyrest.desk.week.repeats import made_again
from steadyrest.price.scored import PricesTrue, prices_true
from steadyrest.promise.answer import State, state
from steadyrest.promise.lessons.fit import learn
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.repeats import Repeats
from steadyrest.promise.lessons.told import Lessons, Ratio, lessons
from steadyrest.promise.scored import Trueness, trueness
from steadyrest.shop.floor import Shop
from steadyrest.store import ledger, schema
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput

KIND = "lessons"
FEW_NEW = 50
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
    """promises: those given, newest first. lessons: None without a step done. figures: to use from now on, if any.

    trueness, costs: of the hours, and of the cost, of whole jobs; None while none is done. prices: of the odds that
    prices are taken; None while no priced quote is decided. again: of parts made more than once; None: none was.
    """

    promises: tuple[ScoredPromise, ...]
    kept: tuple[Kept, ...]
    quotes: tuple[Quote, ...]
    lessons: Lessons | None
    figures: tuple[Learnt, ...]
    used_since: datetime | None
    trueness: Trueness | None = None
    prices: PricesTrue | None = None
    costs: Trueness | None = None
    again: Repeats | None = None


@dataclass(slots=True)
class LessonShelf:
    """The last lessons counted, kept at hand until a fiftieth of the quotes has changed: fewer teach nothing new."""

    kept: dict[tuple[Quote, ...], Lessons] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def lessons(self, quotes: tuple[Quote, ...]) -> Lessons:
        """What these quotes teach; counted once where several ask at one moment."""
        with self.lock:
            for before, told in self.kept.items():
                if FEW_NEW * len(set(before) ^ set(quotes)) <= len(quotes):
                    return told
            told = lessons(learn(quotes, seed=SEED), quotes, [one.rivals for one in quotes])
            self.kept = {quotes: told}
            return told


def how_true(store: Store, shop: Shop, shelf: LessonShelf, *, now: datetime) -> HowTrue:
    """How true it has been.

    Args:
        store: an open data folder.
        shop: as it stands, with the figures in use.
        shelf: the last lessons.
        now: aware moment.
    Returns: promises scored, hours compared, and the figures that follow.
    """
    given = scored(store, now=now)
    with store.reading() as session:
        entry = in_use(session)
    quotes = own_past(store, now=now)
    steps = sum(step.actual_s is not None for quote in quotes for step in quote.steps)
    told = shelf.lessons(quotes) if steps else None
    again = made_again(store, told, now=now) if told is not None else None
    return HowTrue(
        promises=tuple(sorted(given, key=lambda one: one.due, reverse=True)),
        kept=by_state(given),
        quotes=quotes,
        lessons=told,
        figures=figures(told, shop, again) if told is not None and steps >= FEWEST else (),
        used_since=entry.happened if entry is not None and entry.body else None,
        trueness=trueness(foretold(store, now=now)),
        prices=prices_true(decided_quotes(store)),
        costs=trueness(costs_foretold(store, now=now)),
        again=again,
    )


def given_promises(session: Session) -> tuple[ScoredPromise, ...]:
    """Every promise that was given and not taken back, with when it was delivered; kept only where that is known."""
    row, later, state_of = schema.ledger.c, schema.ledger.alias(), schema.job_state.c
    asked = (
        select(schema.job.c.number, schema.job.c.what, row.kind, row.happened, row.body)
        .join_from(schema.ledger, schema.job)
        .join(schema.job_state, state_of.job_id == row.job_id)
        .where(
            row.kind.in_(("promised", "delivered")), state_of.state != "declined",
            ~select(later.c.id).where(later.c.replaces == row.id).exists(),
        )
        .order_by(row.happened, row.id)
    )  # fmt: skip
    said: dict[int, tuple[str, Mapping[str, object]]] = {}
    gone: dict[int, datetime] = {}
    for number, what, kind, happened, body in session.execute(asked):
        if kind == "promised":
            said[number] = (what, json.loads(body))
        else:
            gone.setdefault(number, happened)
    found: list[ScoredPromise] = []
    for number, (what, body) in said.items():
        odds, due = body.get("odds"), body.get("due")
        if isinstance(odds, float | int) and isinstance(due, str):
            by, done = datetime.fromisoformat(due), gone.get(number)
            found.append(ScoredPromise(number, what, by, float(odds), done, done <= by if done is not None else None))
    return tuple(found)


GIVEN: AtHand[ScoredPromise] = AtHand()


def scored(store: Store, *, now: datetime) -> tuple[ScoredPromise, ...]:
    """Every promise that was given, beside what happened; one not delivered whose time is past is broken."""
    return tuple(
        replace(one, kept=False) if one.delivered is None and now > one.due else one
        for one in GIVEN.of(store, given_promises)
    )


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


def figures(told: Lessons, shop: Shop, again: Repeats | None = None) -> tuple[Learnt, ...]:
    """What the hours say about the shop's own figures.

    Args:
        told: the lessons.
        shop: with the figures in use.
        again: what parts made more than once teach, if any were.
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
    if again is not None:
        found.append(Learnt("repeat_rate", habits.repeat_rate, again.rate()))
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
    return next(reversed(ledger.of_kinds(session, (KIND,))), None)


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
        repeat_rate=given("repeat_rate", shop.habits.repeat_rate),
    )
    people = tuple(
        replace(
            one,
            pace=given(f"pace {one.id}", one.pace),
            spread=given(f"spread {one.id}", one.spread),
            # A pace learned from the clock has the telephone in it already.
            interrupted=0.0 if f"pace {one.id}" in body else one.interrupted,
        )
        for one in shop.people
    )
    return replace(shop, habits=habits, people=people)
