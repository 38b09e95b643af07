"""The shop's own week for the dispatch: its people's stretches, the work already promised, and the new job last."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import groupby

from steadyrest.promise.calendars import next_weekday, stretches
from steadyrest.promise.week import Down, Presence, Week, WeekJob, WeekLimit, WeekPhase, WeekStep
from steadyrest.shop.floor import PromisedWork, Shop
from steadyrest.shop.work import Step

DAY_S = 86_400.0


def due_of(work: PromisedWork, *, now: datetime, timezone: str) -> datetime:
    """The moment promised; of a weekday the first such moment after now."""
    if isinstance(work.due, datetime):
        return work.due
    return next_weekday(work.due[0], work.due[1], now=now, timezone=timezone)


def promised_job(work: PromisedWork, *, now: datetime, timezone: str) -> WeekJob:
    """Work already promised as a job of the week; neighbouring phases on one machine are one step that holds it."""
    steps: list[WeekStep] = []
    for n, (machine, phases) in enumerate(groupby(work.phases, key=lambda phase: phase.machine)):
        asked = tuple(
            WeekPhase(work.what, phase.duration_s, phase.who, phase.interruptible, phase.spread, phase.max_wait_s,
                      phase.hand_over, phase.stop_odds, phase.elsewhere)
            for phase in phases
        )  # fmt: skip
        steps.append(WeekStep(f"{n}", machine, asked))
    due = (due_of(work, now=now, timezone=timezone) - now).total_seconds()
    release_s = 0.0 if work.not_before is None else max(0.0, (work.not_before - now).total_seconds())
    return WeekJob(work.id, release_s, due, float(work.late_per_hour), tuple(steps))


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
        )
        for person in shop.people
    )


def week_of(shop: Shop, jobs: tuple[WeekJob, ...], *, now: datetime, days: int) -> Week:
    """These jobs in this shop, over so many days."""
    limits = tuple(WeekLimit(shared.id, shared.allows, shared.asks) for shared in shop.shared)
    stands = tuple(
        Down(machine.id, max((begin - now).total_seconds(), 0.0), (end - now).total_seconds())
        for machine in shop.machines
        for begin, end in machine.stands
        if end > now
    )
    machines = tuple(machine.id for machine in shop.machines)
    return Week(presences(shop, now=now, days=days), machines, jobs, limits, stands)


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
    longest = {p.id: max((b - a for a, b in p.stretches_s), default=0.0) for p in week.people}
    for step in job.steps:
        for phase in step.phases:
            room = max((longest[name] for name in phase.who), default=float("inf"))
            if room <= 0 or (not phase.interruptible and phase.duration_s > room):
                return step, phase, room
    return None
