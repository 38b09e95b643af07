"""A stop that was forgotten shows as a gap: the clock ran on long after the person's hours were over.

Nothing is guessed into the record. The person is asked, and the answer is an entry like any other; until then the
stretch is listed in the work record and not charged.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from steadyrest.promise import calendars
from steadyrest.shop.floor import Shop
from steadyrest.store.stretches import WorkStretch

# Our own rule: a break between two stretches of a day that is shorter than this is lunch.
LUNCH = timedelta(hours=2)
# After hours, somebody may go on this long before we ask.
GOES_ON = timedelta(hours=2)
# Begun outside of anybody's hours: asked about after this long.
OUTSIDE = timedelta(hours=5)
LOOK = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What to ask about. likely_end: when the person's hours were over, or the last word from them, if later."""

    likely_end: datetime
    ran_to: datetime


def forgotten(one: WorkStretch, shop: Shop, *, now: datetime) -> Forgotten | None:
    """Whether somebody seems to have forgotten to stop.

    Args:
        one: a stretch of work.
        shop: who is in when.
        now: aware moment.
    Returns: what to ask; None if the stretch is as one would think.
    """
    ran_to = (one.end or now).astimezone(UTC)
    likely = likely_end(one, shop)
    if ran_to - likely <= GOES_ON:
        return None
    return Forgotten(likely, ran_to)


def likely_end(one: WorkStretch, shop: Shop) -> datetime:
    """When the person was last likely there: the end of their hours, lunch bridged, or their last note."""
    start = one.start.astimezone(UTC)
    person = next((person for person in shop.people if person.id == one.person), None)
    hours = ()
    if person is not None:
        hours = calendars.stretches(person, start=start - LOOK, end=start + LOOK, timezone=shop.timezone)
    end = start + OUTSIDE - GOES_ON
    for begin, until in hours:
        # In at the start, or soon after: an early bird's clock runs into the day.
        if (begin <= start < until) or (start < begin <= end + LUNCH):
            end = max(end, until)
    said = [entry.happened.astimezone(UTC) for entry in one.notes]
    return max([end, *said])
