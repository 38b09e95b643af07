"""The clock's entries: who began what, who stopped, when it happened, when we were told, and by whom.

Only ever added to. A correction is an entry that replaces another; "struck" replaces one with nothing. What they come
to stands in stretches.py.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NewType

from sqlalchemy import func, select

from steadyrest.store import schema
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.rows import add
from steadyrest.trouble import BadInput

ClockId = NewType("ClockId", int)
# start: this, and nothing else. beside: this too. stop: this, or everything. done: this step is finished.
Kind = Literal["start", "beside", "stop", "done", "note", "struck"]
LONGEST_WORDS = 2000
LATER = schema.clock.alias()  # an entry that corrects another


@dataclass(frozen=True, slots=True)
class ClockEntry:
    """One entry. job_id, step: what it is about; None: nothing in particular. who: told it."""

    id: ClockId
    person: str
    job_id: JobId | None
    step: int | None
    kind: Kind
    happened: datetime
    told: datetime
    who: str
    words: str = ""
    file_sha256: str | None = None
    replaces: ClockId | None = None


def write(
    session: Session,
    *,
    person: str,
    kind: Kind,
    happened: datetime,
    told: datetime,
    who: str,
    job_id: JobId | None = None,
    step: int | None = None,
    words: str = "",
    file_sha256: str | None = None,
    replaces: ClockId | None = None,
) -> ClockEntry:
    """Add an entry.

    Args:
        session: a writing transaction.
        person: whose time it is. who: told it.
        kind, job_id, step: what happened, to what.
        happened, told: aware moments; told not before it happened.
        words, file_sha256: a note, and a photo kept and noted before.
        replaces: the entry that this one corrects.
    Returns: the entry as kept.
    Raises: BadInput: it is said to happen later than now, or the entry to correct is not there, or corrected already.
    """
    if told < happened:
        what = f"{happened.isoformat(timespec='minutes')} is still to come."
        raise BadInput(where="the clock", what=what, do="Say when it happened.")
    if len(words) > LONGEST_WORDS:
        raise BadInput(where="note", what="it is too long.", do=f"Keep it under {LONGEST_WORDS} signs.")
    if replaces is not None:
        correctable(session, replaces)
    made = add(
        session, schema.clock, person=person, job_id=job_id, step=step, kind=kind, happened=happened, told=told,
        who=who, words=words, file_sha256=file_sha256, replaces=replaces,
    )  # fmt: skip
    return ClockEntry(ClockId(made), person, job_id, step, kind, happened, told, who, words, file_sha256, replaces)


def correctable(session: Session, entry_id: ClockId) -> ClockEntry:
    """The entry of this number, if it still stands. Raises: BadInput: it is not there, or corrected already."""
    row = schema.clock
    found = session.execute(select(row).where(row.c.id == entry_id)).first()
    if found is None or found.kind == "struck":
        raise BadInput(where=f"entry {entry_id}", what="there is no such entry.", do="Look at `steadyrest clock list`.")
    later = session.execute(select(row.c.id).where(row.c.replaces == entry_id)).scalar()
    if later is not None:
        raise BadInput(
            where=f"entry {entry_id}", what=f"is corrected already, by entry {later}.", do="Correct that one."
        )
    return ClockEntry(*found)


def entries(
    session: Session,
    *,
    person: str | None = None,
    job_id: JobId | None = None,
    since: datetime | None = None,
    until: datetime | None = None,
) -> tuple[ClockEntry, ...]:
    """Entries in the order they were told, corrected ones included unless `since` or `until` is given.

    Args:
        session: a transaction.
        person, job_id: only theirs; None: anybody's, any.
        since, until: only what happened from this moment on, and up to that one; None: all.
    Returns: entries.
    """
    row = schema.clock.c
    asked = select(schema.clock).order_by(row.id)
    if person is not None:
        asked = asked.where(row.person == person)
    if job_id is not None:
        asked = asked.where(row.job_id == job_id)
    if since is not None:
        asked = asked.where(row.happened >= since)
    if until is not None:
        asked = asked.where(row.happened <= until)
    if since is not None or until is not None:
        # Without those corrected since: what corrects them may have happened outside of these moments.
        asked = asked.where(~select(LATER.c.id).where(LATER.c.replaces == row.id).exists())
    return tuple(ClockEntry(*found) for found in session.execute(asked))


def of_jobs(session: Session, job_ids: Iterable[JobId]) -> dict[JobId, list[ClockEntry]]:
    """The entries about each of these jobs in the order they were told, corrected ones included; none: left out."""
    found: dict[JobId, list[ClockEntry]] = {}
    of, row = tuple(job_ids), schema.clock.c
    for begin in range(0, len(of), 500):
        asked = select(schema.clock).where(row.job_id.in_(of[begin : begin + 500])).order_by(row.id)
        for one in session.execute(asked):
            found.setdefault(JobId(one.job_id), []).append(ClockEntry(*one))
    return found


def jobs_lately(session: Session, person: str, *, since: datetime) -> list[JobId]:
    """The jobs that a person's entries were about since a moment, the one told last first, each once."""
    row = schema.clock.c
    asked = (
        select(row.job_id)
        .where(row.person == person, row.happened >= since, row.job_id.is_not(None))
        .group_by(row.job_id)
        .order_by(func.max(row.id).desc())
    )
    return [JobId(one) for one in session.execute(asked).scalars() if one is not None]


def steps_done(session: Session, job_ids: Iterable[JobId]) -> dict[JobId, set[int]]:
    """The steps of jobs that somebody said are finished, and nobody went on with since.

    Args:
        session: a transaction.
        job_ids: of jobs.
    Returns: job's id to numbers of steps; a job without any is left out.
    """
    found: dict[JobId, set[int]] = {}
    of = tuple(job_ids)
    for begin in range(0, len(of), 500):
        some = tuple(int(one) for one in of[begin : begin + 500])
        # Of the entries about one step, SQLite gives the kind of the one with the largest moment.
        asked = (
            "SELECT job_id, step, kind, max(happened || printf(' %012d', id)) FROM clock c "
            f"WHERE job_id IN ({', '.join('?' * len(some))}) AND step IS NOT NULL "
            "AND kind IN ('start', 'beside', 'done') "
            "AND NOT EXISTS (SELECT 1 FROM clock later WHERE later.replaces = c.id) GROUP BY job_id, step"
        )
        for job_id, step, kind, _ in session.exec_driver_sql(asked, some):
            if kind == "done":
                found.setdefault(JobId(job_id), set()).add(int(step))
    return found


def idle_since(session: Session, person: str, *, before: datetime) -> datetime | None:
    """A moment, not after `before`, from which on a person's entries alone say what runs later.

    Args:
        session: a transaction.
        person: whose.
        before: aware moment.
    Returns: when everything was stopped, or something was started that did not run already; None: at their first.
    """
    row = schema.clock.c
    backward = (
        select(row.happened, row.kind, row.job_id, row.step)
        .where(
            row.person == person, row.happened <= before, row.kind.in_(("start", "beside", "stop")),
            (row.kind != "stop") | row.job_id.is_(None),
            ~select(LATER.c.id).where(LATER.c.replaces == row.id).exists(),
        )
        .order_by(row.happened.desc(), row.id.desc())
    )  # fmt: skip
    fresh: datetime | None = None
    about: tuple[int | None, int | None] = (None, None)
    for happened, kind, *what in session.execute(backward):
        same = fresh is not None and kind != "stop" and tuple(what) == about
        if same or fresh is None:
            # A start of what ran already goes on with it; what was begun beside may have begun while other things ran.
            if kind == "stop":
                return happened
            fresh, about = (happened if kind == "start" else None), (what[0], what[1])
        elif kind != "beside":
            return fresh
    return fresh


def idle_after(session: Session, person: str, *, after: datetime) -> datetime | None:
    """The first moment after another at which all that ran of a person ended; None if that has not been yet."""
    row = schema.clock.c
    return session.execute(
        select(row.happened)
        .where(
            row.person == person, row.happened > after, row.kind.in_(("start", "stop")),
            (row.kind == "start") | row.job_id.is_(None),
            ~select(LATER.c.id).where(LATER.c.replaces == row.id).exists(),
        )
        .order_by(row.happened, row.id)
        .limit(1)
    ).scalar()  # fmt: skip


def standing(all_entries: Iterable[ClockEntry]) -> tuple[ClockEntry, ...]:
    """What stands after corrections, in the order it happened."""
    kept = tuple(all_entries)
    replaced = {entry.replaces for entry in kept}
    left = (entry for entry in kept if entry.id not in replaced and entry.kind != "struck")
    return tuple(sorted(left, key=lambda entry: (entry.happened, entry.id)))
