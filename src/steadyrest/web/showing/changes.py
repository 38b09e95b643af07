"""The page of who changed what, filled."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import datetime
from typing import cast
from urllib.parse import urlencode

from steadyrest.desk.books.changes import Changes
from steadyrest.desk.floor.who import name_of
from steadyrest.shop.floor import Shop
from steadyrest.store.changes import Change
from steadyrest.web.pages.changes import ChangeRow, ChangesPage
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment

LONGEST = 240
MOMENT = re.compile(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d:\d\d(\.\d+)?[+-]\d\d:\d\d")
# Tables as people call them; another is called by its own name.
TABLES = {
    "ledger": "", "clock": "the clock", "movement": "the rack", "shop_version": "the shop file",
    "check_in": "alone", "customer_entry": "customer", "thing_entry": "", "thing": "",
    "cut_list_entry": "cut by a list", "scrap_entry": "scrap",
}  # fmt: skip


def page(shop: Shop, found: Changes, *, who: str) -> ChangesPage:
    """The page.

    Args:
        shop: whose it is.
        found: the entries. who: whose alone; "" for everybody.
    Returns: the page.
    """
    older = ""
    if found.older:
        older = "/changes?" + urlencode({"before": found.rows[-1].told.isoformat(), "who": who})
    return ChangesPage(
        top=Top("Who changed what", shop.name),
        who=who,
        people=tuple((one.id, one.name) for one in shop.people),
        rows=tuple(row(one, shop) for one in found.rows),
        older=older,
    )


def row(one: Change, shop: Shop) -> ChangeRow:
    """One entry in words."""
    place = TABLES.get(one.table, one.table.replace("_", " "))
    return ChangeRow(
        who=name_of(shop, one.who),
        what=": ".join(part for part in (place, one.kind) if part) or one.table.replace("_", " "),
        job=one.job,
        said=shortened("; ".join(filter(None, (plain(name, text, shop) for name, text in one.said)))),
        when=moment(one.told, shop.timezone),
        happened=moment(one.happened, shop.timezone) if one.happened is not None else "",
    )


def plain(name: str, text: str, shop: Shop) -> str:
    """A column as a person reads it: what is kept as data is taken apart, moments and people as they are called."""
    if name == "person":
        return f"of {name_of(shop, text)}" if text else ""
    if MOMENT.fullmatch(text):
        return f"{name.replace('_', ' ')}: {moment(datetime.fromisoformat(text), shop.timezone)}"
    if text.startswith("{"):
        try:
            held = cast("Mapping[str, object]", json.loads(text))
        except ValueError:
            return text
        return "; ".join(f"{key.replace('_', ' ')}: {value}" for key, value in held.items() if value not in (None, ""))
    return text if name == "words" else f"{name.replace('_', ' ')}: {text}"


def shortened(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[:LONGEST]} ..."
