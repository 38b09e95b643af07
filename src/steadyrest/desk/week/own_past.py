"""The shop's own past as quotes: what was planned, what the clock says it took, what was won and lost."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from steadyrest.desk.at_hand import AtHand
from steadyrest.desk.books.bring_in import past_quotes
from steadyrest.desk.floor import clock
from steadyrest.desk.plan import in_short
from steadyrest.desk.plan.bench import OpenJob
from steadyrest.price.winning import Quoted
from steadyrest.promise.lessons.past import Quote, QuotedStep, read_past
from steadyrest.promise.scored import Foretold
from steadyrest.store import clock as clock_store
from steadyrest.store import jobs, ledger, spent
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session, Store

WON = ("promised", "begun", "ready", "delivered", "paid")
LOST_TO_OTHERS = ("price", "went elsewhere")
LATEST = 400  # jobs decided last from which is learned: older ones tell of another shop
HOUR_S = 3600.0
TENTHS_SD = 2.5631  # p90 less p10 of a normal, in its sds: 2 x 1.28155
RIVALS = 1  # as the price assumes where nothing else is known


LISTED: AtHand[Quote] = AtHand()
QUOTES: AtHand[Quote] = AtHand()
ASKED: AtHand[Quoted] = AtHand()
FORETOLD: AtHand[Foretold] = AtHand()
COSTS: AtHand[Foretold] = AtHand()


def own_past(store: Store, *, now: datetime) -> tuple[Quote, ...]:
    """Every quote that was won, or lost to others: those brought in as lists, then the shop's own jobs.

    Args:
        store: an open data folder.
        now: aware moment.
    Returns: quotes; those brought in first, by their names in the list.
    """

    def fresh(session: Session) -> tuple[Quote, ...]:
        texts = past_quotes(store, session)
        listed = (one for text in texts for one in read_past(text, "quotes brought in").quotes)
        return tuple(replace(one, job=f"list {one.job}") for one in listed)

    return (*LISTED.of(store, fresh), *own_quotes(store, now=now))


def own_quotes(store: Store, *, now: datetime) -> tuple[Quote, ...]:
    """Every job of the shop that was won, or lost to others.

    A step counts once somebody said on the clock that it is done; its hours are those of all hands on it.

    Args:
        store: an open data folder.
        now: aware moment.
    Returns: quotes of the LATEST decided, in the order of their jobs' numbers; jobs lost for other reasons, or without
        hands, are left out.
    """

    def fresh(session: Session) -> tuple[Quote, ...]:
        decided = _decided(session)
        lost = _lost(session, decided)
        found = [_quote(session, one, now, lost=one.job.id in lost) for one in decided]
        return tuple(sorted((one for one in found if one is not None), key=lambda one: int(one.job)))

    return QUOTES.of(store, fresh)


def _decided(session: Session) -> tuple[OpenJob, ...]:
    """The jobs that were last taken or declined, with their plans in short: what the shop is like now."""
    found = jobs.in_states(session, (*WON, "declined"), newest=LATEST)
    short = in_short.of_jobs(session, [job.id for job, _ in found])
    return tuple(OpenJob(job, short[job.id], state) for job, state in found if job.id in short)


def _quote(session: Session, kept: OpenJob, now: datetime, *, lost: bool) -> Quote | None:
    won = kept.state in WON
    if not kept.plan.steps or not (won or lost):
        return None
    done = clock_store.steps_done(session, (kept.job.id,)).get(kept.job.id, set()) if won else set()
    hands: dict[int, Counter[str]] = {}
    for work in clock.job_works(session, kept.job.id, now=now) if done else ():
        if work.step is not None:
            hands.setdefault(work.step, Counter())[work.person] += round(work.worked_s(now))
    steps: list[QuotedStep] = []
    for number, step in enumerate(kept.plan.steps, 1):
        estimate_s = step.hands_s
        if estimate_s <= 0:
            continue
        by = hands.get(number, Counter())
        actual_s = float(by.total()) if number in done and by.total() > 0 else None
        person = by.most_common(1)[0][0] if actual_s is not None else ""
        steps.append(QuotedStep(f"{number}", step.station, person, estimate_s, actual_s))
    return Quote(str(kept.job.number), RIVALS, won, tuple(steps)) if steps else None


def _lost(session: Session, decided: Iterable[OpenJob]) -> frozenset[JobId]:
    """Those of the jobs declined that went to others."""
    declined = [one.job.id for one in decided if one.state == "declined"]
    said = ledger.last_of_kinds(session, ("declined",), declined)
    return frozenset(job for job, entry in said.items() if entry.body.get("why") in LOST_TO_OTHERS)


def decided_quotes(store: Store) -> tuple[Quoted, ...]:
    """What was asked for each job that was taken, or lost over it, beside what the rates said then.

    Args:
        store: an open data folder.
    Returns: in the order of the jobs; a job lost for other reasons, or that was not priced, is left out.
    """

    def fresh(session: Session) -> tuple[Quoted, ...]:
        decided = _decided(session)
        lost = _lost(session, decided)
        said = ledger.last_of_kinds(session, ("promised", "declined"), [one.job.id for one in decided])
        found = (_quoted(one, said.get(one.job.id)) for one in decided if one.state in WON or one.job.id in lost)
        return tuple(one for one in found if one is not None)

    return ASKED.of(store, fresh)


def _quoted(kept: OpenJob, said: ledger.Entry | None) -> Quoted | None:
    by_rates, offer = kept.plan.rates, kept.plan.offer
    if by_rates is None or offer is None:
        return None
    won = kept.state in WON
    agreed = said.body.get("price") if said is not None and won else None
    asked = float(agreed) if isinstance(agreed, str | float | int) else offer
    return Quoted(asked / by_rates, won) if by_rates > 0 and asked > 0 else None


def foretold(store: Store, *, now: datetime) -> tuple[Foretold, ...]:
    """The hours of every job whose steps are all done by the clock, beside what its price counted with.

    Args:
        store: an open data folder.
        now: aware moment.
    Returns: of the LATEST decided, in the order of their jobs' numbers.
    """

    def fresh(session: Session) -> tuple[Foretold, ...]:
        won = sorted((one for one in _decided(session) if one.state in WON), key=lambda one: one.job.number)
        found = (_foretold(one, _quote(session, one, now, lost=False)) for one in won)
        return tuple(one for one in found if one is not None)

    return FORETOLD.of(store, fresh)


def _foretold(kept: OpenJob, quote: Quote | None) -> Foretold | None:
    hours_s, sigma = kept.plan.hours_s, kept.plan.sigma
    actual_s = quote.actual_s if quote is not None else None
    if not actual_s or not hours_s or sigma <= 0:
        return None
    # The price keeps the mean of the hours and their spread; of log-normal odds the middle lies below the mean.
    return Foretold(hours_s / math.exp(sigma**2 / 2), sigma, actual_s)


def costs_foretold(store: Store, *, now: datetime) -> tuple[Foretold, ...]:
    """What every job cost the shop whose steps are all done by the clock, beside what its price counted with.

    Hours on the clock count at what each person cost when it was planned, machines as planned, goods as written down,
    or as planned where nothing was.

    Args:
        store: an open data folder.
        now: aware moment.
    Returns: of the LATEST decided, in the order of their jobs' numbers.
    """

    def fresh(session: Session) -> tuple[Foretold, ...]:
        won = sorted((one for one in _decided(session) if one.state in WON), key=lambda one: one.job.number)
        return tuple(one for job in won if (one := _cost_foretold(session, job, now)) is not None)

    return COSTS.of(store, fresh)


def _cost_foretold(session: Session, kept: OpenJob, now: datetime) -> Foretold | None:
    cost, quote = kept.plan.cost, _quote(session, kept, now, lost=False)
    if cost is None or not 0 < cost.p10 < cost.p50 < cost.p90 or quote is None or quote.actual_s is None:
        return None
    rates = dict(cost.per_hour)
    usual = sum(rates.values()) / len(rates) if rates else 0.0  # of somebody who was not there when it was planned
    hours = sum(
        one.worked_s(now) / HOUR_S * rates.get(one.person, usual)
        for one in clock.job_works(session, kept.job.id, now=now)
    )
    goods = [float(one.much) for one in spent.spent_on(session, kept.job.id) if one.kind == spent.GOODS]
    came_to = hours + cost.machines + (sum(goods) if goods else cost.cash)
    return Foretold(cost.p50, math.log(cost.p90 / cost.p10) / TENTHS_SD, came_to) if came_to > 0 else None
