"""A change and a way as reasons, for words on a page."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from steadyrest.promise.suppose.change import Add, Away, Change, Drop, Due, Extra, Outside, Stands
from steadyrest.promise.suppose.supposed import Way
from steadyrest.shop.figure import Reason, because
from steadyrest.wording.moments import on_the_wall, stretch_on_the_wall

FIRST = 4  # jobs named of an order; the rest follows as before


def changes_said(change: Change, now: datetime, names: Mapping[str, str] | None = None) -> Reason:
    """What a change is.

    Args:
        change: times in seconds after now.
        now: aware; its offset is the reader's.
        names: what people call who and what has an id; None: by their ids.
    Returns: the sentence's reason.
    """
    called = names or {}

    def at(after_s: float) -> datetime:
        return now + timedelta(seconds=after_s)

    match change:
        case Add(job):
            return because("suppose.add", job=job.id, due=on_the_wall(at(job.due_s)))
        case Drop(job):
            return because("suppose.drop", job=job)
        case Extra(person, begin, end):
            return because(
                "suppose.extra", person=called.get(person, person), when=stretch_on_the_wall(at(begin), at(end))
            )
        case Away(person, begin, end):
            return because(
                "suppose.away", person=called.get(person, person), when=stretch_on_the_wall(at(begin), at(end))
            )
        case Stands(machine, begin, end):
            return because(
                "suppose.stands", machine=called.get(machine, machine), when=stretch_on_the_wall(at(begin), at(end))
            )
        case Outside(job, step, takes):
            return because("suppose.outside", job=job, step=step, takes_s=takes)
        case Due(job, due):
            return because("suppose.due", job=job, due=on_the_wall(at(due)))


def way_said(
    way: Way, order: tuple[str, ...], now: datetime, names: Mapping[str, str] | None = None
) -> tuple[Reason, ...]:
    """What a way asks people to do.

    Args:
        way: found.
        order: ids in the order there was, what is new last.
        now: aware.
        names: as above.
    Returns: its changes, and who goes first if that is another than before; never empty.
    """
    said = [changes_said(change, now, names) for change in way.changes]
    if way.order != order:
        differs = next(k for k, (a, b) in enumerate(zip(way.order, order, strict=True)) if a != b)
        said.append(because("suppose.order", first=", then ".join(way.order[: max(FIRST, differs + 1)])))
    if not said:
        said.append(because("suppose.nothing"))
    if not way.known:
        said.append(because("suppose.unknown_cost"))
    return tuple(said)
