"""How late what is owed is: five heaps, from not due to over ninety days."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Literal, get_args

from steadyrest.price.owed.account import NOTHING, Stands

Heap = Literal["not due", "1 to 30 days", "31 to 60 days", "61 to 90 days", "over 90 days"]
HEAPS: tuple[Heap, ...] = get_args(Heap)
# The last day of lateness that each heap but the last still takes.
UPTO_DAYS = (0, 30, 60, 90)


def heap(due: date, day: date) -> Heap:
    """The heap of what was due on one day and is looked at on another; on its last day it is not late."""
    late = (day - due).days
    return HEAPS[sum(late > upto for upto in UPTO_DAYS)]


def ageing(invoices: Iterable[Stands], day: date) -> dict[Heap, Decimal]:
    """What is open, by how late it is.

    Args:
        invoices: as they stand.
        day: on which it is looked at.
    Returns: every heap, the least late first; together exactly what is owed.
    """
    found = dict.fromkeys(HEAPS, NOTHING)
    for one in invoices:
        found[heap(one.charge.due, day)] += one.open
    return found


def late(invoices: Iterable[Stands], day: date) -> tuple[Stands, ...]:
    """Those with something open whose due day is past, the latest first."""
    found = [one for one in invoices if one.open > 0 and one.charge.due < day]
    return tuple(sorted(found, key=lambda one: (one.charge.due, one.charge.number)))
