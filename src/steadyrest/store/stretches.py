"""What the clock's entries come to: stretches of work, each person's time shared where two ran at once.

One person on two machines works on both at once; the rule is: time that n stretches of a person share counts one n-th
for each. So a person's shares never come to more than the time that passed. Two people are two people.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import pairwise

from steadyrest.store.clock import ClockEntry, ClockId, standing
from steadyrest.store.jobs import JobId

ONE = Fraction(1)
MICROSECOND = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Shared:
    """A part of a stretch that other work shared. share: what of it counts here."""

    start: datetime
    end: datetime
    share: Fraction


@dataclass(frozen=True, slots=True)
class WorkStretch:
    """Work of one person on one thing. end: None while it runs.

    begun_by, ended_by: the entries that say so. notes: entries told about it while it ran. shared: the parts of it in
    which the person also worked on something else, up to `end`, or up to now.
    """

    person: str
    job_id: JobId | None
    step: int | None
    start: datetime
    end: datetime | None
    begun_by: ClockId
    ended_by: ClockId | None = None
    notes: tuple[ClockEntry, ...] = ()
    shared: tuple[Shared, ...] = ()

    def worked_s(self, now: datetime) -> float:
        """Seconds of the person that count here, up to its end or now."""
        passed = ((self.end or now) - self.start) // MICROSECOND
        less = sum((1 - part.share) * ((part.end - part.start) // MICROSECOND) for part in self.shared)
        return float(Fraction(passed) - less) / 1e6


def stretches(all_entries: Iterable[ClockEntry], *, now: datetime) -> tuple[WorkStretch, ...]:
    """Every stretch of work, in the order it began.

    Args:
        all_entries: of any number of people, corrected ones included; of a person all, since nothing of theirs ran.
        now: aware moment; what runs is shared up to it.
    Returns: stretches, those without length left out.
    """
    by_person: dict[str, list[ClockEntry]] = {}
    for entry in standing(all_entries):
        by_person.setdefault(entry.person, []).append(entry)
    found = [one for of in by_person.values() for one in shared_out(folded(of), now)]
    return tuple(sorted(found, key=lambda one: (one.start, one.begun_by)))


def folded(entries: Iterable[ClockEntry]) -> tuple[WorkStretch, ...]:
    """The stretches of one person, by standing entries in the order they happened."""
    running: dict[tuple[JobId | None, int | None], WorkStretch] = {}
    over: list[WorkStretch] = []

    def end(what: tuple[JobId | None, int | None], by: ClockEntry) -> None:
        one = running.pop(what)
        if by.happened > one.start:
            over.append(replace(one, end=by.happened, ended_by=by.id))

    for entry in entries:
        about = (entry.job_id, entry.step)
        if entry.kind == "start":
            for other in [one for one in running if one != about]:
                end(other, entry)
        if entry.kind in ("start", "beside") and about not in running:
            running[about] = WorkStretch(entry.person, *about, entry.happened, None, entry.id)
        elif entry.kind in ("stop", "done"):
            for one in [one for one in running if meant(about, one)]:
                end(one, entry)
        elif entry.kind == "note":
            for what in [one for one in running if meant(about, one)]:
                running[what] = replace(running[what], notes=(*running[what].notes, entry))
    return (*over, *running.values())


def meant(about: tuple[JobId | None, int | None], what: tuple[JobId | None, int | None]) -> bool:
    """Whether an entry about this means that stretch: no job is everything, no step the whole job."""
    job_id, step = about
    return job_id is None or (job_id == what[0] and step in (None, what[1]))


def shared_out(of: Iterable[WorkStretch], now: datetime) -> Iterator[WorkStretch]:
    """The stretches of one person with what they share."""
    kept = tuple(of)
    marks = sorted({at for one in kept for at in (one.start, one.end or max(now, one.start))})
    parts: dict[ClockId, list[Shared]] = {}
    to_come = sorted(kept, key=lambda one: (one.start, one.begun_by), reverse=True)
    here: list[WorkStretch] = []
    for a, b in pairwise(marks):
        while to_come and to_come[-1].start <= a:
            here.append(to_come.pop())
        here = [one for one in here if (one.end or now) >= b]
        if len(here) > 1:
            for one in here:
                parts.setdefault(one.begun_by, []).append(Shared(a, b, Fraction(1, len(here))))
    for one in kept:
        yield replace(one, shared=joined(parts.get(one.begun_by, [])))


def joined(parts: Iterable[Shared]) -> tuple[Shared, ...]:
    """Neighbouring parts of one share as one."""
    out: list[Shared] = []
    for part in parts:
        if out and out[-1].end == part.start and out[-1].share == part.share:
            out[-1] = replace(out[-1], end=part.end)
        else:
            out.append(part)
    return tuple(out)


@dataclass(frozen=True, slots=True)
class StepDone:
    """How far a step is. worked_s: people's seconds so far. running: who is on it now. done: when it was finished."""

    step: int
    worked_s: float
    running: tuple[str, ...]
    begun: datetime | None
    done: datetime | None


def progress(
    all_entries: Iterable[ClockEntry], of: Iterable[WorkStretch], *, job_id: JobId, now: datetime
) -> tuple[StepDone, ...]:
    """How far each step of a job is, as far as anybody said anything about it.

    Args:
        all_entries: that say something about the job, corrected ones included.
        of: stretches, of which those of the job count.
        job_id: the job.
        now: aware moment.
    Returns: one a step that was begun or finished, by number.
    """
    about = [entry for entry in standing(all_entries) if entry.job_id == job_id and entry.step is not None]
    works = [one for one in of if one.job_id == job_id and one.step is not None]
    done: dict[int, datetime | None] = {}
    for entry in about:
        assert entry.step is not None
        if entry.kind == "done":
            done[entry.step] = entry.happened
        elif entry.kind in ("start", "beside"):
            done[entry.step] = None  # somebody went on with it after all
    found: list[StepDone] = []
    for step in sorted({*done, *(one.step for one in works if one.step is not None)}):
        here = [one for one in works if one.step == step]
        found.append(
            StepDone(
                step,
                sum(one.worked_s(now) for one in here),
                tuple(dict.fromkeys(one.person for one in here if one.end is None)),
                min((one.start for one in here), default=None),
                done.get(step),
            )
        )
    return tuple(found)
