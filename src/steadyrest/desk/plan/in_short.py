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
    from steadyrest.desk.plan.plan_part import PlanAnswer
    from steadyrest.price.answer import Price
    from steadyrest.shop.floor import Shop

VERSION = 2
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
class CostShort:
    """What the job costs the shop, as foretold. cash: money that goes out; machines: at what they cost, mean.

    per_hour: what each person's hour cost then, by id.
    """

    p10: float
    p50: float
    p90: float
    cash: float
    machines: float
    per_hour: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class InShort:
    """take: the answer, "yes", "no" or "yes if". steps: of the way chosen. offer, rates: asked, and by the rates alone.

    promise, offer, rates, hours_s: None where nothing can be made, promised or priced. hours_s, sigma: people's hours,
    mean, and the sd of their logarithm. cost: None where nothing is priced.
    """

    take: str
    due: datetime
    steps: tuple[StepShort, ...]
    promise: PromiseShort | None
    offer: float | None
    rates: float | None
    hours_s: float | None = None
    sigma: float = 0.0
    cost: CostShort | None = None


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
        cost=_cost(price, answer.shop) if price is not None else None,
    )


def _cost(price: Price, shop: Shop) -> CostShort:
    machines = {one.name for one in shop.machines}
    return CostShort(
        p10=price.cost_p10.value,
        p50=price.cost_p50.value,
        p90=price.cost_p90.value,
        cash=sum((float(line.amount.amount) for line in price.cash), 0.0),
        machines=sum(
            (float(one.amount.amount) for one in price.at_cost if dict(one.what.given).get("who") in machines), 0.0
        ),
        per_hour=tuple((one.id, float(one.per_hour)) for one in shop.people),
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
    from steadyrest.desk.plan.plan_part import PlanAnswer

    return plans.plan_value(plans.by_id(session, plan_id), PlanAnswer)


def catch_up(store: Store) -> bool:
    """Keep in short some of the plans that an older steadyrest kept without; whoever asks for one before waits for it.

    Args:
        store: an open data folder; others may write between whiles.
    Returns: whether there were any; then there may be more.
    """
    with store.reading() as session:
        late = plans.without_short(session, VERSION, most=AT_ONCE)
        made = [(plan_id, to_json(in_short(whole(session, plan_id)))) for plan_id in late]
    if made:
        with store.writing() as session:
            for plan_id, value in made:
                plans.keep_short(session, plan_id, VERSION, value)
    return bool(made)
