"""Keep what was planned: the file by its content, the part, the plan and the promise, all or nothing."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from steadyrest.desk.plan import in_short
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.shop.part import Part
from steadyrest.store import jobs, ledger, plans, revisions, states
from steadyrest.store.opening import Session, Store, open_store
from steadyrest.trouble import BadInput

HOUSE = "steadyrest"
MOST_AT_HAND = 128  # plans: about as many as work is open in a busy shop
AT_HAND: dict[str, PlanAnswer] = {}  # by their seals, the one asked for last at the end
AT_HAND_LOCK = threading.Lock()


@dataclass(frozen=True, slots=True)
class KeptJob:
    """A job as kept, with the plan it goes by. readings: by hand; answers: what the visitor said; oldest first.

    stop: the plan is of an older revision of the drawing than the newest; None: it is not. entries: of its ledger.
    """

    job: jobs.Job
    answer: PlanAnswer
    state: str
    readings: tuple[ledger.Entry, ...]
    answers: tuple[ledger.Entry, ...] = ()
    stop: revisions.Stop | None = None
    entries: tuple[ledger.Entry, ...] = ()


def keep(answer: PlanAnswer, *, file: Path, folder: Path, now: datetime, besides: Sequence[Path] = ()) -> int:
    """Keep a new job in a data folder that is opened for it.

    Args:
        answer: the six answers.
        file: what was read.
        folder: the data folder; made if there is none.
        now: aware moment.
        besides: files that this one names: those of the parts of a job of several.
    Returns: the job's number.
    Raises: BadInput: the folder cannot be used.
    """
    store = open_store(folder)
    try:
        named = tuple((one.name, one.read_bytes()) for one in dict.fromkeys(besides))
        return keep_in(store, answer, name=file.name, data=file.read_bytes(), now=now, besides=named)
    finally:
        store.close()


def keep_in(
    store: Store, answer: PlanAnswer, *, name: str, data: bytes, now: datetime,
    besides: Sequence[tuple[str, bytes]] = (),
) -> int:  # fmt: skip
    """Keep a new job.

    Args:
        store: an open data folder.
        answer: the six answers.
        name, data: of the file that was read.
        now: aware moment.
        besides: (name, data) of the files that it names.
    Returns: the job's number.
    """
    # The file is whole on disk before the database names it.
    sha256 = store.files.keep(data)
    others = [(store.files.keep(one), called, len(one)) for called, one in besides]
    with store.writing() as session:
        plans.note_file(session, sha256=sha256, size_bytes=len(data), name=name, kind=answer.part.kind, now=now)
        for digest, called, size in others:
            plans.note_file(session, sha256=digest, size_bytes=size, name=called, kind="solid", now=now)
        job = jobs.open_job(
            session, customer=answer.customer or "not said", what=answer.what or name, due=answer.due,
            charging="hours" if answer.by_hours else "fixed", now=now,
        )  # fmt: skip
        kept = plans.keep_part(session, job_id=job.id, part=answer.part, file_sha256=sha256, now=now)
        keep_plan(session, job, kept.id, answer, now=now)
    return job.number


def keep_plan(session: Session, job: jobs.Job, part_id: plans.PartId, answer: PlanAnswer, *, now: datetime) -> None:
    """Keep a plan of a job and choose it, with its promise for scoring."""
    plan_id = plans.keep_plan(session, job_id=job.id, part_id=part_id, seed=answer.seed, plan=answer, now=now)
    in_short.keep(session, plan_id, answer)
    best = answer.best
    if best is not None and best.promise is not None:
        plans.keep_promise(
            session, job_id=job.id, plan_id=plan_id, due=answer.due, odds=best.promise.odds.value, now=now
        )


def kept_jobs(store: Store) -> tuple[KeptJob, ...]:
    """Every job with a plan, soonest due first."""
    with store.reading() as session:
        found = [kept(session, job) for job in jobs.jobs(session)]
    return tuple(one for one in found if one is not None)


def kept_job(store: Store, number: int) -> KeptJob:
    """The job of this number.

    Args:
        store: an open data folder.
        number: as people say it.
    Returns: the job with its plan.
    Raises: BadInput: there is none.
    """
    with store.reading() as session:
        job = jobs.job(session, number)
        found = kept(session, job) if job is not None else None
    if found is None:
        raise BadInput(where=f"job {number}", what="there is no such job.", do="Look at the bench for those there are.")
    return found


def plan_before(store: Store, number: int) -> PlanAnswer | None:
    """The plan that a job went by before its present one; None if the present one is its first."""
    with store.reading() as session:
        job = jobs.job(session, number)
        found = plans.plans(session, job.id) if job is not None else ()
    chosen = next((k for k, plan in enumerate(found) if plan.chosen), 0)
    return plans.plan_value(found[chosen - 1], PlanAnswer) if chosen > 0 else None


def open_numbers(store: Store) -> tuple[int, ...]:
    """The numbers of the jobs that are not over."""
    with store.reading() as session:
        return tuple(job.number for job, _ in jobs.in_states(session, states.OPEN))


def kept_in(session: Session, which: Sequence[str]) -> tuple[KeptJob, ...]:
    """The jobs with a plan that are in one of these states, whole, soonest due first.

    Args:
        session: a transaction.
        which: states.
    Returns: jobs.
    """
    found = jobs.in_states(session, which)
    ids = [job.id for job, _ in found]
    entries, chosen = ledger.entries_of(session, ids), plans.chosen_of(session, ids)
    return tuple(_kept(session, job, entries.get(job.id, ()), chosen[job.id]) for job, _ in found if job.id in chosen)


def kept(session: Session, job: jobs.Job) -> KeptJob | None:
    chosen = plans.chosen_of(session, (job.id,)).get(job.id)
    return None if chosen is None else _kept(session, job, ledger.entries(session, job.id), chosen)


def _kept(session: Session, job: jobs.Job, entries: tuple[ledger.Entry, ...], chosen: plans.Chosen) -> KeptJob:
    readings, answers = (
        tuple(entry for entry in ledger.standing(entries) if entry.kind == kind) for kind in ("reading", "answer")
    )
    stop = revisions.stop_of(session, entries, chosen.part_id)
    return KeptJob(job, whole(session, chosen), ledger.job_state(entries), readings, answers, stop, entries)


def whole(session: Session, chosen: plans.Chosen) -> PlanAnswer:
    """A plan as the value it was, from memory where it was asked for lately: a plan never changes.

    Args:
        session: a transaction.
        chosen: the plan, by its seal: no other plan in any folder has it.
    Returns: the plan.
    """
    seal = chosen.seal
    with AT_HAND_LOCK:
        known = AT_HAND.pop(seal, None) if seal else None
        if known is not None:
            AT_HAND[seal] = known  # the last asked for is the last to go
            return known
    made = plans.plan_value(plans.by_id(session, chosen.plan_id), PlanAnswer)
    with AT_HAND_LOCK:
        AT_HAND[seal] = made
        while len(AT_HAND) > MOST_AT_HAND:
            del AT_HAND[next(iter(AT_HAND))]
    return made


@lru_cache(maxsize=8)
def plan_value(plan: plans.KeptPlan) -> PlanAnswer:
    """A kept plan as the value it was."""
    return plans.plan_value(plan, PlanAnswer)


def newest_part(session: Session, job: jobs.Job) -> Part:
    """The newest revision of the job's part."""
    return plans.parts(session, job.id)[-1].part
