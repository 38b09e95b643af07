"""What becomes of a job: taken or not, ready, delivered; and what the work taken still asks of the floor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Literal

from steadyrest.desk.floor import clock
from steadyrest.desk.night.step_program import route_by_programs
from steadyrest.desk.pieces.bought import bought
from steadyrest.desk.plan import keeping
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.desk.week.repeats import times_made
from steadyrest.promise.lessons.repeats import unit_ratio
from steadyrest.shop.figure import because
from steadyrest.shop.floor import PromisedPhase, PromisedWork, Shop
from steadyrest.shop.work import Phase, Step
from steadyrest.store import jobs, ledger, touches
from steadyrest.store.ledger import TAKEN
from steadyrest.store.opening import Session, Store
from steadyrest.store.stretches import StepDone
from steadyrest.trouble import BadInput

VERB = "yes or no"
OPEN = ("asked", "planned")
# Why a job was not taken, kept for what later prices learn from it.
WHY_NOT = ("price", "too late", "not our work", "went elsewhere", "no answer", "other")
LONGEST = 500
MOST = Decimal(10**9)
LEAST_S = 300.0
Answer = Literal["promised", "declined", "ready", "delivered"]
# From which states which answer may be given.
FROM: Mapping[Answer, tuple[str, ...]] = {
    "promised": (*OPEN, "declined", "promised"),
    "declined": (*OPEN, "promised"),
    "ready": TAKEN,
    "delivered": (*TAKEN, "ready"),
}


@dataclass(frozen=True, slots=True)
class YesOrNo:
    """What is said to a job. why: one of WHY_NOT where it is declined; words: what else was said.

    due, price: what was agreed where it is taken; None: the time asked for, the offer.
    by_the_hour: it is charged so, and comes to no more than the price, or than the plan says.
    """

    number: int
    answer: Answer
    who: str
    why: str = ""
    words: str = ""
    touch: str = ""
    due: datetime | None = None
    price: Decimal | None = None
    by_the_hour: bool = False


def say_yes_or_no(store: Store, said: YesOrNo, *, now: datetime) -> None:
    """Take a job, or decline it, or say that it is ready or gone; one declined may be taken after all.

    Args:
        store: an open data folder.
        said: what.
        now: aware moment.
    Raises: BadInput: no such job; it has begun, or no route that could be promised; the reason is none of the list.
    """
    if said.answer == "declined" and said.why not in WHY_NOT:
        raise BadInput(where=f"job {said.number}", what="it is not said why.", do=f"Choose: {', '.join(WHY_NOT)}.")
    with store.writing() as session:
        if touches.answered(session, said.touch, verb=VERB) is not None:
            return
        job = jobs.job(session, said.number)
        kept = keeping.kept(session, job) if job is not None else None
        if kept is None:
            raise BadInput(where=f"job {said.number}", what="there is no such job.", do="Look at the bench.")
        _allowed(kept, said, now)
        best = kept.answer.best
        body: dict[str, str | float] = {"words": said.words.strip()[:LONGEST]}
        if said.answer == "declined":
            body["why"] = said.why
        elif said.answer == "promised":
            body |= _agreed(kept, said)
        if best is not None and best.price is not None:
            body["offer"] = best.price.offer.shown()
        ledger.write_down(
            session, job_id=kept.job.id, kind=said.answer, who=said.who, happened=now, told=now, body=body
        )
        touches.keep(session, said.touch, verb=VERB, answer=said.answer, now=now)


def _agreed(kept: KeptJob, said: YesOrNo) -> dict[str, str | float]:
    """By when and for how much; the odds of that time too, as far as the plan says them."""
    due, best = said.due or kept.job.due, kept.answer.best
    body: dict[str, str | float] = {"due": due.isoformat()}
    if said.price is not None:
        body["price"] = str(said.price)
    if said.by_the_hour:
        planned = best.price.by_the_hour if best is not None and best.price is not None else None
        most = said.price if said.price is not None else planned.not_to_exceed.amount if planned is not None else None
        if not most:
            raise BadInput(where=f"job {said.number}", what="it is not said what it will not exceed.",
                           do="Give an amount.")  # fmt: skip
        body["most"] = body["price"] = str(most)
    promise = best.promise if best is not None else None
    if promise is not None:
        sure = promise.can_promise is not None and due >= promise.can_promise
        if sure or due >= promise.due:
            odds = (promise.wanted_odds if sure else 0.0, promise.odds.value if due >= promise.due else 0.0)
            body["odds"] = max(odds)
    return body


def _allowed(kept: KeptJob, said: YesOrNo, now: datetime) -> None:
    where = f"job {said.number}"
    if said.due is not None and said.due <= now:
        raise BadInput(where=where, what="the time agreed is past.", do="Give one still to come.")
    if said.price is not None and not 0 <= said.price <= MOST:
        raise BadInput(where=where, what=f"{said.price} is no price.", do="Give an amount from 0 to 1000000000.")
    if kept.state not in FROM[said.answer]:
        raise BadInput(where=where, what=f"it is {kept.state}.", do="Look at its page for what may be said of it now.")
    if said.answer == "promised" and kept.answer.best is None:
        raise BadInput(
            where=where, what="there is no way to make it here.", do="Read why, change that, and plan it anew."
        )


def taken_work(
    store: Store, shop: Shop, *, now: datetime, late_per_hour: Decimal, but: int | None = None
) -> tuple[PromisedWork, ...]:
    """The jobs that were taken, with what is left of each.

    Args:
        store: an open data folder.
        shop: whose suppliers bring what is bought.
        now: aware moment.
        late_per_hour: what an hour late costs with each.
        but: a job's number that is left out, because it is planned anew.
    Returns: in the order of their numbers; a job with nothing left is not among them.
    """
    with store.reading() as session:
        open_work = [kept for kept in keeping.kept_in(session, TAKEN) if kept.job.number != but]
        far = clock.progress_of(session, [kept.job.id for kept in open_work], now=now)
        again = times_made(session) if shop.habits.repeat_rate != 1.0 else {}
        found = [
            as_again(
                _work(session, kept, shop, far.get(kept.job.id, ()), now=now, late_per_hour=late_per_hour),
                again.get(kept.job.number, ("", 1))[1], shop.habits.repeat_rate,
            )
            for kept in open_work
        ]  # fmt: skip
    return tuple(sorted((one for one in found if one.phases), key=lambda one: int(one.id)))


def _work(
    session: Session, kept: KeptJob, shop: Shop, said_done: Iterable[StepDone], *, now: datetime, late_per_hour: Decimal
) -> PromisedWork:
    best = kept.answer.best
    steps = (
        route_by_programs(session, kept.job.id, best.route, quantity=kept.answer.quantity).steps
        if best is not None
        else ()
    )
    far = {one.step: one for one in said_done}
    phases: list[PromisedPhase] = []
    for number, step in enumerate(steps, 1):
        said = far.get(number)
        if said is None or said.done is None:
            phases += left_of(step, said.worked_s if said is not None else 0.0)
    offer = best.price.offer.rounded().amount if best is not None and best.price is not None else Decimal(0)
    begun = any(one.begun is not None for one in far.values())
    return PromisedWork(
        id=str(kept.job.number),
        what=kept.job.what,
        due=agreed_due(kept),
        late_per_hour=late_per_hour,
        value=offer,
        phases=tuple(phases),
        not_before=None if begun else bought(kept, shop, now=now).here,
    )


def as_again(work: PromisedWork, nth: int, rate: float) -> PromisedWork:
    """Work as it takes the n-th time its part is made: hands go quicker, what a machine does by itself does not.

    Args:
        work: as planned. nth: from 1. rate: what each doubling of the times leaves of the hours.
    Returns: the same the first time.
    """
    ratio = unit_ratio(nth, rate)
    if nth == 1 or ratio == 1.0:
        return work
    phases = tuple(
        replace(one, duration_s=one.duration_s * ratio) if one.who and not one.elsewhere else one for one in work.phases
    )
    return replace(work, phases=phases, why=(*work.why, because("lessons.repeat", nth=f"{nth}", ratio=f"{ratio:.3g}")))


def agreed_due(kept: KeptJob) -> datetime:
    """By when a job was promised: what was agreed when it was taken, else what was asked for."""
    said = [one for one in ledger.standing(kept.entries) if one.kind == "promised"]
    due = said[-1].body.get("due") if said else None
    return datetime.fromisoformat(due) if isinstance(due, str) else kept.job.due


def left_of(step: Step, worked_s: float) -> Iterator[PromisedPhase]:
    """What is left of a step on which people have worked so long already.

    The hours worked count against the phases with hands, the first first; a machine's run before the last of them is
    over too. The last phase with hands is never quite over until somebody says that the step is done.

    Args:
        step: as planned.
        worked_s: people's seconds so far.
    Returns: the phases left, shorter where they are begun.
    """
    last = max((n for n, phase in enumerate(step.phases) if phase.who), default=-1)
    for n, phase in enumerate(step.phases):
        takes = phase.duration_s.value
        if worked_s <= 0:
            yield _phase(step, phase, takes)
        elif not phase.who:
            continue
        elif worked_s < takes or n == last:
            yield _phase(step, phase, max(takes - worked_s, min(takes, LEAST_S)))
            worked_s = 0.0
        else:
            worked_s -= takes


def _phase(step: Step, phase: Phase, takes_s: float) -> PromisedPhase:
    return PromisedPhase(
        machine=None if phase.elsewhere else step.machine, who=phase.who, duration_s=takes_s, spread=phase.spread,
        interruptible=phase.interruptible, max_wait_s=phase.max_wait_s, hand_over=phase.hand_over,
        stop_odds=phase.stop_odds, elsewhere=phase.elsewhere, step=step.id,
    )  # fmt: skip
