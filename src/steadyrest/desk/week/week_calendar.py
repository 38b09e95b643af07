"""The week for a calendar: everybody's, one person's own, or what runs by itself while nobody is in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from steadyrest.desk.week.promise_week import of_own_folder
from steadyrest.desk.week.week_now import WeekNow, week_now
from steadyrest.papers.calendar import Entry, calendar
from steadyrest.promise.answer import PlanRow
from steadyrest.promise.calendars import merged, stretches, without
from steadyrest.promise.own_week import OwnJob
from steadyrest.shop.floor import Shop
from steadyrest.trouble import BadInput
from steadyrest.units import show_odds

EVERYBODY, NIGHT = "", "night"
DUE_S = 900.0  # how long a due time is shown


def week_calendar(now: WeekNow, whose: str = EVERYBODY) -> str:
    """The calendar file.

    Args:
        now: the week as it is promised.
        whose: EVERYBODY, NIGHT, or a person's id.
    Returns: its text; without entries where nothing is promised.
    Raises: BadInput: nobody is called so.
    """
    shop = now.shop
    people = {one.id: one.name for one in shop.people}
    names = {EVERYBODY: "the week", NIGHT: "by itself, with nobody in"} | people
    if whose not in names:
        known = ", ".join([*people, NIGHT])
        raise BadInput(where=whose[:60], what="there is no such person here.", do=f"Choose: {known}.")
    rows, jobs = (now.week.rows, now.week.jobs) if now.week is not None else ((), ())
    if whose == NIGHT:
        rows = tuple(alone_rows(rows, shop))
    elif whose != EVERYBODY:
        rows = tuple(row for row in rows if row.person == whose)
    made = list(worked(rows, jobs, shop, whose=whose))
    made += [due(job) for job in jobs] if whose == EVERYBODY else []
    return calendar(made, name=f"{shop.name}: {names[whose]}", timezone=shop.timezone, made=now.now)


def write_calendar(data: Path, file: Path, whose: str, *, now: datetime, stop: Callable[[], bool]) -> int:
    """The calendar of a data folder's week, written to a file.

    Args:
        data: the data folder.
        file: where to; what is there is replaced.
        whose: as in week_calendar.
        now: aware moment.
        stop: asked during the search.
    Returns: how many entries it has.
    Raises: BadInput: no such folder, nobody is called so, or the file cannot be written.
    """
    week = week_now(of_own_folder(data, now=now), now=now, stop=stop)
    written = week_calendar(week, whose)
    try:
        file.write_bytes(written.encode())
    except OSError as trouble:
        raise BadInput(where=str(file), what=f"it cannot be written: {trouble.strerror}.", do="Name another.") from None
    return written.count("BEGIN:VEVENT")


def worked(rows: tuple[PlanRow, ...], jobs: tuple[OwnJob, ...], shop: Shop, *, whose: str) -> Iterator[Entry]:
    """The rows of the plan as entries."""
    names = {one.id: one.name for one in (*shop.people, *shop.machines)}
    what = {job.id: job.what for job in jobs}
    odds = {job.id: show_odds(job.odds) for job in jobs}
    seen = Counter[tuple[str, str, int]]()
    for row in rows:
        seen[row.job, row.step, row.phase] += 1
        machine, who = names.get(row.machine or "", ""), names.get(row.person or "", "by itself")
        of = "" if row.name in ("", what.get(row.job)) else f", {row.name}"
        yield Entry(
            id=f"{row.job}/{row.step}/{row.phase}/{seen[row.job, row.step, row.phase]}",
            start=row.start,
            end=max(row.end, row.start + timedelta(seconds=1)),
            says=f"{row.job} {what.get(row.job, '')}{of}" + (f" ({who})" if whose in (EVERYBODY, NIGHT) else ""),
            tells=f"As planned when this was made; its promise is kept {odds.get(row.job, 'who knows how often')}.",
            place=machine,
            busy=row.person is not None,
        )


def due(job: OwnJob) -> Entry:
    """When a job was promised."""
    return Entry(
        id=f"{job.id}/due", start=job.due, end=job.due + timedelta(seconds=DUE_S), says=f"{job.id} {job.what}: due",
        tells=f"Kept {show_odds(job.odds)}.", busy=False,
    )  # fmt: skip


def alone_rows(rows: tuple[PlanRow, ...], shop: Shop) -> Iterator[PlanRow]:
    """What runs on a machine with nobody on it and goes on while nobody is in at all."""
    runs = [row for row in rows if row.person is None and row.machine is not None]
    if not runs:
        return
    first, last = min(row.start for row in runs), max(row.end for row in runs)
    here = merged([
        one for person in shop.people for one in stretches(person, start=first, end=last, timezone=shop.timezone)
    ])  # fmt: skip
    for row in runs:
        left = ((row.start, row.end),)
        for one in here:
            left = without(left, one)
        if left:
            yield row
