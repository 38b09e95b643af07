"""A change to a week, and the week after it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.promise.rest import rested
from steadyrest.promise.week import Down, Presence, Week, WeekJob, WeekPhase, WeekStep, joined


@dataclass(frozen=True, slots=True)
class Add:
    """A job more."""

    job: WeekJob


@dataclass(frozen=True, slots=True)
class Drop:
    """A job lost, or refused."""

    job: str


@dataclass(frozen=True, slots=True)
class Extra:
    """A person in for longer. cost: for the whole stretch; None: nobody said."""

    person: str
    from_s: float
    to_s: float
    cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """A person not in."""

    person: str
    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True)
class Stands:
    """A machine that cannot run."""

    machine: str
    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True)
class Outside:
    """A step done elsewhere. takes_s: from the moment it could begin until it is back."""

    job: str
    step: str
    takes_s: float
    cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Due:
    """Another due time."""

    job: str
    due_s: float


Change = Add | Drop | Extra | Away | Stands | Outside | Due


def changed(week: Week, changes: Sequence[Change]) -> Week:
    """The week after these changes, one after the other.

    Args:
        week: as it is.
        changes: each names people, machines, jobs and steps that are there.
    Returns: the new week; added jobs last, in the order given.
    Raises: ValueError: a job is added that is there, or something named is not; says which.
    """
    for change in changes:
        match change:
            case Add(job):
                if any(other.id == job.id for other in week.jobs):
                    raise ValueError(f"changed: job {job.id!r} is there already")
                week = replace(week, jobs=(*week.jobs, job))
            case Drop(name):
                _there(name, [job.id for job in week.jobs], "job")
                week = replace(week, jobs=tuple(_freed(job, name) for job in week.jobs if job.id != name))
            case Extra(name, begin, end):
                week = _present(week, name, lambda here, a=begin, b=end: joined((*here, (a, b))))
            case Away(name, begin, end):
                week = _present(week, name, lambda here, a=begin, b=end: without(here, a, b))
            case Stands(name, begin, end):
                _there(name, week.machines, "machine")
                week = replace(week, down=(*week.down, Down(name, begin, end)))
            case Outside(name, step, takes):
                week = _job(week, name, lambda job, s=step, t=takes: sent_out(job, s, t))
            case Due(name, due):
                week = _job(week, name, lambda job, d=due: replace(job, due_s=d))
    return week


def _there(name: str, names: Sequence[str], what: str) -> None:
    if name not in names:
        raise ValueError(f"changed: there is no {what} {name!r}")


def _freed(job: WeekJob, gone: str) -> WeekJob:
    """The job no longer waiting for one that is gone."""
    return replace(job, after=tuple(name for name in job.after if name != gone))


def _present(week: Week, name: str, hours: Callable[[Hours], Hours]) -> Week:
    _there(name, [person.id for person in week.people], "person")
    people = (replace(p, stretches_s=_kept(p, hours(p.stretches_s))) if p.id == name else p for p in week.people)
    return replace(week, people=tuple(people))


def _kept(person: Presence, hours: Hours) -> Hours:
    """Hours added keep to the longest day and the rest, too."""
    return rested(hours, longest_s=person.longest_s, rest_s=person.rest_s, day=person.day)


def _job(week: Week, name: str, anew: Callable[[WeekJob], WeekJob]) -> Week:
    _there(name, [job.id for job in week.jobs], "job")
    return replace(week, jobs=tuple(anew(job) if job.id == name else job for job in week.jobs))


Hours = tuple[tuple[float, float], ...]


def without(hours: Hours, from_s: float, to_s: float) -> Hours:
    """These hours with one stretch taken out.

    Args:
        hours: sorted, disjoint.
        from_s, to_s: what is taken out.
    Returns: sorted, disjoint.
    """
    out: list[tuple[float, float]] = []
    for begin, end in hours:
        out += [(a, b) for a, b in ((begin, min(end, from_s)), (max(begin, to_s), end)) if a < b]
    return tuple(out)


def sent_out(job: WeekJob, step: str, takes_s: float) -> WeekJob:
    """The job with one step done elsewhere: it waits so long, and nobody and no machine here is needed.

    Args:
        job: which has the step.
        step: its id.
        takes_s: from the moment it could begin until it is back.
    Returns: the job.
    Raises: ValueError: it has no such step.
    """
    _there(step, [one.id for one in job.steps], f"step of {job.id!r},")
    trip = WeekPhase("outside", takes_s, (), elsewhere=True)
    steps = (WeekStep(one.id, None, (trip,), one.needs_stock) if one.id == step else one for one in job.steps)
    return replace(job, steps=tuple(steps))
