"""When a machine stands: for its service, while it gets warm, and when it may not run by itself.

What may not run alone is said as standing over the hours in which nobody is in: with somebody in, it runs.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from steadyrest.promise.calendars import weekly
from steadyrest.promise.week import Down, Presence, joined
from steadyrest.shop.floor import Machine, Shop

Hours = tuple[tuple[float, float], ...]


def stands(shop: Shop, people: Sequence[Presence], *, now: datetime, end: datetime) -> tuple[Down, ...]:
    """Every stretch in which a machine stands.

    Args:
        shop: its machines.
        people: who is in when.
        now, end: aware; from when to when.
    Returns: by machine, in the shop's order; they may overlap.
    """
    here = joined([stretch for person in people for stretch in person.stretches_s])
    return tuple(
        Down(machine.id, begin, stop)
        for machine in shop.machines
        for begin, stop in (
            *((max((a - now).total_seconds(), 0.0), (b - now).total_seconds()) for a, b in machine.stands if b > now),
            *_warming(machine, here),
            *_not_alone(machine, here, shop.timezone, now=now, end=end),
        )
    )


def _warming(machine: Machine, here: Hours) -> Hours:
    """From the first to come in until it is warm; it has gone cold where nobody was in for long enough."""
    if machine.warm_up_s <= 0:
        return ()
    gone, found = -machine.cold_after_s, list[tuple[float, float]]()
    for begin, end in here:
        if begin > 0 and begin - gone >= machine.cold_after_s:  # somebody in at this moment has seen to it
            found.append((begin, begin + machine.warm_up_s))
        gone = end
    return tuple(found)


def _not_alone(machine: Machine, here: Hours, timezone: str, *, now: datetime, end: datetime) -> Hours:
    """The hours in which it may not run by itself and would have to, for nobody is in."""
    found: list[tuple[float, float]] = []
    for begin, stop in weekly(machine.not_alone, start=now - timedelta(days=1), end=end, timezone=timezone):
        at, last = max((begin - now).total_seconds(), 0.0), (stop - now).total_seconds()
        for a, b in here:
            if b > at and a < last:
                found.append((at, a))
                at = b
        found.append((at, last))
    return tuple((a, b) for a, b in found if a < b)
