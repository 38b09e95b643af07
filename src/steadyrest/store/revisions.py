"""Revisions of a job's drawing: entries of its ledger, and which one the plan that it goes by was made from.

The first file of a job has no entry: it is what the job was taken in with. A plan is made from a part, a part was read
from a file; where that is not the newest revision's, nobody may go on making by that plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from steadyrest.store import ledger, schema
from steadyrest.store.jobs import JobId
from steadyrest.store.ledger import Entry, EntryId
from steadyrest.store.opening import Session
from steadyrest.store.plans import KeptPart, PartId
from steadyrest.trouble import BadInput

KIND, STRUCK = "revision", "revision struck"
FIRST = "as first handed in"


@dataclass(frozen=True, slots=True)
class Revision:
    """A revision as handed in. name: as the drawing calls it, such as B. file: its name; sha256: what is kept.

    unit, body: how the file is to be read, "" where it says so itself. words: what the customer said with it.
    """

    entry: EntryId
    name: str
    sha256: str
    file: str
    unit: str
    body: str
    words: str
    who: str
    when: datetime


@dataclass(frozen=True, slots=True)
class Stop:
    """Nobody goes on by this plan. revision: the newest one. planned_from: the one that the plan was made from."""

    revision: str
    planned_from: str
    since: datetime


def note(
    session: Session, job_id: JobId, *, name: str, sha256: str, file: str, unit: str, body: str, words: str, who: str,
    now: datetime,
) -> Revision:  # fmt: skip
    """Write down that a revision came in. From now on plans of an older one are stopped.

    Args:
        session: a writing transaction; the file is noted before.
        job_id: the job.
        name, sha256, file, unit, body, words, who: as Revision's.
        now: aware moment.
    Returns: the revision.
    """
    said = {"name": name, "sha256": sha256, "file": file, "unit": unit, "body": body, "words": words}
    made = ledger.write_down(session, job_id=job_id, kind=KIND, who=who, happened=now, told=now, body=said)
    return of_entry(made)


def strike(session: Session, job_id: JobId, revision: Revision, *, words: str, who: str, now: datetime) -> None:
    """Write down that a revision was handed in by mistake: the one before it is the newest again."""
    ledger.write_down(
        session, job_id=job_id, kind=STRUCK, who=who, happened=now, told=now,
        body={"name": revision.name, "words": words}, replaces=revision.entry,
    )  # fmt: skip


def of_entry(entry: Entry) -> Revision:
    """A revision from its entry."""
    name, sha256, file, unit, body, words = (
        str(entry.body.get(key) or "") for key in ("name", "sha256", "file", "unit", "body", "words")
    )
    return Revision(entry.id, name, sha256, file, unit, body, words, entry.who, entry.told)


def revised(session: Session) -> frozenset[int]:
    """The ids of the jobs to which a revision ever came in: the plans of all others go by their only file."""
    row = schema.ledger.c
    return frozenset(int(one) for one in session.execute(select(row.job_id).where(row.kind == KIND)).scalars())


def revisions(entries: Iterable[Entry]) -> tuple[Revision, ...]:
    """The revisions among a job's entries, the oldest first; those struck are left out."""
    standing = sorted(ledger.standing(entries), key=lambda one: one.id)
    return tuple(of_entry(one) for one in standing if one.kind == KIND)


def stop_of(session: Session, entries: Iterable[Entry], part_id: PartId) -> Stop | None:
    """Whether a plan is of an older revision than the newest.

    Args:
        session: a transaction.
        entries: of the job.
        part_id: that the plan was made from.
    Returns: the stop; None where the plan is of the newest, or there is but the first.
    """
    all_entries = tuple(entries)
    if not any(one.kind in (KIND, STRUCK) for one in all_entries):
        return None
    found = revisions(all_entries)
    part = schema.part.c
    row = session.execute(select(part.file_sha256, part.job_id).where(part.id == part_id)).one()
    newest = found[-1].sha256 if found else first_file(session, JobId(row.job_id))
    if row.file_sha256 == newest:
        return None
    planned = [one for one in all_entries if one.kind == KIND and one.body.get("sha256") == row.file_sha256]
    since = max(one.told for one in all_entries if one.kind in (KIND, STRUCK))
    return Stop(found[-1].name if found else FIRST, str(planned[-1].body["name"]) if planned else FIRST, since)


def first_file(session: Session, job_id: JobId) -> str | None:
    """The file that a job was taken in with."""
    part = schema.part.c
    asked = select(part.file_sha256).where(part.job_id == job_id).order_by(part.id).limit(1)
    return session.execute(asked).scalar()


def read_from(parts: Iterable[KeptPart], sha256: str) -> KeptPart:
    """The newest part read from a file.

    Raises: BadInput: it is not read yet, or could not be.
    """
    found = [one for one in parts if one.file_sha256 == sha256]
    if not found:
        raise BadInput(
            where="the revision", what="its file is not read yet, or could not be.",
            do="Look on the bench what was said of it; hand it in again if need be.",
        )  # fmt: skip
    return found[-1]
