"""The night's runs: what goes on while nobody is in, in which order, whether it may, and what to expect by morning."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from steadyrest.desk.night.step_program import ProgramUsed
from steadyrest.desk.week.week_calendar import alone_rows
from steadyrest.program.night.night_order import NightRun, one_machine
from steadyrest.promise.answer import PlanRow
from steadyrest.promise.calendars import merged, stretches
from steadyrest.promise.program_time import StepProgram
from steadyrest.shop.floor import Shop

FAR = timedelta(days=30)  # who comes back later than this is not waited for
MORE = 0.05  # good parts by morning: another order is said where it gives more than this besides


@dataclass(frozen=True, slots=True)
class Run:
    """A run that goes on while nobody is in. program: None where nobody said which makes it."""

    row: PlanRow
    program: StepProgram | None

    @property
    def may(self) -> bool:
        """Whether its leaving check lets it run alone, at once or once something is done."""
        return self.program is not None and self.program.leave in ("yes", "yes if")


@dataclass(frozen=True, slots=True)
class MachineNight:
    """One machine's runs of one night, in the order of the plan. good: parts to expect by morning, on average.

    better: the runs in another order that gives more, with what it gives; empty where there is none.
    """

    machine: str
    runs: tuple[Run, ...]
    good: float
    better: tuple[Run, ...] = ()
    better_good: float = 0.0


@dataclass(frozen=True, slots=True)
class Night:
    """From when nobody is in until somebody comes; the machines that run, in the order in which they begin."""

    start: datetime
    end: datetime
    machines: tuple[MachineNight, ...]


def nights(
    rows: tuple[PlanRow, ...], shop: Shop, programs: Iterable[ProgramUsed], *, now: datetime
) -> tuple[Night, ...]:
    """The nights of a week in which something runs.

    Args:
        rows: who does what when.
        shop: its people's hours.
        programs: those that the week counts with.
        now: aware moment.
    Returns: one after another; a lunch hour without anybody counts too.
    """
    runs = tuple(alone_rows(rows, shop))
    if not runs:
        return ()
    by_step = {(str(one.job), one.step): one.program for one in programs}
    found: list[Night] = []
    for start, end in empty(shop, start=now, end=max(row.end for row in runs)):
        here = [
            Run(row, by_step.get((row.job, row.of)))
            for row in sorted(runs, key=lambda row: row.start)
            if row.start < end and row.end > start
        ]
        machines = dict.fromkeys(one.row.machine or "" for one in here)
        if here:
            each = (machine_night(name, [one for one in here if one.row.machine == name]) for name in machines)
            found.append(Night(start, end, tuple(each)))
    return tuple(found)


def empty(shop: Shop, *, start: datetime, end: datetime) -> tuple[tuple[datetime, datetime], ...]:
    """When nobody is in, each until somebody comes.

    Args:
        shop: its people's hours.
        start, end: what is looked at; the last one goes on beyond `end`, if it has to.
    Returns: from, to; FAR beyond `end` where nobody comes any more.
    """
    there = merged([
        one for person in shop.people for one in stretches(person, start=start, end=end + FAR, timezone=shop.timezone)
    ])  # fmt: skip
    edges = [(start, start), *there, (end + FAR, end + FAR)]
    return tuple((one[1], other[0]) for one, other in pairwise(edges) if other[0] > one[1] and one[1] < end)


def machine_night(machine: str, runs: Sequence[Run]) -> MachineNight:
    """One machine's runs of a night. A run that stops holds its machine until somebody comes, so the order counts.

    Args:
        machine: its id. runs: in the order of the plan.
    Returns: what to expect of them, and a better order, if there is one.
    """
    may = [one for one in runs if one.may]
    named = {f"{at}": one for at, one in enumerate(may)}
    able = [
        NightRun(name, one.program.good, (one.row.end - one.row.start).total_seconds(), ((machine, one.program.whole),))
        for name, one in named.items()
        if one.program is not None and one.program.good is not None and one.program.whole is not None
    ]
    good = expected(may)
    if len(able) < len(may) or len(able) < 2:
        return MachineNight(machine, tuple(runs), good)
    order = tuple(named[one.name] for one in one_machine(able, machine))
    better = expected(order)
    if better > good + MORE:
        return MachineNight(machine, tuple(runs), good, order, better)
    return MachineNight(machine, tuple(runs), good)


def expected(runs: Iterable[Run]) -> float:
    """Good parts by morning, on average: of each run as its own check says, if all before it ended without a stop."""
    alive, total = 1.0, 0.0
    for one in runs:
        if one.program is not None and one.may:
            total += alive * (one.program.good or 0.0)
            alive *= one.program.whole if one.program.whole is not None else 1.0
    return total
