"""What the request files have in common: amounts written either way, ids once, keys that nobody reads."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from pathlib import PurePath
from typing import cast

from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed
from steadyrest.trouble import BadInput

CURRENCY = ""


def request(text: str, where: str) -> Fields:
    """A request file as fields. Raises: BadInput: empty, too long, or not TOML."""
    name = PurePath(where).name
    if not text.strip():
        raise BadInput(where=name, what="the request is empty.", do="docs/stock.md shows what stands in one.")
    return parsed(text, name)


def amount(fields: Fields, key: str, default: float | None = None, *, negative: bool = False) -> float:
    """An amount of money, written as a number or in quotation marks.

    Args:
        fields: the table. key: where it stands.
        default: where it may be left out.
        negative: below nothing is allowed.
    Returns: the amount.
    Raises: BadInput: missing, no amount, or out of range.
    """
    found = fields.table.get(key, default)
    if isinstance(found, str):
        try:
            found = float(Decimal(found))
        except InvalidOperation:
            raise fields.wrong(key, f"{found!r} is not an amount.", 'Write it as "38.50" or 38.5.') from None
    low = -1e9 if negative else 0.0
    if found is None or (isinstance(found, float) and not math.isfinite(found)):
        return fields.number(key)  # says what is wrong
    return Fields({key: found}, fields.path, fields.where, fields.lines, fields.after).number(key, low=low)


def currency(fields: Fields) -> str:
    """The currency that the file names, or none."""
    return fields.text("currency", CURRENCY)


def ids(rows: Sequence[Fields], what: str) -> tuple[str, ...]:
    """The id of each row, none twice. Raises: BadInput: missing or twice."""
    found = [_id(row) for row in rows]
    for row, name in zip(rows, found, strict=True):
        if found.count(name) > 1:
            raise row.wrong("id", f"{name!r} stands {found.count(name)} times.", f"Give each {what} its own id.")
    return tuple(found)


def _id(row: Fields) -> str:
    found = row.table.get("id")
    return str(found) if isinstance(found, int) and not isinstance(found, bool) else row.text("id")


def unread(fields: Fields, known: Iterable[str]) -> tuple[str, ...]:
    """Keys of a table that say nothing here: no refusal, but told."""
    return tuple(fields.place(key) for key in fields.table if key not in set(known))


def ranks(due: Mapping[str, object], rows: Mapping[str, Fields]) -> dict[str, int]:
    """Each part's rank by when it is due: whole numbers, dates or moments, one kind in a file.

    Args:
        due: as written, by the part's id; one that is due at no time is in none. rows: where each part stands.
    Returns: 0 for the first, and so on; what is due at no time comes after all others.
    Raises: BadInput: something by which they cannot be put in order.
    """
    kinds = {type(said) for said in due.values()}
    for name, said in due.items():
        fits = type(said) in (int, date) or (isinstance(said, datetime) and said.tzinfo is not None)
        if not fits or len(kinds) > 1:
            what = f"{said!s} is no time by which parts can be put in order."
            raise rows[name].wrong("due", what, "Write a date in each, a moment with offset in each, or 1, 2, 3.")
    order = sorted(cast("set[int]", set(due.values())))
    return {name: order.index(cast(int, due[name])) if name in due else len(order) for name in rows}
