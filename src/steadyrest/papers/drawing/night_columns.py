"""Who does what when, as columns of blocks: a column for each person and machine, and the window of time to show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from steadyrest.papers.drawing.night_time import Span
from steadyrest.promise.answer import PlanRow
from steadyrest.promise.calendars import merged, stretches
from steadyrest.shop.floor import Machine, Person

JOINED = timedelta(minutes=3)
LOOK_PAST = timedelta(hours=1)
DUE_SHOWN_WITHIN = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class Block:
    """Work in one column without a break in it. parts: (from, to, somebody is at it); between them it is held, idle."""

    job: str
    new: bool
    start: datetime
    end: datetime
    name: str
    parts: tuple[tuple[datetime, datetime, bool], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """One person (by name) or machine (by its short id: a column is narrow). here: when it is not shaded."""

    head: str
    machine: bool
    here: tuple[Span, ...]
    blocks: tuple[Block, ...]


def window(rows: Sequence[PlanRow], now: datetime, due: datetime) -> Span:
    """From the half hour before now to past the new job's end, and to the due time if that is near."""
    last = max((row.end for row in rows if row.new), default=max((row.end for row in rows), default=now))
    until = max(last, due) if due - last <= DUE_SHOWN_WITHIN else last
    start = now.replace(minute=now.minute - now.minute % 30, second=0, microsecond=0)
    return start, max(until, now) + LOOK_PAST


def columns_of(
    rows: Sequence[PlanRow],
    people: Sequence[Person],
    machines: Sequence[Machine],
    start: datetime,
    end: datetime,
    timezone: str,
) -> list[Column]:
    here = {person.id: stretches(person, start=start, end=end, timezone=timezone) for person in people}
    anyone = merged([span for spans in here.values() for span in spans])
    columns = [
        Column(person.name, False, here[person.id], _joined([row for row in rows if row.person == person.id]))
        for person in people
    ]
    for machine in machines:
        mine = [row for row in rows if row.machine == machine.id]
        if mine:
            columns.append(Column(machine.id, True, anyone, _held(mine)))
    return columns


def _joined(rows: Sequence[PlanRow]) -> tuple[Block, ...]:
    """A person's rows; what follows at once in the same job is one block."""
    blocks: list[Block] = []
    for row in sorted(rows, key=lambda row: row.start):
        part = (row.start, row.end, True)
        if blocks and blocks[-1].job == row.job and row.start - blocks[-1].end <= JOINED:
            last = blocks.pop()
            name = last.name if last.name == row.name else ""
            blocks.append(Block(row.job, row.new, last.start, row.end, name, (*last.parts, part)))
        else:
            blocks.append(Block(row.job, row.new, row.start, row.end, row.name, (part,)))
    return tuple(blocks)


def _held(rows: Sequence[PlanRow]) -> tuple[Block, ...]:
    """A machine's rows: a step holds it from its first row to its last."""
    steps = {
        (row.job, row.step): [other for other in rows if (other.job, other.step) == (row.job, row.step)] for row in rows
    }
    return tuple(
        Block(
            job=job,
            new=mine[0].new,
            start=min(row.start for row in mine),
            end=max(row.end for row in mine),
            name="",
            parts=tuple((row.start, row.end, row.person is not None) for row in mine),
        )
        for (job, _), mine in steps.items()
    )


def close(parts: Sequence[tuple[datetime, datetime, bool]]) -> list[tuple[datetime, datetime, bool]]:
    """Parts that follow at once in the same way as one, so that no hairline stands between them."""
    out: list[tuple[datetime, datetime, bool]] = []
    for a, b, attended in sorted(parts):
        if out and out[-1][2] == attended and a - out[-1][1] <= JOINED:
            out[-1] = (out[-1][0], max(b, out[-1][1]), attended)
        else:
            out.append((a, b, attended))
    return out


def idle(block: Block) -> list[Span]:
    """When the block's machine is held and nothing happens on it."""
    done = merged([(a, b) for a, b, _ in block.parts])
    return [(a[1], b[0]) for a, b in pairwise(done) if b[0] - a[1] > JOINED]
