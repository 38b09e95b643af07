"""What happened: append-only entries with when it happened and when we were told, and what they add up to.

A correction is a new entry that replaces an old one; the database itself refuses to change or delete one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import NewType

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.plans import PromiseId, promises
from steadyrest.store.rows import add
from steadyrest.store.states import STATES
from steadyrest.store.states import TAKEN as TAKEN
from steadyrest.trouble import BadInput

EntryId = NewType("EntryId", int)
Body = Mapping[str, str | float | int | bool | None]


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry. kind: a word of STATES, or "reading", "step done" and the like. who: a person's id."""

    id: EntryId
    job_id: JobId | None
    kind: str
    who: str
    happened: datetime
    told: datetime
    body: Body
    replaces: EntryId | None


@dataclass(frozen=True, slots=True)
class Score:
    """A promise beside what happened. kept: None while the job is not delivered and its time not past."""

    promise_id: PromiseId
    odds: float
    due: datetime
    delivered: datetime | None
    kept: bool | None


def write_down(
    session: Session,
    *,
    job_id: JobId | None,
    kind: str,
    who: str,
    happened: datetime,
    told: datetime,
    body: Body | None = None,
    replaces: EntryId | None = None,
) -> Entry:
    """Add an entry.

    Args:
        session: a writing transaction.
        job_id: the job, or None for what concerns the whole shop.
        kind, who, body: what, by whom, and its data.
        happened, told: aware moments; told not before it happened.
        replaces: the entry that this one corrects.
    Returns: the entry as kept.
    Raises: BadInput: told before it happened, or the entry to replace is not there, or is replaced already.
    """
    if told < happened:
        what = f"happened {happened.isoformat()}, after it was told ({told.isoformat()})."
        raise BadInput(where=f"entry {kind!r}", what=what, do="Check the two moments.")
    row = schema.ledger
    if replaces is not None:
        old = session.execute(select(row.c.job_id).where(row.c.id == replaces)).first()
        again = session.execute(select(row.c.id).where(row.c.replaces == replaces)).scalar()
        if old is None or old.job_id != job_id:
            raise BadInput(where=f"entry {replaces}", what="is no entry of this job.", do="Choose one from its list.")
        if again is not None:
            what = f"is replaced already, by entry {again}."
            raise BadInput(where=f"entry {replaces}", what=what, do="Correct that one.")
    content = dict(body or {})
    made = add(
        session,
        row,
        job_id=job_id,
        kind=kind,
        who=who,
        happened=happened,
        told=told,
        body=json.dumps(content, ensure_ascii=False, allow_nan=False, sort_keys=True),
        replaces=replaces,
    )
    return Entry(EntryId(made), job_id, kind, who, happened, told, content, replaces)


def entries(session: Session, job_id: JobId | None) -> tuple[Entry, ...]:
    """Every entry of a job (or of the whole shop: None) in the order it was told, corrected ones included."""
    row = schema.ledger
    found = session.execute(
        select(row).where(row.c.job_id.is_(job_id) if job_id is None else row.c.job_id == job_id).order_by(row.c.id)
    )
    return tuple(
        Entry(EntryId(e.id), e.job_id, e.kind, e.who, e.happened, e.told, json.loads(e.body), e.replaces) for e in found
    )


def entries_of(session: Session, job_ids: Iterable[JobId]) -> dict[JobId, tuple[Entry, ...]]:
    """Every entry of each of many jobs, as `entries` gives them for one; a job without any is left out."""
    row = schema.ledger
    found: dict[JobId, list[Entry]] = {}
    of = tuple(job_ids)
    for begin in range(0, len(of), 500):
        asked = select(row).where(row.c.job_id.in_(of[begin : begin + 500])).order_by(row.c.id)
        for e in session.execute(asked):
            one = Entry(EntryId(e.id), e.job_id, e.kind, e.who, e.happened, e.told, json.loads(e.body), e.replaces)
            found.setdefault(JobId(e.job_id), []).append(one)
    return {job: tuple(told) for job, told in found.items()}


def of_kinds(session: Session, kinds: Iterable[str], *, job_id: JobId | None = None) -> tuple[Entry, ...]:
    """What stands after corrections of some kinds, in the order it happened.

    Args:
        session: a transaction.
        kinds: words.
        job_id: a job's; None: those about the whole shop.
    Returns: entries.
    """
    row, later = schema.ledger, schema.ledger.alias()
    about = row.c.job_id.is_(None) if job_id is None else row.c.job_id == job_id
    replaced = select(later.c.id).where(later.c.replaces == row.c.id).exists()
    asked = select(row).where(row.c.kind.in_(tuple(kinds)), about, ~replaced).order_by(row.c.happened, row.c.id)
    return tuple(
        Entry(EntryId(e.id), e.job_id, e.kind, e.who, e.happened, e.told, json.loads(e.body), e.replaces)
        for e in session.execute(asked)
    )


def last_of_kinds(session: Session, kinds: Iterable[str], job_ids: Iterable[JobId]) -> dict[JobId, Entry]:
    """Of each of many jobs the entry of some kinds that happened last; what is corrected is left out.

    Args:
        session: a transaction.
        kinds: words.
        job_ids: of jobs; one without such an entry is left out.
    Returns: job's id to the entry.
    """
    row, later = schema.ledger, schema.ledger.alias()
    replaced = select(later.c.id).where(later.c.replaces == row.c.id).exists()
    found: dict[JobId, Entry] = {}
    of = tuple(job_ids)
    for begin in range(0, len(of), 500):
        asked = (
            select(row)
            .where(row.c.kind.in_(tuple(kinds)), row.c.job_id.in_(of[begin : begin + 500]), ~replaced)
            .order_by(row.c.happened, row.c.id)
        )
        for e in session.execute(asked):
            body = json.loads(e.body)
            found[JobId(e.job_id)] = Entry(EntryId(e.id), e.job_id, e.kind, e.who, e.happened, e.told, body, e.replaces)
    return found


def standing(all_entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """What stands after corrections, in the order it happened."""
    kept = tuple(all_entries)
    replaced = {entry.replaces for entry in kept}
    return tuple(sorted((e for e in kept if e.id not in replaced), key=lambda e: (e.happened, e.id)))


def job_state(all_entries: Iterable[Entry]) -> str:
    """A job's state: the word of STATES that happened last; "asked" if none did."""
    return next((e.kind for e in reversed(standing(all_entries)) if e.kind in STATES), "asked")


def scores(session: Session, now: datetime) -> tuple[Score, ...]:
    """Every promise beside what happened.

    Args:
        session: a transaction.
        now: a promise whose time is past at this moment is broken if nothing was delivered.
    Returns: one score a promise, oldest first.
    """
    delivered: dict[JobId, datetime] = {}
    found: list[Score] = []
    for promise in promises(session):
        if promise.job_id not in delivered:
            for entry in standing(entries(session, promise.job_id)):
                if entry.kind == "delivered":
                    delivered.setdefault(promise.job_id, entry.happened)
        done = delivered.get(promise.job_id)
        kept = done <= promise.due if done else (False if now > promise.due else None)
        found.append(Score(promise.id, promise.odds, promise.due, done, kept))
    return tuple(found)
