"""The clock: start on a job, stop, who is on what now, what was forgotten, and corrections."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from steadyrest.desk.floor.forgotten import Forgotten, forgotten
from steadyrest.desk.plan import in_short
from steadyrest.shop.floor import Shop
from steadyrest.store import clock, jobs, ledger, plans, stretches, touches
from steadyrest.store.clock import ClockEntry, ClockId, Kind
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session, Store
from steadyrest.store.revisions import Stop, revised, stop_of
from steadyrest.store.states import OPEN
from steadyrest.store.stretches import StepDone, WorkStretch
from steadyrest.trouble import BadInput

VERB = "clock"
LARGEST_PHOTO = 30_000_000
PHOTOS = {b"\xff\xd8\xff": "image/jpeg", b"\x89PNG\r\n\x1a\n": "image/png"}
LATELY = timedelta(days=14)
TOGETHER = timedelta(days=60)
BEGUN = ("begun", "ready", "delivered", "paid")


@dataclass(frozen=True, slots=True)
class Said:
    """What somebody tells the clock. job, step: numbers as people say them. at: when it happened; None: now.

    who: tells it, if it is somebody else. photo: bytes and a name. touch: the form's mark, so that it counts once.
    """

    kind: Kind
    person: str
    job: int | None = None
    step: int | None = None
    at: datetime | None = None
    words: str = ""
    who: str = ""
    photo: bytes = b""
    photo_name: str = ""
    touch: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """A stretch of work in words that people use. job: 0 for none. stretch: as kept. worked_s: shares counted."""

    stretch: WorkStretch
    job: int
    what: str
    step: str
    worked_s: float
    asked: Forgotten | None


@dataclass(frozen=True, slots=True)
class PersonNow:
    """What a person is on now, latest first. last: the last thing they were on, if on nothing now."""

    person: str
    name: str
    on: tuple[Work, ...]
    last: Work | None


@dataclass(frozen=True, slots=True)
class Listed:
    """What the clock holds. entries: as told, corrected ones included; works: what they come to."""

    entries: tuple[ClockEntry, ...]
    works: tuple[Work, ...]
    numbers: tuple[tuple[JobId, int], ...]


def tell(store: Store, shop: Shop, said: Said, *, now: datetime) -> ClockEntry:
    """Write down what somebody says.

    Args:
        store: an open data folder.
        shop: who works there.
        said: what.
        now: aware moment: when we are told.
    Returns: the entry; the same one again if its touch came before.
    Raises: BadInput: nobody of this name, no such job or step, a photo that is none, or a time still to come.
    """
    known_person(shop, said.person)
    if said.kind in ("start", "beside") and said.job is None:
        raise BadInput(where="the clock", what="no job is named.", do="Say on which one, such as 101.")
    photo = store.files.keep(said.photo) if photo_kind(said.photo) else None
    with store.writing() as session:
        before = touches.answered(session, said.touch, verb=VERB)
        if before is not None:
            return next(one for one in clock.entries(session, person=said.person) if one.id == int(before))
        if said.kind in ("done", "note") and said.job is None:
            said = about_what_runs(session, said, at=said.at or now)
        job = job_of(session, said.job)
        if job is not None:
            step_of(session, job, said.step)
        if photo is not None:
            plans.note_file(
                session, sha256=photo, size_bytes=len(said.photo), name=said.photo_name or "photo",
                kind=photo_kind(said.photo), now=now,
            )  # fmt: skip
        who = said.who or said.person
        entry = clock.write(
            session, person=said.person, kind=said.kind, happened=said.at or now, told=now, who=who,
            job_id=job.id if job else None, step=said.step, words=said.words.strip(), file_sha256=photo,
        )  # fmt: skip
        if job is not None and said.kind in ("start", "beside"):
            begin_job(session, job, entry)
        touches.keep(session, said.touch, verb=VERB, answer=str(int(entry.id)), now=now)
    return entry


def about_what_runs(session: Session, said: Said, *, at: datetime) -> Said:
    """The same about the one thing that ran then, where nothing was named; a note may be about nothing in particular.

    Raises: BadInput: it is not said what is finished, and nothing runs, or several things do.
    """
    since = clock.idle_since(session, said.person, before=at)
    works = stretches.stretches(clock.entries(session, person=said.person, since=since), now=at)
    on = [one for one in works if one.start <= at and (one.end is None or one.end > at)]
    job_id = on[0].job_id if len(on) == 1 else None
    if job_id is not None:
        return replace(said, job=job_by_id(session, job_id).number, step=on[0].step)
    if said.kind == "done":
        what = f"{len(on)} things run, and it is not said which is finished."
        raise BadInput(where="the clock", what=what, do="Name the job and the step.")
    return said


def begin_job(session: Session, job: jobs.Job, entry: ClockEntry) -> None:
    """The first time somebody starts on it, a job is begun."""
    if ledger.job_state(ledger.entries(session, job.id)) not in BEGUN:
        ledger.write_down(
            session, job_id=job.id, kind="begun", who=entry.who, happened=entry.happened, told=entry.told,
            body={"clock": int(entry.id)},
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fix:
    """A correction of an entry: what is not None is said anew. strike: it never happened."""

    entry: int
    who: str
    at: datetime | None = None
    job: int | None = None
    step: int | None = None
    strike: bool = False
    why: str = ""
    touch: str = ""


def fix(store: Store, shop: Shop, said: Fix, *, now: datetime) -> ClockEntry:
    """Correct an entry by another one.

    Args:
        store: an open data folder.
        shop: who works there.
        said: which entry, and what about it was wrong.
        now: aware moment.
    Returns: the entry that now stands in its place (or that struck it).
    Raises: BadInput: no such entry, corrected already, nothing said anew, or as in `tell`.
    """
    known_person(shop, said.who)
    if not said.strike and said.at is None and said.job is None and said.step is None and not said.why.strip():
        raise BadInput(
            where=f"entry {said.entry}", what="nothing is said anew.", do="Say when, which job, or strike it."
        )
    with store.writing() as session:
        before = touches.answered(session, said.touch, verb=VERB)
        if before is not None:
            return next(one for one in clock.entries(session) if one.id == int(before))
        old = clock.correctable(session, ClockId(said.entry))
        job = job_of(session, said.job)
        job_id = job.id if job else old.job_id
        step = said.step if said.step is not None or said.job is not None else old.step
        if job_id is not None and step is not None:
            step_of(session, job or job_by_id(session, job_id), step)
        made = clock.write(
            session, person=old.person, kind="struck" if said.strike else old.kind, happened=said.at or old.happened,
            told=now, who=said.who, job_id=job_id, step=step, words=said.why.strip() or old.words,
            file_sha256=old.file_sha256, replaces=old.id,
        )  # fmt: skip
        touches.keep(session, said.touch, verb=VERB, answer=str(int(made.id)), now=now)
    return made


def was_there(work: Work, *, who: str, now: datetime, touch: str = "") -> Said:
    """The answer to "did you forget to stop?" that says: no, they were there all the time."""
    one = work.stretch
    last = (one.end or now) - timedelta(seconds=1)  # a note counts while the stretch runs
    return Said(
        "note", one.person, job=work.job or None, step=one.step, at=last, words="was there", who=who, touch=touch
    )


def people_now(store: Store, shop: Shop, *, now: datetime) -> tuple[PersonNow, ...]:
    """Who is on what.

    Args:
        store: an open data folder.
        shop: who works there.
        now: aware moment.
    Returns: one for each person of the shop, in the file's order.
    """
    found: list[PersonNow] = []
    with store.reading() as session:
        for person in shop.people:
            since = clock.idle_since(session, person.id, before=now - timedelta(days=1))
            kept = clock.entries(session, person=person.id, since=since)
            works = in_words(session, shop, stretches.stretches(kept, now=now), now=now)
            on = tuple(one for one in reversed(works) if one.stretch.end is None)
            last = works[-1] if works and not on else None
            found.append(PersonNow(person.id, person.name, on, last))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Offered:
    """A job that somebody may switch to. steps: of its plan, in few words. next_step: the first not finished.

    stop: its drawing changed since it was planned.
    """

    number: int
    what: str
    due: datetime
    steps: tuple[str, ...]
    next_step: int | None
    stop: Stop | None = None


def offered(store: Store, person: str, *, now: datetime) -> tuple[Offered, ...]:
    """The open jobs, those that a person worked on lately first, then the soonest due.

    Args:
        store: an open data folder.
        person: whose page it is.
        now: aware moment.
    Returns: jobs with their next step.
    """
    with store.reading() as session:
        mine = clock.jobs_lately(session, person, since=now - LATELY)
        known = jobs.in_states(session, OPEN)
        here = [job for job, state in known if job.id in mine or not jobs.went_quiet(job, state, now=now)]
        short = in_short.of_jobs(session, [job.id for job in here])
        finished = clock.steps_done(session, [job.id for job in here])
        changed = revised(session)
        found: list[tuple[int, Offered]] = []
        for job in here:
            steps = step_names(short.get(job.id))
            left = [k for k in range(1, len(steps) + 1) if k not in finished.get(job.id, ())]
            stop = stop_here(session, job) if job.id in changed else None
            one = Offered(job.number, job.what, job.due, steps, left[0] if left else None, stop)
            found.append((mine.index(job.id) if job.id in mine else len(mine), one))
    return tuple(one for _, one in sorted(found, key=lambda pair: pair[0]))


def to_ask(store: Store, shop: Shop, *, now: datetime, since: datetime) -> tuple[Work, ...]:
    """Stretches whose stop somebody seems to have forgotten, oldest first: to be asked about.

    Args:
        store: an open data folder.
        shop: who is in when.
        now: aware moment.
        since: how far back to look.
    Returns: stretches with what to ask.
    """
    with store.reading() as session:
        works = in_words(session, shop, works_since(session, shop, since=since, now=now), now=now)
    return tuple(one for one in works if one.asked is not None)


def works_since(session: Session, shop: Shop, *, since: datetime, now: datetime) -> tuple[WorkStretch, ...]:
    """Everybody's stretches that were not over by a moment, those that began before it whole."""
    found: list[WorkStretch] = []
    for person in shop.people:
        begin = clock.idle_since(session, person.id, before=since)
        kept = clock.entries(session, person=person.id, since=begin)
        found += (one for one in stretches.stretches(kept, now=now) if one.end is None or one.end > since)
    return tuple(sorted(found, key=lambda one: (one.start, one.begun_by)))


def job_works(session: Session, job_id: JobId, *, now: datetime) -> tuple[WorkStretch, ...]:
    """Every stretch of work on a job, with what other work shared of it."""
    about = clock.entries(session, job_id=job_id)
    found: list[WorkStretch] = []
    for person in dict.fromkeys(entry.person for entry in about):
        moments = [entry.happened for entry in about if entry.person == person]
        begin = clock.idle_since(session, person, before=min(moments))
        end = clock.idle_after(session, person, after=max(moments))
        kept = clock.entries(session, person=person, since=begin, until=end)
        found += (one for one in stretches.stretches(kept, now=now) if one.job_id == job_id)
    return tuple(sorted(found, key=lambda one: (one.start, one.begun_by)))


def progress_of(session: Session, job_ids: Iterable[JobId], *, now: datetime) -> dict[JobId, tuple[StepDone, ...]]:
    """How far the steps of many jobs are: everybody's days are looked through once, not once for each job.

    Args:
        session: a transaction.
        job_ids: of jobs; one that nobody spoke of is left out.
        now: aware moment.
    Returns: as `progress` gives for each.
    """
    about = clock.of_jobs(session, job_ids)
    first: dict[str, datetime] = {}
    old = {job for job, told in about.items() if min(one.happened for one in told) < now - TOGETHER}
    for told in (told for job, told in about.items() if job not in old):
        for entry in told:
            first[entry.person] = min(first.get(entry.person, entry.happened), entry.happened)
    works: dict[JobId | None, list[WorkStretch]] = {}
    for person, before in first.items():
        begin = clock.idle_since(session, person, before=before)
        for one in stretches.stretches(clock.entries(session, person=person, since=begin), now=now):
            works.setdefault(one.job_id, []).append(one)
    # A job that has lain for long would drag everybody's days since then along: it is looked at by itself.
    works |= {job: list(job_works(session, job, now=now)) for job in old}
    return {
        job: stretches.progress(
            told, sorted(works.get(job, ()), key=lambda one: (one.start, one.begun_by)), job_id=job, now=now
        )
        for job, told in about.items()
    }


def progress(session: Session, job_id: JobId, *, now: datetime) -> tuple[StepDone, ...]:
    """How far each step of a job is; those nobody spoke of are left out."""
    return stretches.progress(
        clock.entries(session, job_id=job_id), job_works(session, job_id, now=now), job_id=job_id, now=now
    )


def listed(
    store: Store, shop: Shop, *, job: int | None, person: str | None, since: datetime | None, now: datetime
) -> Listed:
    """What the clock holds.

    Args:
        store: an open data folder.
        shop: who works there.
        job, person, since: only these; None: all.
        now: aware moment.
    Returns: entries and what they come to.
    Raises: BadInput: no such job or person.
    """
    if person is not None:
        known_person(shop, person)
    with store.reading() as session:
        about = job_of(session, job)
        job_id = about.id if about else None
        entries = clock.entries(session, person=person, job_id=job_id, since=since)
        if job_id is not None:
            works = job_works(session, job_id, now=now)
        elif since is not None:
            works = works_since(session, shop, since=since, now=now)
        else:
            works = stretches.stretches(clock.entries(session, person=person), now=now)
        works = tuple(
            one
            for one in works
            if person in (None, one.person) and (since is None or one.end is None or one.end > since)
        )
        named = {one.job_id for one in (*entries, *(work for work in works)) if one.job_id is not None}
        numbers = tuple((one.id, one.number) for one in jobs.by_ids(session, tuple(named)).values())
        return Listed(entries, in_words(session, shop, works, now=now), numbers)


def in_words(session: Session, shop: Shop, works: Iterable[WorkStretch], *, now: datetime) -> tuple[Work, ...]:
    """Stretches with their job's number and words, and what to ask about each."""
    found: list[Work] = []
    many = tuple(works)
    ids = tuple({one.job_id for one in many if one.job_id is not None})
    known, plan_of = jobs.by_ids(session, ids), in_short.of_jobs(session, ids)
    for one in many:
        job = known[one.job_id] if one.job_id is not None else None
        step = step_words(step_names(plan_of.get(job.id)), one.step) if job and one.step is not None else ""
        number, what = (job.number, job.what) if job else (0, "no job")
        found.append(Work(one, number, what, step, one.worked_s(now), forgotten(one, shop, now=now)))
    return tuple(found)


# ---- what is named ----------------------------------------------------------------------------------------------


def known_person(shop: Shop, person: str) -> None:
    """Raises: BadInput: nobody of this name works here."""
    if person not in {one.id for one in shop.people}:
        names = ", ".join(one.id for one in shop.people)
        raise BadInput(where="person", what=f"{person[:40]!r} does not work here.", do=f"Name one of: {names}.")


def job_of(session: Session, number: int | None) -> jobs.Job | None:
    """The job of this number; None where none is meant. Raises: BadInput: there is no such job."""
    if number is None:
        return None
    found = jobs.job(session, number)
    if found is None:
        raise BadInput(where=f"job {number}", what="there is no such job.", do="Look at the bench for those there are.")
    return found


def job_by_id(session: Session, job_id: JobId) -> jobs.Job:
    return jobs.by_id(session, job_id)


def steps_of(session: Session, job: jobs.Job) -> tuple[str, ...]:
    """The steps of a job's plan in few words, the first first; none where it has no plan."""
    return step_names(in_short.of_job(session, job.id))


def step_names(plan: in_short.InShort | None) -> tuple[str, ...]:
    """The steps of a plan in few words."""
    return tuple(
        step.station + (f" on {step.machine}" if step.machine not in (None, step.station) else "")
        for step in (plan.steps if plan is not None else ())
    )


def stop_here(session: Session, job: jobs.Job) -> Stop | None:
    """Whether the job's drawing changed since it was planned."""
    kept = plans.chosen_of(session, (job.id,)).get(job.id)
    return stop_of(session, ledger.entries(session, job.id), kept.part_id) if kept is not None else None


def step_of(session: Session, job: jobs.Job, step: int | None) -> None:
    """Raises: BadInput: the job's plan has no such step."""
    if step is None:
        return
    steps = steps_of(session, job)
    if not 1 <= step <= len(steps):
        known = ", ".join(f"{k} {name}" for k, name in enumerate(steps, 1)) or "none, it has no plan"
        raise BadInput(where=f"job {job.number}, step {step}", what="there is no such step.", do=f"Steps: {known}.")


def step_words(steps: tuple[str, ...], step: int) -> str:
    """A step in few words; a plan made anew may have fewer steps than one that was worked on."""
    return f"{step} {steps[step - 1]}" if 1 <= step <= len(steps) else f"{step}"


def photo_kind(data: bytes) -> str:
    """A photo's type by its first bytes; "" for no bytes. Raises: BadInput: too large, or no photo."""
    if not data:
        return ""
    if len(data) > LARGEST_PHOTO:
        raise BadInput(where="photo", what="it is too large.", do="Take a smaller one; 30 MB at most.")
    for begins, kind in PHOTOS.items():
        if data.startswith(begins):
            return kind
    raise BadInput(where="photo", what="this is no JPEG or PNG picture.", do="Choose a photo.")


def photo_from(file: Path | None) -> tuple[bytes, str]:
    """A photo from disk with its name. Raises: BadInput: it cannot be read."""
    if file is None:
        return b"", ""
    try:
        return file.read_bytes(), file.name
    except OSError as fault:
        raise BadInput(where=str(file), what=f"cannot be read ({fault.strerror}).", do="Check the name.") from None
