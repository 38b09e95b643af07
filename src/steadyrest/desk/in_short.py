"""A plan in short: what lists of jobs ask of many plans, kept beside each in the transaction that keeps it.

A whole plan is some hundred kilobytes; the bench, the clock and the lessons ask a few numbers of each of hundreds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from steadyrest.store import plans
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session, Store
from steadyrest.store.plans import PlanId
from steadyrest.store.values import from_json, to_json

if TYPE_CHECKING:
    from steadyrest.desk.plan_part import PlanAnswer

VERSION = 1
MOVED = "price.win_"  # lines that move an offer away from the rates
AT_ONCE = 50


@dataclass(frozen=True, slots=True)
class StepShort:
    """hands_s: phases that need somebody, together; 0 where nobody is needed."""

    station: str
    machine: str | None
    hands_s: float


@dataclass(frozen=True, slots=True)
class PromiseShort:
    """odds: of the due time. can_promise: at the shop's wanted odds."""

    odds: float
    pegs: int
    state: str
    can_promise: datetime | None


@dataclass(frozen=True, slots=True)
class InShort:
    """take: the answer, "yes", "no" or "yes if". steps: of the way chosen. offer, rates: asked, and by the rates alone.

    promise, offer, rates, hours_s: None where nothing can be made, promised or priced. hours_s, sigma: people's hours,
    mean, and the sd of their logarithm.
    """

    take: str
    due: datetime
    steps: tuple[StepShort, ...]
    promise: PromiseShort | None
    offer: float | None
    rates: float | None
    hours_s: float | None = None
    sigma: float = 0.0


def in_short(answer: PlanAnswer) -> InShort:
    """A plan in short."""
    best = answer.best
    promise, price = (best.promise, best.price) if best is not None else (None, None)
    return InShort(
        take=answer.take.answer,
        due=answer.due,
        steps=tuple(
            StepShort(step.station, step.machine, sum(phase.duration_s.value for phase in step.phases if phase.who))
            for step in (best.route.steps if best is not None else ())
        ),
        promise=PromiseShort(promise.odds.value, promise.pegs, promise.state, promise.can_promise) if promise else None,
        offer=float(price.offer.amount) if price is not None else None,
        rates=sum((float(line.amount.amount) for line in price.lines if not line.what.key.startswith(MOVED)), 0.0)
        if price is not None
        else None,
        hours_s=price.hours.value if price is not None else None,
        sigma=price.sigma if price is not None else 0.0,
    )


def keep(session: Session, plan_id: PlanId, answer: PlanAnswer) -> None:
    """Keep a plan in short beside it.

    Args:
        session: the transaction that keeps the plan.
        plan_id, answer: the plan.
    """
    plans.keep_short(session, plan_id, VERSION, to_json(in_short(answer)))


def of_jobs(session: Session, job_ids: Iterable[JobId]) -> Mapping[JobId, InShort]:
    """The plans that jobs go by, in short.

    Args:
        session: a transaction.
        job_ids: of jobs; one without a plan is left out.
    Returns: job's id to its plan.
    """
    found: dict[JobId, InShort] = {}
    for job_id, plan_id, value in plans.shorts(session, tuple(job_ids), VERSION):
        found[job_id] = read(value) if value is not None else in_short(whole(session, plan_id))
    return found


def of_job(session: Session, job_id: JobId) -> InShort | None:
    """The plan that a job goes by, in short; None if it has none."""
    return of_jobs(session, (job_id,)).get(job_id)


@lru_cache(maxsize=1024)
def read(value: str) -> InShort:
    """A plan in short as it was kept."""
    return from_json(value, InShort, where="a plan in short")


def whole(session: Session, plan_id: PlanId) -> PlanAnswer:
    """The plan itself."""
    # Whoever only asks plans in short, as the bench does, does not wait for all that a whole one is made of.
    from steadyrest.desk.plan_part import PlanAnswer

    return plans.plan_value(plans.by_id(session, plan_id), PlanAnswer)


def catch_up(store: Store) -> None:
    """Keep in short every plan that an older steadyrest kept without.

    Args:
        store: an open data folder; others may write between whiles.
    """
    while True:
        with store.reading() as session:
            late = plans.without_short(session, VERSION, most=AT_ONCE)
            made = [(plan_id, to_json(in_short(whole(session, plan_id)))) for plan_id in late]
        if not made:
            return
        with store.writing() as session:
            for plan_id, value in made:
                plans.keep_short(session, plan_id, VERSION, value)
