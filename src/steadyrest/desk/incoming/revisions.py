"""A new revision of a job's drawing: handed in, read, laid beside the one before, and planned anew from.

From the moment that it is handed in, the plan of the older one is stopped (on the job's page and sheet, today, at the
clock), whether or not the new file can be read: what is known is that the customer wants another part.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from steadyrest.desk.accounts import credit
from steadyrest.desk.incoming import read_part
from steadyrest.desk.plan import keeping, plan_part
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.part.compared.difference import Difference, difference
from steadyrest.part.flat.thickness import with_thickness
from steadyrest.shop.part import Part
from steadyrest.store import jobs, ledger, plans, touches, work_queue
from steadyrest.store import revisions as kept_revisions
from steadyrest.store.jobs import Job
from steadyrest.store.opening import Session, Store
from steadyrest.store.revisions import FIRST, Revision, Stop
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stopped, Workers
from steadyrest.workers.running import Stop as ShallStop

READ_KIND, PLAN_KIND, VERB = "read a revision", "plan a revision", "revision"
LONGEST_NAME, LONGEST = 40, 500
UNITS = ("", "mm", "in", "m")


@dataclass(frozen=True, slots=True)
class Typed:
    """What comes with a revision, as typed. name: as the drawing calls it. touch: of the form: it counts once."""

    name: str
    who: str
    unit: str = ""
    body: str = ""
    words: str = ""
    touch: str = ""


@dataclass(frozen=True, slots=True)
class Beside:
    """A revision beside the one before. revision: None for the first file. part: None while it is not read.

    difference: from the one before; None for the first, and while either is not read.
    """

    revision: Revision | None
    name: str
    before: str
    part: Part | None
    difference: Difference | None


@dataclass(frozen=True, slots=True)
class History:
    """A job's drawings, the oldest first. plan_before: of an older revision, where the present plan is of the newest.

    reading: tasks of this job that wait or run.
    """

    kept: KeptJob
    beside: tuple[Beside, ...]
    stop: Stop | None
    plan_before: PlanAnswer | None
    reading: tuple[int, ...]


def hand_in(store: Store, number: int, typed: Typed, file: str, data: bytes, *, now: datetime) -> int:
    """Keep a revision and put its reading into the queue; the plan of the older one is stopped from now on.

    Args:
        store: an open data folder.
        number: the job's.
        typed: what comes with it.
        file, data: the file's name and bytes.
        now: aware moment.
    Returns: the task's id.
    Raises: BadInput: no such job, it is of several parts, no name, a name or a file that it has already.
    """
    name = " ".join(typed.name.split())[:LONGEST_NAME]
    if not data:
        raise BadInput(where=file or "the file", what="the file is empty.", do="Choose the file once more.")
    if not name:
        raise BadInput(where="revision", what="it has no name.", do="Write what the drawing calls it, such as B.")
    if typed.unit not in UNITS:
        raise BadInput(where="unit", what=f"{typed.unit[:20]!r} is no unit.", do="Choose mm, in or m.")
    body_of(typed.body)
    sha256 = store.files.keep(data)
    with store.writing() as session:
        before = touches.answered(session, typed.touch, verb=VERB)
        if before is not None:
            return int(before)
        job, _ = found(session, number)
        known = kept_revisions.revisions(ledger.entries(session, job.id))
        newest = known[-1].sha256 if known else kept_revisions.first_file(session, job.id)
        if any(one.name.casefold() == name.casefold() for one in known):
            raise BadInput(where=f"revision {name}", what="this job has one of that name.", do="Give the next name.")
        if newest == sha256:
            raise BadInput(where=file, what="it is the file that is newest already.", do="Choose the changed one.")
        plans.note_file(session, sha256=sha256, size_bytes=len(data), name=file, kind="handed in", now=now)
        kept_revisions.note(
            session, job.id, name=name, sha256=sha256, file=file, unit=typed.unit, body=typed.body,
            words=typed.words.strip()[:LONGEST], who=typed.who, now=now,
        )  # fmt: skip
        task = ask(session, READ_KIND, job, sha256=sha256, file=file, unit=typed.unit, body=typed.body, now=now)
        touches.keep(session, typed.touch, verb=VERB, answer=str(task), now=now)
    return task


def ask(session: Session, kind: str, job: Job, *, now: datetime, file: str = "", **more: str) -> int:
    """Put work on a revision into the queue; its id."""
    asked = {"job": job.number, "name": file or f"job {job.number}", "what": job.what, "now": now.isoformat(), **more}
    return int(work_queue.ask(session, kind=kind, asked=json.dumps(asked), now=now))


def body_of(text: str) -> int | None:
    """Which body of the file is meant; None where nothing was said."""
    if text and not (text.isascii() and text.isdecimal() and 1 <= len(text) <= 4 and int(text) > 0):
        raise BadInput(where="body", what=f"{text[:20]!r} is no number.", do="Count from 1, or leave it empty.")
    return int(text) if text else None


def found(session: Session, number: int) -> tuple[Job, KeptJob]:
    """The job with its plan. Raises: BadInput: there is none, or it is of several parts."""
    job = jobs.job(session, number)
    kept = keeping.kept(session, job) if job is not None else None
    if job is None or kept is None:
        raise BadInput(where=f"job {number}", what="there is no such job.", do="Look at the bench for those there are.")
    if kept.answer.joined is not None:
        raise BadInput(
            where=f"job {number}", what="it is of several parts, each with a file of its own.",
            do="Put the parts list in again with the changed file; say no to the older job.",
        )  # fmt: skip
    return job, kept


def read(
    store: Store, asked: Mapping[str, Any], *, now: datetime, progress: Progress, stop: ShallStop,
    workers: Workers | None = None,
) -> int:  # fmt: skip
    """Read a revision of the queue and keep its part beside the older ones.

    Args:
        store: an open data folder.
        asked: as it was put in.
        now: aware moment.
        progress: told what is being done and how far it is. stop: asked now and then; True ends it.
        workers: a process that stands ready.
    Returns: the job's number.
    Raises: BadInput: no part, no unit, or several bodies. Stopped: stop said so; then nothing is kept.
    """
    part = read_part.read_part(
        store.files.path(asked["sha256"]), name=asked["name"], unit=asked["unit"] or None, body=body_of(asked["body"]),
        grid=True, progress=progress, stop=stop, workers=workers,
    )  # fmt: skip
    lacking = "the file does not say its unit." if part.unit.state == "ask" else ""
    lacking = f"the file holds {len(part.bodies)} bodies." if part.bodies else lacking
    if lacking:
        raise BadInput(where=asked["name"], what=lacking, do="Strike it, and hand it in again with the unit and body.")
    if stop():
        raise Stopped
    with store.writing() as session:
        job, kept = found(session, int(asked["job"]))
        if part.flat is not None and kept.answer.part.flat is not None:
            part = with_thickness(part, f"{kept.answer.part.size_mm[2]} mm")
        plans.keep_part(session, job_id=job.id, part=part, file_sha256=asked["sha256"], now=now)
    return job.number


def in_one_go(
    store: Store, number: int, typed: Typed, file: str, data: bytes, *, now: datetime, progress: Progress,
    stop: ShallStop,
) -> None:  # fmt: skip
    """Hand a revision in and read it at once, where nobody else works the queue.

    Args:
        store: an open data folder.
        number, typed, file, data: as for `hand_in`.
        now: aware moment.
        progress: told what is being done and how far it is. stop: asked now and then; True ends it.
    Raises: BadInput: as for `hand_in` and `read`; where it is the file, the revision is written down all the same.
    """
    task = hand_in(store, number, typed, file, data, now=now)
    with store.writing() as session:
        work_queue.stop(session, work_queue.TaskId(task), now=now)  # it is done here
        mine = work_queue.task(session, work_queue.TaskId(task))
    assert mine is not None
    read(store, json.loads(mine.asked), now=now, progress=progress, stop=stop)


def plan_anew(store: Store, number: int, *, due: str, touch: str, now: datetime) -> int:
    """Put planning from the newest revision into the queue.

    Args:
        store: an open data folder.
        number: the job's.
        due: a new due time as typed; "": as it was.
        touch: of the form.
        now: aware moment.
    Returns: the task's id.
    Raises: BadInput: no such job, the revision is not read, or its due time is past and no other is given.
    """
    with store.writing() as session:
        before = touches.answered(session, touch, verb=VERB)
        if before is not None:
            return int(before)
        job, kept = found(session, number)
        newest(session, job)
        if due:
            plan_part.due_of(due, now)
        elif kept.answer.due <= now:
            raise BadInput(where=f"job {number}", what="its due time is past.", do="Give a new one.")
        task = ask(session, PLAN_KIND, job, due=due, now=now)
        touches.keep(session, touch, verb=VERB, answer=str(task), now=now)
    return task


def newest(session: Session, job: Job) -> plans.KeptPart:
    """The part of the newest revision. Raises: BadInput: it is not read."""
    known = kept_revisions.revisions(ledger.entries(session, job.id))
    sha256 = known[-1].sha256 if known else kept_revisions.first_file(session, job.id)
    return kept_revisions.read_from(plans.parts(session, job.id), sha256 or "")


def plan(
    store: Store, asked: Mapping[str, Any], *, said: ShopSaid, now: datetime, progress: Progress, stop: ShallStop
) -> int:
    """Plan a job from its newest revision: with the same metal, number, treatments; the plan before is kept.

    Args:
        store: an open data folder.
        asked: as it was put in.
        said: the shop.
        now: aware moment.
        progress: told what is being done and how far it is. stop: asked now and then; True ends it.
    Returns: the job's number.
    Raises: BadInput: as for `plan_anew`. Stopped: stop said so; then nothing is kept.
    """
    number = int(asked["job"])
    with store.reading() as session:
        job, kept = found(session, number)
        part = newest(session, job)
    answer = kept.answer
    renewed = plan_part.plan(
        part.part, said=said, metal=answer.material, quantity=answer.quantity,
        due=plan_part.due_of(asked["due"], now) if asked["due"] else answer.due, now=now, seed=answer.seed,
        what=answer.what, asked=answer.finishes, progress=progress, stop=stop,
    )  # fmt: skip
    renewed = credit.on_credit(replace(renewed, customer=answer.customer), store, said, now=now, but=number)
    if stop():
        raise Stopped
    with store.writing() as session:
        if newest(session, job).id != part.id:
            raise BadInput(where=f"job {number}", what="a newer revision came in meanwhile.", do="Plan from that one.")
        keeping.keep_plan(session, job, part.id, renewed, now=now)
    return number


def strike(store: Store, number: int, entry: str, words: str, *, who: str, now: datetime) -> None:
    """Take back a revision that was handed in by mistake; its file and entry stay in the record.

    Raises: BadInput: no such job, or it is not its newest revision.
    """
    with store.writing() as session:
        job, _ = found(session, number)
        known = kept_revisions.revisions(ledger.entries(session, job.id))
        if not known or str(int(known[-1].entry)) != entry:
            raise BadInput(where=f"job {number}", what="only its newest revision can be struck.", do="Open the page.")
        kept_revisions.strike(session, job.id, known[-1], words=words.strip()[:LONGEST], who=who, now=now)


def history(store: Store, number: int) -> History:
    """A job's drawings, each beside the one before.

    Args:
        store: an open data folder.
        number: the job's.
    Returns: the drawings; the differences are computed from what was read.
    Raises: BadInput: no such job, or it is of several parts.
    """
    with store.reading() as session:
        job, kept = found(session, number)
        known = kept_revisions.revisions(ledger.entries(session, job.id))
        parts = plans.parts(session, job.id)
        tasks = tuple(
            int(one.id) for one in work_queue.unended(session)
            if one.kind in (READ_KIND, PLAN_KIND) and json.loads(one.asked)["job"] == number
        )  # fmt: skip
        older = plan_before(session, job, kept)
    rows = [Beside(None, FIRST, "", of_file(parts, parts[0].file_sha256), None)]
    for one in known:
        part, last = of_file(parts, one.sha256), rows[-1]
        differs = difference(last.part, part) if last.part is not None and part is not None else None
        rows.append(Beside(one, one.name, last.name, part, differs))
    return History(kept, tuple(rows), kept.stop, older, tasks)


def of_file(parts: tuple[plans.KeptPart, ...], sha256: str | None) -> Part | None:
    """What was read from a file, before anybody measured by hand; None where it is not read."""
    return next((one.part for one in parts if one.file_sha256 == sha256), None)


def plan_before(session: Session, job: Job, kept: KeptJob) -> PlanAnswer | None:
    """The last plan of an older revision, where the present one is of another; None else."""
    of = {one.id: one.file_sha256 for one in plans.parts(session, job.id)}
    all_plans = plans.plans(session, job.id)
    chosen = next(one for one in all_plans if one.chosen)
    older = [one for one in all_plans if one.id < chosen.id and of[one.part_id] != of[chosen.part_id]]
    return keeping.plan_value(older[-1]) if older and kept.stop is None else None


def two_files(before: Path, after: Path, *, unit: str | None, progress: Progress, stop: ShallStop) -> Difference:
    """What is different between two files.

    Args:
        before, after: the older and the newer.
        unit: for files that name none.
        progress: told what is being done and how far it is. stop: asked now and then; True ends it.
    Returns: the difference.
    Raises: BadInput: either is no part, or does not say its unit.
    """
    parts: list[Part] = []
    for k, file in enumerate((before, after)):
        part = read_part.read_part(
            file, unit=unit, progress=lambda what, share, k=k: progress(what, (k + share) / 2), stop=stop
        )
        if part.unit.state == "ask":
            raise BadInput(where=str(file), what="the file does not say its unit.", do="Say it with --unit.")
        parts.append(part)
    return difference(parts[0], parts[1])
