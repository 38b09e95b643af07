"""The request file of `steadyrest paper statement`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import PurePath
from typing import cast
from zoneinfo import ZoneInfo

from steadyrest.price.statement.said import Entry, EntryKind, Goods, Rounding, StatementSaid, Tax, Travel, Window
from steadyrest.shop.shop_fields import DAYS, Fields
from steadyrest.shop.shop_text import parsed
from steadyrest.trouble import BadInput

MOST = Fraction(10**9)


def read_statement(text: str, where: str) -> StatementSaid:
    """What a statement is made from.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the values, checked: each entry has a rate, ends after it starts, replaces one that is there.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    name = PurePath(where).name
    if not text.strip():
        raise BadInput(where=name, what="the request is empty.", do="docs/statement.md shows what stands in one.")
    file = parsed(text, name)
    rates = _rates(file)
    certificate = file.inner("certificate") if "certificate" in file.table else None
    return StatementSaid(
        currency=file.text("currency"),
        zone=_zone(file),
        date=date_of(file, "statement_date"),
        rates=rates,
        windows=tuple(_window(row) for row in file.each("factor")),
        rounding=rounding_of(file.inner("rounding")) if "rounding" in file.table else NOT_ROUNDED,
        tax=tax_of(file.inner("tax")) if "tax" in file.table else NO_TAX,
        spared_until=date_of(certificate, "valid_until") if certificate else None,
        entries=_entries(file.each("entry"), rates),
        travel=tuple(
            Travel(exact(row, "distance"), row.text("unit", "km"), exact(row, "rate")) for row in file.each("travel")
        ),
        goods=tuple(
            Goods(row.text("what"), exact(row, "cost"), exact(row, "markup", Fraction(0)), row.flag("taxable", True))
            for row in file.each("goods")
        ),
    )


NOT_ROUNDED = Rounding(Fraction(0), up=True, by_day=False, minimum_labour=Fraction(0))
NO_TAX = Tax(Fraction(0), on_all=False, by_line=False, half_even=False)


def exact(fields: Fields, key: str, default: Fraction | None = None) -> Fraction:
    """A number as written, in quotation marks or not, without a digit lost."""
    found = fields.table.get(key)
    if found is None:
        if default is None:
            fields.text(key)  # says that it is missing
        return default or Fraction(0)
    if isinstance(found, bool) or not isinstance(found, str | int | float):
        raise fields.wrong(key, f"{found!r} is not a number.", 'Write it as "12.50".')
    try:
        number = Decimal(found.strip() if isinstance(found, str) else repr(found))
    except InvalidOperation:
        raise fields.wrong(key, f"{found!r} is not a number.", 'Write it as "12.50".') from None
    if not number.is_finite() or number < 0 or number > MOST or number.adjusted() < -30:
        raise fields.wrong(key, f"{found!r} is out of range.", "Give a number from 0 to 1000000000.")
    return Fraction(number)


def _zone(file: Fields) -> ZoneInfo:
    name = file.text("timezone")
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise file.wrong("timezone", f"{name!r} is not a time zone.", 'Write it as "Europe/Vienna".') from None


def date_of(fields: Fields, key: str) -> date:
    """A day, as TOML has it or as text."""
    found = fields.table.get(key)
    if isinstance(found, datetime):
        return found.date()
    if isinstance(found, date):
        return found
    text = fields.text(key)
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise fields.wrong(key, f"{text!r} is not a date.", "Write it as 2026-12-31.") from None


def _rates(file: Fields) -> Mapping[str, Fraction]:
    if "rates" not in file.table:
        return {}
    rates = file.inner("rates")
    return {name: exact(rates, name) for name in rates.table}


def _window(row: Fields) -> Window:
    days = frozenset(DAYS.index(day) for day in row.texts("days", (), among=DAYS))
    begin, end = _time(row, "from"), _time(row, "to")
    if (begin is None) != (end is None):
        raise row.wrong(None, "from and to belong together.", "Give both, or days alone.")
    if begin is None and not days:
        raise row.wrong(None, "it says neither days nor from and to.", 'Write days = ["sat"], or from and to.')
    midnight = end == time(0)
    return Window(exact(row, "factor"), days, begin, end, until_midnight=midnight)


def _time(row: Fields, key: str) -> time | None:
    found = row.table.get(key)
    if found is None or isinstance(found, time):
        return found
    minute = row.clock(key) % (24 * 60)
    return time(minute // 60, minute % 60)


def rounding_of(fields: Fields) -> Rounding:
    """How hours are rounded, from its table."""
    return Rounding(
        unit_h=exact(fields, "unit_h", Fraction(0)),
        up=fields.text("mode", "up", among=("up", "nearest")) == "up",
        by_day=fields.text("per", "entry", among=("entry", "day")) == "day",
        minimum_labour=exact(fields, "minimum_labour", Fraction(0)),
    )


def tax_of(fields: Fields) -> Tax:
    """The tax, from its table."""
    return Tax(
        rate=exact(fields, "rate"),
        on_all=fields.text("on", "goods", among=("goods", "all")) == "all",
        by_line=fields.text("by", "total", among=("total", "line")) == "line",
        half_even=fields.text("half", "up", among=("up", "even")) == "even",
    )


def _entries(rows: tuple[Fields, ...], rates: Mapping[str, Fraction]) -> tuple[Entry, ...]:
    found = [_entry(row, rates) for row in rows]
    names = [entry.id for entry in found]
    for row, entry in zip(rows, found, strict=True):
        if names.count(entry.id) > 1:
            raise row.wrong("id", f"{entry.id!r} stands {names.count(entry.id)} times.", "Give each its own id.")
        if entry.replaces is not None and (entry.replaces not in names or entry.replaces == entry.id):
            raise row.wrong("replaces", f"{entry.replaces!r} is no other entry.", "Name the one that it corrects.")
    return tuple(found)


def _entry(row: Fields, rates: Mapping[str, Fraction]) -> Entry:
    start = row.moment("start", row.table.get("start"))
    end = row.moment("end", row.table["end"]) if "end" in row.table else None
    if end is not None and end < start:
        raise row.wrong("end", f"{end.isoformat()} is before its start.", "Check the two moments.")
    who = row.text("who")
    if who not in rates:
        raise row.wrong("who", f"{who!r} has no rate.", f"Add {who} to [rates].")
    return Entry(
        id=_id(row, "id"),
        kind=cast(EntryKind, row.text("kind", among=("labour", "machine"))),
        who=who,
        start=start,
        end=end,
        replaces=_id(row, "replaces") if "replaces" in row.table else None,
    )


def _id(row: Fields, key: str) -> str:
    found = row.table.get(key)
    return str(found) if isinstance(found, int) and not isinstance(found, bool) else row.text(key)
