"""The shop's own past as quotes: what was planned, what the clock says it took, what was won and lost."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from steadyrest.desk import clock, keeping
from steadyrest.desk.keeping import KeptJob
from steadyrest.promise.lessons.past import Quote, QuotedStep
from steadyrest.store import jobs, ledger
from steadyrest.store.opening import Session, Store

WON = ("promised", "begun", "ready", "delivered", "paid")
LOST_TO_OTHERS = ("price", "went elsewhere")
RIVALS = 1  # as the price assumes where nothing else is known


def own_past(store: Store, *, now: datetime) -> tuple[Quote, ...]:
    """Every job that was won, or lost to others.

    A step counts once somebody said on the clock that it is done; its hours are those of all hands on it.

    Args:
        store: an open data folder.
        now: aware moment.
    Returns: quotes in the order of their jobs' numbers; jobs lost for other reasons, or without hands, are left out.
    """
    with store.reading() as session:
        found = [_quote(session, kept, now) for job in jobs.jobs(session) if (kept := keeping.kept(session, job))]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: int(one.job)))


def _quote(session: Session, kept: KeptJob, now: datetime) -> Quote | None:
    best = kept.answer.best
    won = kept.state in WON
    if best is None or not (won or _lost(session, kept)):
        return None
    done = {one.step for one in clock.progress(session, kept.job.id, now=now) if one.done is not None} if won else set()
    hands: dict[int, Counter[str]] = {}
    for work in clock.job_works(session, kept.job.id, now=now) if won else ():
        if work.step is not None:
            hands.setdefault(work.step, Counter())[work.person] += round(work.worked_s(now))
    steps: list[QuotedStep] = []
    for number, step in enumerate(best.route.steps, 1):
        estimate_s = sum(phase.duration_s.value for phase in step.phases if phase.who)
        if estimate_s <= 0:
            continue
        by = hands.get(number, Counter())
        actual_s = float(by.total()) if number in done and by.total() > 0 else None
        person = by.most_common(1)[0][0] if actual_s is not None else ""
        steps.append(QuotedStep(f"{number}", step.station, person, estimate_s, actual_s))
    return Quote(str(kept.job.number), RIVALS, won, tuple(steps)) if steps else None


def _lost(session: Session, kept: KeptJob) -> bool:
    if kept.state != "declined":
        return False
    said = [one for one in ledger.standing(ledger.entries(session, kept.job.id)) if one.kind == "declined"]
    return said[-1].body.get("why") in LOST_TO_OTHERS
