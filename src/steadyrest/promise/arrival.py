"""When bought material is here: order before the supplier's cut-off, wait the lead days, perhaps a day more."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from steadyrest.promise.calendars import in_words, moment
from steadyrest.shop.draws import FloatArray, Luck
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop, Supplier
from steadyrest.shop.work import Purchase

YEAR = 366


@dataclass(frozen=True, slots=True)
class Arrival:
    """likely: without delay. draws_s: (n,) seconds after now. order_by: the cut-off that this plan needs."""

    likely: datetime
    draws_s: FloatArray
    order_by: datetime
    why: tuple[Reason, ...]


def arrival(buy: Sequence[Purchase], *, now: datetime, shop: Shop, luck: Luck) -> Arrival | None:
    """When everything bought is here.

    Args:
        buy: the route's purchases.
        now: aware.
        shop: its suppliers and time zone.
        luck: each supplier's delay is a factor of its own.
    Returns: the arrival, or None when nothing is bought.
    """
    if not buy:
        return None
    names = sorted({purchase.supplier for purchase in buy})
    suppliers = [supplier for name in names for supplier in shop.suppliers if supplier.id == name]
    if len(suppliers) < len(names):
        raise ValueError(f"arrival: a supplier of {names!r} is not in the shop")
    likely, order_by, why = now, None, list[Reason]()
    draws = np.zeros(luck.count)
    for supplier in suppliers:
        cut_off, here, day_late = delivery(supplier, now=now, timezone=shop.timezone, holidays=shop.holidays)
        late = luck.uniform(f"supplier {supplier.id}") < supplier.delay_odds
        draws = np.maximum(draws, np.where(late, (day_late - now).total_seconds(), (here - now).total_seconds()))
        likely = max(likely, here)
        order_by = cut_off if order_by is None else min(order_by, cut_off)
        why.append(
            because(
                "promise.arrival",
                supplier=supplier.name,
                order_by=in_words(cut_off, shop.timezone),
                here=in_words(here, shop.timezone),
                delay_odds=supplier.delay_odds,
            )
        )
    assert order_by is not None
    return Arrival(likely, draws, order_by, tuple(why))


def delivery(
    supplier: Supplier, *, now: datetime, timezone: str, holidays: Collection[str] = ()
) -> tuple[datetime, datetime, datetime]:
    """The next cut-off, the delivery that follows from it, and the same a working day late; each on the carrier's days.

    Args:
        supplier: cut-off, lead in working days (Monday to Friday), hour of arrival, its own holidays.
        now: aware.
        timezone: the shop's.
        holidays: the shop's days on which nothing is ordered, and nothing brought.
    Returns: three moments in UTC.
    """
    holidays = {*holidays, *supplier.holidays}
    zone = ZoneInfo(timezone)
    day = now.astimezone(zone).date()
    while not works(day, holidays) or moment(day, supplier.cut_off_min, zone) <= now:
        day += timedelta(days=1)
    here = _brought(working_day(day, supplier.lead_days, holidays), supplier.brings, holidays)
    late = _brought(working_day(here, 1, holidays), supplier.brings, holidays)
    return (
        moment(day, supplier.cut_off_min, zone),
        moment(here, supplier.arrives_min, zone),
        moment(late, supplier.arrives_min, zone),
    )


def working_day(day: date, ahead: int, holidays: Collection[str] = ()) -> date:
    """The working day so many after this one; a weekend or holiday counts as the working day before it."""
    while ahead > 0:
        day += timedelta(days=1)
        if works(day, holidays):
            ahead -= 1
    return day


def _brought(day: date, days: Collection[int], holidays: Collection[str]) -> date:
    """The first day from this one on, on which the carrier comes and somebody could be in."""
    for ahead in range(YEAR):
        at = day + timedelta(days=ahead)
        if at.weekday() in days and at.isoformat() not in holidays:
            return at
    return day  # only if every such day of a year is a holiday


def works(day: date, holidays: Collection[str]) -> bool:
    """Whether it is a working day: Monday to Friday, and no holiday."""
    return day.weekday() <= 4 and day.isoformat() not in holidays
