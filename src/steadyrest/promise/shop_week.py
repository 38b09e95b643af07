"""The shop's own week for the dispatch: its people's stretches, the work already promised, and the new job last."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby

from steadyrest.promise.calendars import next_weekday, stretches
from steadyrest.promise.machine_hours import stands
from steadyrest.promise.rest import Hours, day_begun
from steadyrest.promise.week import Presence, Week, WeekJob, WeekLimit, WeekPhase, WeekStep, two_in
from steadyrest.shop.floor import Person, PromisedPhase, PromisedWork, Shop
from steadyrest.shop.work import Step

DAY_S = 86_400.0
OWN_S = 3600.0


def _parted(phase: PromisedPhase) -> tuple[PromisedPhase, ...]:
    """The shop's own work by hand in stretches of an hour at most: after each, what is promised comes first again."""
    if phase.machine is not None or not phase.who or phase.duration_s <= OWN_S:
        return (phase,)
    count = math.ceil(phase.duration_s / OWN_S)
    return (replace(phase, duration_s=phase.duration_s / count),) * count


def _longest_of_both(one: Hours, two: Hours) -> float:
    return max((min(b, d) - max(a, c) for a, b in one for c, d in two if min(b, d) > max(a, c)), default=0.0)


def due_of(work: PromisedWork, *, now: datetime, timezone: str) -> datetime:
    """The moment promised; of a weekday the first such moment after now."""
    if isinstance(work.due, datetime):
        return work.due
    return next_weekday(work.due[0], work.due[1], now=now, timezone=timezone)


def promised_job(work: PromisedWork, *, now: datetime, timezone: str) -> WeekJob:
    """Work already promised as a job of the week; neighbouring phases on one machine are one step that holds it."""
    steps: list[WeekStep] = []
    all_phases = tuple(part for phase in work.phases for part in _parted(phase)) if work.own else work.phases
    for n, (machine, phases) in enumerate(groupby(all_phases, key=lambda phase: phase.machine)):
        asked = tuple(
            WeekPhase(work.what, phase.duration_s, phase.who, phase.interruptible, phase.spread, phase.max_wait_s,
                      phase.hand_over, phase.stop_odds, phase.elsewhere, phase.two_in, phase.step)
            for phase in phases
        )  # fmt: skip
        steps.append(WeekStep(f"{n}", machine, asked))
    due = (due_of(work, now=now, timezone=timezone) - now).total_seconds()
    release_s = 0.0 if work.not_before is None else max(0.0, (work.not_before - now).total_seconds())
    return WeekJob(work.id, release_s, due, float(work.late_per_hour), tuple(steps), own=work.own)


def chain_job(
    chain: Sequence[Step], *, job_id: str, release_s: float, due_s: float, weight: float, after: tuple[str, ...] = (),
    belongs: str = "",
) -> WeekJob:  # fmt: skip
    """Steps that follow one another as a job of the week, or as a part of one."""
    steps = tuple(
        WeekStep(
            step.id,
            step.machine,
            tuple(
                WeekPhase(
                    phase.name,
                    phase.duration_s.value,
                    phase.who,
                    phase.interruptible,
                    phase.spread,
                    phase.max_wait_s,
                    phase.hand_over,
                    phase.stop_odds,
                    phase.elsewhere,
                )
                for phase in step.phases
            ),
            step.needs_stock,
        )
        for step in chain
    )
    return WeekJob(job_id, release_s, due_s, weight, steps, after, belongs)


def presences(shop: Shop, *, now: datetime, days: int) -> tuple[Presence, ...]:
    """Everyone's stretches from now on, in seconds after now."""
    end = now + timedelta(days=days)
    return tuple(
        Presence(
            person.id,
            tuple(
                ((a - now).total_seconds(), (b - now).total_seconds())
                for a, b in stretches(person, start=now, end=end, timezone=shop.timezone)
            ),
            person.longest_day_s,
            person.rest_s,
            _day(person, now=now, timezone=shop.timezone),
        )
        for person in shop.people
    )


def _day(person: Person, *, now: datetime, timezone: str) -> tuple[float, float] | None:
    """The day of work that this person has begun and not rested from."""
    if person.rest_s <= 0:
        return None
    before = now - timedelta(days=2)
    hours = stretches(person, start=before, end=now, timezone=timezone)
    seconds = tuple(((a - now).total_seconds(), (b - now).total_seconds()) for a, b in hours)
    return day_begun(seconds, now_s=0.0, rest_s=person.rest_s)


def week_of(shop: Shop, jobs: tuple[WeekJob, ...], *, now: datetime, days: int) -> Week:
    """These jobs in this shop, over so many days."""
    limits = tuple(WeekLimit(shared.id, shared.allows, shared.asks) for shared in shop.shared)
    people = presences(shop, now=now, days=days)
    down = stands(shop, people, now=now, end=now + timedelta(days=days))
    machines = tuple(machine.id for machine in shop.machines)
    watched = {machine.id for machine in shop.machines if machine.never_alone}
    return Week(people, machines, tuple(_watched(job, watched) for job in jobs), limits, down)


def _watched(job: WeekJob, machines: set[str]) -> WeekJob:
    """The job with hands on these machines only while a second person is in."""
    if not any(step.machine in machines for step in job.steps):
        return job
    steps = (
        replace(step, phases=tuple(replace(phase, two_in=bool(phase.who)) for phase in step.phases))
        if step.machine in machines
        else step
        for step in job.steps
    )
    return replace(job, steps=tuple(steps))


def days_asked(jobs: tuple[WeekJob, ...], arrival_s: float) -> int:
    """A first guess at the days to look ahead: three times all the work at 4 hours a day, one after the other.

    Args:
        jobs: everything to be done.
        arrival_s: when material comes, after now.
    Returns: days, at least 28.
    """
    work = sum(phase.duration_s for job in jobs for step in job.steps for phase in step.phases)
    latest = max((job.due_s for job in jobs), default=0.0)
    return int(max(28.0, 3 * work / (4 * 3600.0), 1.5 * latest / DAY_S) + arrival_s / DAY_S) + 1


def too_long(week: Week, job: WeekJob) -> tuple[WeekStep, WeekPhase, float] | None:
    """The first phase of the job that nobody's longest stretch can hold, with that stretch; None: there is none."""
    two = two_in(week.people)
    longest = {p.id: max((b - a for a, b in p.stretches_s), default=0.0) for p in week.people}
    watched = {p.id: _longest_of_both(p.stretches_s, two) for p in week.people}
    for step in job.steps:
        for phase in step.phases:
            each = watched if phase.two_in else longest
            room = max((each[name] for name in phase.who), default=float("inf"))
            if room <= 0 or (not phase.interruptible and phase.duration_s > room):
                return step, phase, room
    return None
