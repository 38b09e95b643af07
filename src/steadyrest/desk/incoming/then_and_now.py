"""A part that came back, beside the job that it came as before: what changed, what was noted, the price then and now.

Its programs and fixtures are those that were said to be used for it, and those that have its number in their name.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.floor import clock
from steadyrest.desk.night import step_program
from steadyrest.desk.plan import keeping
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.part.compared.difference import Difference, difference
from steadyrest.store import clock as clock_entries
from steadyrest.store import jobs, ledger, releases, things
from steadyrest.store.jobs import Job
from steadyrest.store.opening import Session, Store
from steadyrest.store.things import Thing
from steadyrest.trouble import BadInput

PRICED = ("promised",)


@dataclass(frozen=True, slots=True)
class Note:
    """Something that was noted at the clock. photo: its hash, or ""."""

    words: str
    who: str
    when: datetime
    photo: str


@dataclass(frozen=True, slots=True)
class Took:
    """What a job took. price: agreed, else offered, "" if neither. planned_s, worked_s: with hands; 0: not known."""

    kept: KeptJob
    price: str
    planned_s: float
    worked_s: float


@dataclass(frozen=True, slots=True)
class ThenAndNow:
    """differs: from the part then to the part now. programs: (file, machine, when) that made its steps or are called
    after the older job, the newest first. fixtures: used for it, or that name it."""

    then: Took
    now: Took
    differs: Difference
    notes: tuple[Note, ...]
    programs: tuple[tuple[str, str, datetime], ...]
    fixtures: tuple[Thing, ...]


def then_and_now(store: Store, number: int, before: int, *, now: datetime) -> ThenAndNow:
    """A job beside an older one.

    Args:
        store: an open data folder.
        number: the job's. before: the older one's.
        now: aware moment.
    Returns: both, and what the older one left behind.
    Raises: BadInput: no such job, or one of them is of several parts.
    """
    with store.reading() as session:
        then, is_now = (took(session, one, now=now) for one in (before, number))
        told = clock_entries.entries(session, job_id=then.kept.job.id)
        replaced = {one.replaces for one in told}
        notes = tuple(
            Note(one.words, one.person, one.happened, one.file_sha256 or "")
            for one in told
            if (one.words or one.file_sha256) and one.id not in replaced and one.kind != "struck"
        )
        ran = programs(session, then.kept.job)
        fixtures = tuple(
            one for one in things.things(session)
            if one.kind in ("fixture", "mould") and not one.gone
            and (before in one.jobs or names(before, (one.name, one.words, one.condition)))
        )  # fmt: skip
    differs = difference(then.kept.answer.part, is_now.kept.answer.part)
    return ThenAndNow(then, is_now, differs, notes, ran, fixtures)


def took(session: Session, number: int, *, now: datetime) -> Took:
    """What a job took. Raises: BadInput: there is none, or it is of several parts."""
    job = jobs.job(session, number)
    kept = keeping.kept(session, job) if job is not None else None
    if job is None or kept is None:
        raise BadInput(where=f"job {number}", what="there is no such job.", do="Look at the bench.")
    if kept.answer.joined is not None:
        raise BadInput(where=f"job {number}", what="it is of several parts.", do="Compare them part by part.")
    best = kept.answer.best
    said = [one for one in ledger.standing(ledger.entries(session, job.id)) if one.kind in PRICED]
    agreed = said[-1].body.get("price") or said[-1].body.get("offer") if said else None
    offered = best.price.offer.shown() if best is not None and best.price is not None else ""
    planned = sum(p.duration_s.value for step in best.route.steps for p in step.phases if p.who) if best else 0.0
    worked = sum(one.worked_s(now) for one in clock.job_works(session, job.id, now=now))
    return Took(kept, str(agreed or offered), planned, worked)


def programs(session: Session, job: Job) -> tuple[tuple[str, str, datetime], ...]:
    """The programs that made a job's steps, and those called after it, each once, the newest first."""
    found: dict[tuple[str, str], datetime] = {}
    for one in ledger.standing(ledger.entries(session, job.id)):
        if one.kind == step_program.KIND:
            found[str(one.body.get("program")), str(one.body.get("machine"))] = one.happened
    for kind in (releases.CHECKED, releases.RELEASED):
        for one in releases.all_of(session, kind):
            if names(job.number, (one.program,)):
                found[one.program, one.machine] = max(one.when, found.get((one.program, one.machine), one.when))
    newest = sorted(found.items(), key=lambda pair: pair[1], reverse=True)
    return tuple((program, machine, when) for (program, machine), when in newest)


def names(number: int, texts: Iterable[str]) -> bool:
    """Whether any of the texts names a job by its number, standing by itself."""
    return any(re.search(rf"(?<![0-9]){number}(?![0-9])", text) for text in texts)
