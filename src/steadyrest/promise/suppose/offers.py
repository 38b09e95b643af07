"""What could be done about trouble, as the request says: hours that somebody could add, steps that could go outside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from pathlib import PurePath
from typing import cast

from steadyrest.promise.asked import AskedWeek, read_week
from steadyrest.promise.suppose.change import Extra, Outside
from steadyrest.shop.floor import Shop
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed

DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Offers:
    """extra, outside: what may be tried. currency: of costs and of an hour late.

    per_hour: what an hour more of a person costs, where no hours are offered and longer evenings are tried.
    """

    extra: tuple[Extra, ...] = ()
    outside: tuple[Outside, ...] = ()
    currency: str = ""
    per_hour: Mapping[str, Decimal] = field(default_factory=dict)


def own_offers(shop: Shop) -> Offers:
    """What the shop's own week may be helped with: longer hours, at what an hour of each person costs.

    Args:
        shop: whose people.
    Returns: the offers.
    """
    return Offers(currency=shop.currency, per_hour={person.id: person.per_hour for person in shop.people})


def read_with_offers(text: str, where: str) -> tuple[AskedWeek, Offers]:
    """A week's request and what it offers against trouble.

    `[[person]] extra = [[from, to], ..]` with `extra_per_hour`; `[[job.step]] outside_days` with `outside_cost`;
    `currency`.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the week and the offers.
    Raises: BadInput: the first thing wrong, with its line.
    """
    week = read_week(text, where)
    file = parsed(text, PurePath(where).name)
    extra = [one for row in file.each("person") for one in _extra(row, week.now)]
    outside = [
        Outside(
            job.id, step.id, row.number("outside_days", above=True, high=365.0) * DAY_S, _money(row, "outside_cost")
        )
        for job, rows in zip(week.week.jobs, file.each("job"), strict=True)
        for step, row in zip(job.steps, rows.each("step"), strict=True)
        if "outside_days" in row.table
    ]
    return week, Offers(tuple(extra), tuple(outside), file.text("currency", ""))


def _money(row: Fields, key: str) -> Decimal | None:
    return row.money(key) if key in row.table else None


def _extra(row: Fields, now: datetime) -> list[Extra]:
    given = row.table.get("extra", [])
    per_hour = _money(row, "extra_per_hour")
    if not isinstance(given, list):
        raise row.wrong("extra", f"{given!r} is no list.", "Write [[from, to], ..] with moments.")
    found: list[Extra] = []
    for one in cast(list[object], given):
        pair = cast(list[object], one)
        if not isinstance(one, list) or len(pair) != 2:
            raise row.wrong("extra", f"{pair!s} is no stretch.", "Write [from, to] with two moments.")
        begin, end = (row.moment("extra", at) for at in pair)
        if end <= begin:
            raise row.wrong("extra", f"{end.isoformat()} is not after {begin.isoformat()}.", "Write the earlier first.")
        hours = Decimal(str((end - begin).total_seconds())) / 3600
        cost = None if per_hour is None else (per_hour * hours).quantize(Decimal("0.01"))
        person = str(row.table["id"])
        if end > now:
            found.append(Extra(person, max((begin - now).total_seconds(), 0.0), (end - now).total_seconds(), cost))
    return found
