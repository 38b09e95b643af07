"""A parts list as TOML text in, the PartsList out. docs/several-parts.md shows one.

name, due, customer, quantity; [[part]] made here or bought; [[fit_up]] and [[assembly]]; [site].
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import PurePath
from typing import cast

from steadyrest import units
from steadyrest.shop.parts_list import JOINTS, BoughtPart, Fitting, JointKind, ListedPart, PartsList, Site
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed
from steadyrest.tables.practice import rule
from steadyrest.trouble import BadInput

TOP = ("name", "customer", "due", "quantity", "part", "fit_up", "assembly", "site")
MADE = ("id", "file", "material", "quantity", "unit", "body", "finish", "thickness", "made_here")
BOUGHT = ("id", "what", "quantity", "price", "lead_days", "from", "delay_odds", "mass_kg", "made_here")
FITTING = ("id", "of", "joint", "joints", "time", "after")
SITE = ("travel", "distance_km", "work", "who", "tools", "never_alone")
MOST_PARTS = 100
MOST = 1_000_000
ONE_DAY_S = 86_400.0


def read_parts_list(text: str, where: str) -> PartsList:
    """The job that a parts list describes.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the job, checked: every name is known, nothing goes into itself, every number is one that can be meant.
    Raises: BadInput: the first thing wrong, with where it stands and what is allowed.
    """
    name = PurePath(where).name
    if not text.strip():
        raise BadInput(where=name, what="the parts list is empty.", do="docs/several-parts.md shows one.")
    file = parsed(text, name)
    file.only(TOP)
    rows = file.each("part")
    if not rows:
        raise file.wrong(None, "there is no part.", "Add one as [[part]] with id, file, material and quantity.")
    if len(rows) > MOST_PARTS:
        raise file.wrong("part", f"{len(rows)} parts are too many for one job.", f"Give at most {MOST_PARTS}.")
    quantity = file.whole("quantity", 1, low=1, high=MOST)
    made = tuple(_made(row) for row in rows if row.flag("made_here", True))
    bought = tuple(_bought(row) for row in rows if not row.flag("made_here", True))
    for row, count in [(row, row.whole("quantity", 1, low=1, high=MOST)) for row in rows]:
        if count * quantity > MOST:
            raise row.wrong("quantity", f"{count} times {quantity} is too many.", f"At most {MOST} of a part.")
    steps = (*(("fit_up", row) for row in file.each("fit_up")), *(("assembly", row) for row in file.each("assembly")))
    _once(rows, [row for _, row in steps])
    fittings = _fittings(steps, [row.text("id") for row in rows])
    due: datetime | None = file.moment("due", file.table["due"]) if "due" in file.table else None
    return PartsList(
        name=file.text("name", PurePath(name).stem), customer=file.text("customer", ""), due=due, quantity=quantity,
        made=made, bought=bought, fittings=fittings, site=_site(file) if "site" in file.table else None,
    )  # fmt: skip


def _made(row: Fields) -> ListedPart:
    row.only(MADE)
    file = row.text("file")
    if "\x00" in file:
        raise row.wrong("file", f"{file!r} is no file's name.", "Name a STEP, STL, PLY, OBJ or 3MF file.")
    unit = row.text("unit", "", among=("", "mm", "in", "m")) or None
    return ListedPart(
        id=row.text("id"), file=file, material=row.text("material"),
        quantity=row.whole("quantity", 1, low=1, high=MOST), unit=unit,
        body=row.whole("body", low=1, high=10_000) if "body" in row.table else None, finishes=row.texts("finish", ()),
        where=row.place("file"), thickness=row.text("thickness", ""),
    )  # fmt: skip


def _bought(row: Fields) -> BoughtPart:
    row.only(BOUGHT)
    return BoughtPart(
        id=row.text("id"), what=row.text("what", row.text("id")), quantity=row.whole("quantity", 1, low=1, high=MOST),
        price=row.money("price"), lead_days=row.whole("lead_days", high=1000), seller=row.text("from", "bought in"),
        delay_odds=row.number("delay_odds", high=1) if "delay_odds" in row.table else None,
        mass_kg=row.number("mass_kg", 0.0, high=1e5),
    )  # fmt: skip


def _once(parts: Sequence[Fields], steps: Sequence[Fields]) -> None:
    seen: set[str] = set()
    for row in (*parts, *steps):
        name = row.text("id")
        if name in seen:
            raise row.wrong("id", f"{name!r} stands twice.", "Give each part and each step its own id.")
        seen.add(name)


def _fittings(rows: Sequence[tuple[str, Fields]], parts: Sequence[str]) -> tuple[Fitting, ...]:
    """Every fit-up and assembly, those that others need first."""
    found = {row.text("id"): _fitting(kind, row) for kind, row in rows}
    places = {row.text("id"): row for _, row in rows}
    for name, one in found.items():
        for other in one.of:
            if other not in parts and other not in found:
                raise places[name].wrong("of", f"there is no part {other!r}.", f"Parts: {', '.join(parts[:20])}.")
            if other in found and found[other].trial:
                what = f"{other!r} is a fit-up: it comes apart again."
                raise places[name].wrong("of", what, "Name the parts themselves.")
        for other in one.after:
            if other not in found:
                raise places[name].wrong("after", f"there is no step {other!r}.", f"Steps: {', '.join(found)}.")
    linked = {name: replace(one, after=_before(one, found)) for name, one in found.items()}
    return tuple(linked[name] for name in _in_order(linked, places))


def _before(one: Fitting, found: Mapping[str, Fitting]) -> tuple[str, ...]:
    """What is done before: named outright, gone into it, or a fit-up of the same parts."""
    tried = (o.id for o in found.values() if o.trial and not one.trial and set(o.of) & set(one.of))
    return tuple(dict.fromkeys((*one.after, *(name for name in one.of if name in found), *tried)))


def _in_order(found: Mapping[str, Fitting], places: Mapping[str, Fields]) -> tuple[str, ...]:
    """Ids so that each comes after those it needs; BadInput where they go round in a ring."""
    done: list[str] = []
    while len(done) < len(found):
        ready = next((n for n, one in found.items() if n not in done and set(one.after) <= set(done)), None)
        if ready is None:
            ring = [name for name in found if name not in done]
            what = f"{', '.join(ring)} wait for each other in a ring."
            raise places[ring[0]].wrong(None, what, "Let each name only what is put together before it.")
        done.append(ready)
    return tuple(done)


def _fitting(kind: str, row: Fields) -> Fitting:
    row.only(FITTING)
    of = row.texts("of")
    trial = kind == "fit_up"
    if not of or (len(of) < 2 and not trial):
        raise row.wrong("of", f"{list(of)!r} are too few.", "Name at least two parts; a fit-up may name one.")
    return Fitting(
        id=row.text("id"), of=of, joint=cast(JointKind, row.text("joint", "by hand", among=JOINTS)),
        joints=row.whole("joints", max(len(of) - 1, 1), low=1, high=10_000), trial=trial,
        hands_s=_time(row, "time") if "time" in row.table else None, after=row.texts("after", ()),
    )  # fmt: skip


def _site(file: Fields) -> Site:
    site = file.inner("site")
    site.only(SITE)
    if "travel" in site.table or "distance_km" not in site.table:
        travel_s = _time(site, "travel")
    else:
        travel_s = site.number("distance_km", high=2000) / rule("travel_km_h") * 3600.0
    return Site(
        travel_s=travel_s, hands_s=_time(site, "work"), who=site.texts("who", ()),
        tools=site.texts("tools", ()), never_alone=site.flag("never_alone", False),
    )  # fmt: skip


def _time(row: Fields, key: str) -> float:
    try:
        found = units.parse_time(row.text(key))
    except BadInput as bad:
        raise row.wrong(key, bad.what, bad.do) from None
    if found > 10 * ONE_DAY_S:
        raise row.wrong(key, f"{row.text(key)!r} is longer than ten days.", "Check the number and its unit.")
    return found
