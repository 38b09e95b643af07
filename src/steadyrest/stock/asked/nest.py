"""The request file of `steadyrest stock nest`."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import cast

from steadyrest.shop.shop_fields import Fields
from steadyrest.stock.asked.fields import amount, currency, ids, ranks, request, unread
from steadyrest.stock.nesting.opened import RestRule, StockSheet
from steadyrest.stock.nesting.pieces import wrong_with
from steadyrest.stock.nesting.sheets import Sheet
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Ring

KEYS = (
    "gap_mm", "margin_mm", "hole_clear_mm", "clamp_clear_mm", "turns_deg", "may_mirror", "time_limit_s", "currency",
    "plate", "sheet", "clamp", "rest", "part",
)  # fmt: skip
PLATE_KEYS, HOLE_KEYS = ("outline_mm", "hole"), ("outline_mm",)
PART_KEYS = ("id", "count", "outline_mm", "hole", "due")
SHEET_KEYS = ("id", "outline_mm", "hole", "count", "cost", "heat_number")
CLAMP_KEYS, REST_KEYS = ("sheet", "outline_mm"), ("keep_mm2", "keep_width_mm", "value_per_m2")
LONGEST_MM = 1e5
MOST_PARTS, MOST_CORNERS, MOST_SHEETS = 1_000, 2_000, 200
SECONDS, MOST_SECONDS = 60.0, 3600.0
SAME_MM = 1e-6
MM2_IN_M2 = Decimal(10) ** 6


@dataclass(frozen=True, slots=True)
class NestAsked:
    """A nest as asked for. sheets: where several were given; else the plate is in `wanted`. seconds: to look for it.

    due: when each part is due, as written, by its id; a part that is due at no time is in none.
    """

    wanted: NestWanted
    sheets: tuple[StockSheet, ...]
    rest: RestRule
    seconds: float
    currency: str
    due: Mapping[str, str]


def read_nest(text: str, where: str) -> tuple[NestAsked, tuple[str, ...]]:
    """Which parts are to be nested on which plate or sheets, and how long to look for a nest.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file = request(text, where)
    parts, rows = file.each("part"), file.each("sheet")
    names, clamps = ids(parts, "part"), file.each("clamp")
    if not parts:
        raise file.wrong("part", "there is no part.", "Write [[part]] above each one.")
    if rows and "plate" in file.table:
        raise file.wrong("plate", "a plate and sheets are given.", "Give [plate], or [[sheet]] for each kind of sheet.")
    plate = None if rows else file.inner("plate")
    sheets = _sheets(rows, clamps)
    first = plate or rows[0]
    due = {name: row.table["due"] for name, row in zip(names, parts, strict=True) if "due" in row.table}
    rank = ranks(due, dict(zip(names, parts, strict=True)))
    hole_clear_mm = file.number("hole_clear_mm", 0.0, high=1e4)
    wanted = NestWanted(
        parts=tuple(
            NestPart(
                name,
                row.whole("count", 1, high=1_000_000),
                outline(row),
                tuple(outline(hole) for hole in row.each("hole")),
                rank[name],
            )
            for name, row in zip(names, parts, strict=True)
        ),
        plate_mm=outline(first),
        holes_mm=tuple(outline(hole) for hole in first.each("hole")),
        gap_mm=file.number("gap_mm", 0.0, high=1000),
        margin_mm=file.number("margin_mm", 0.0, high=1e4),
        hole_clear_mm=hole_clear_mm,
        turns_deg=turns(file),
        may_mirror=file.flag("may_mirror", False),
        clamps_mm=() if rows else tuple(outline(row) for row in clamps),
        clamp_clear_mm=file.number("clamp_clear_mm", hole_clear_mm, high=1e4),
    )
    many = sum(part.count for part in wanted.parts)
    if many > MOST_PARTS:
        raise file.wrong("part", f"{many} parts are more than the {MOST_PARTS} that one nest takes.", "Split the list.")
    for row, part in zip(parts, wanted.parts, strict=True):
        if wrong := wrong_with(part.outline_mm, part.holes_mm):
            raise row.wrong("hole", wrong, "Give holes inside the outline and apart from each other.")
    rest = file.inner("rest") if "rest" in file.table else Fields({}, "rest", file.where, file.lines)
    asked = NestAsked(
        wanted, sheets, _rest(rest), file.number("time_limit_s", SECONDS, high=MOST_SECONDS), currency(file),
        {name: str(said) for name, said in due.items()},
    )  # fmt: skip
    known = [(rest, REST_KEYS), *((row, SHEET_KEYS) for row in rows), *((row, CLAMP_KEYS) for row in clamps)]
    known += [(plate, PLATE_KEYS)] if plate else []
    known += [(row, PART_KEYS) for row in parts]
    known += [(hole, HOLE_KEYS) for row in (*([plate] if plate else rows), *parts) for hole in row.each("hole")]
    beside = tuple(key for row, keys in known for key in unread(row, keys))
    return asked, (*unread(file, KEYS), *beside)


def _sheets(rows: Sequence[Fields], clamps: Sequence[Fields]) -> tuple[StockSheet, ...]:
    """The sheets, each with the clamps on it. Raises: BadInput: a clamp that lies on none of them, too many."""
    if not rows:
        return ()
    names = ids(rows, "sheet")
    on = {name: list[Ring]() for name in names}
    for row in clamps:
        on[row.text("sheet", names[0] if len(names) == 1 else None, among=names)].append(outline(row))
    found = list[StockSheet]()
    for name, row in zip(names, rows, strict=True):
        holes = tuple(outline(hole) for hole in row.each("hole"))
        sheet = Sheet(outline(row), holes, tuple(on[name]))
        count, cost = row.whole("count", 1, low=1, high=MOST_SHEETS), amount(row, "cost", 0.0)
        found.append(StockSheet(name, sheet, count, Decimal(repr(cost)), row.text("heat_number", "")))
    if sum(one.count for one in found) > MOST_SHEETS:
        raise rows[0].wrong("count", f"there are more than {MOST_SHEETS} sheets.", "Leave some out.")
    return tuple(found)


def _rest(row: Fields) -> RestRule:
    per_m2 = Decimal(repr(amount(row, "value_per_m2", 0.0)))
    return RestRule(
        row.number("keep_mm2", 0.0, high=1e12), row.number("keep_width_mm", 0.0, high=LONGEST_MM), per_m2 / MM2_IN_M2
    )


def turns(file: Fields) -> tuple[float, ...] | None:
    """The turns that are allowed; None: any; where nothing is said: none but as it is.

    Args:
        file: the request.
    Returns: degrees, each once, or None.
    Raises: BadInput: neither a list of numbers nor "any".
    """
    found = file.table.get("turns_deg", [0.0])
    if found == "any":
        return None
    if not isinstance(found, list) or not found:
        raise file.wrong("turns_deg", f'{found!r} is neither a list of degrees nor "any".', "Write [0, 90, 180, 270].")
    each = [_number(file, "turns_deg", one, 1e6) for one in cast(list[object], found)]
    return tuple(dict.fromkeys(one % 360.0 for one in each))


def outline(row: Fields) -> Ring:
    """An outline as its corners, none twice in a row, the first not given again at the end.

    Args:
        row: the table in which outline_mm stands.
    Returns: at least three corners that bound one area.
    Raises: BadInput: no list of points, no area, or it crosses itself; with the place.
    """
    found = row.table.get("outline_mm")
    if not isinstance(found, list):
        raise row.wrong("outline_mm" if "outline_mm" in row.table else None, "outline_mm is missing or no list.",
                        "Write outline_mm = [[0, 0], [90, 0], [90, 40]].")  # fmt: skip
    points = [_point(row, point) for point in cast(list[object], found)]
    corners = [p for k, p in enumerate(points) if k == 0 or math.dist(p, points[k - 1]) > SAME_MM]
    while len(corners) > 1 and math.dist(corners[0], corners[-1]) <= SAME_MM:
        corners.pop()
    if len(corners) < 3:
        raise row.wrong("outline_mm", f"{len(corners)} different points bound no area.", "Give three or more.")
    if len(corners) > MOST_CORNERS:
        raise row.wrong("outline_mm", f"{len(corners)} points are too many.", f"Give at most {MOST_CORNERS}.")
    if wrong := wrong_with(corners):
        raise row.wrong("outline_mm", wrong, "Give one plain loop of corners in order.")
    return tuple(corners)


def _point(row: Fields, found: object) -> tuple[float, float]:
    pair = cast(list[object], found) if isinstance(found, list) else []
    if len(pair) != 2:
        raise row.wrong("outline_mm", f"{found!r} is not a point.", "Write [x, y].")
    return _number(row, "outline_mm", pair[0], LONGEST_MM), _number(row, "outline_mm", pair[1], LONGEST_MM)


def _number(row: Fields, key: str, found: object, most: float) -> float:
    if isinstance(found, bool) or not isinstance(found, int | float) or not math.isfinite(found):
        raise row.wrong(key, f"{found!r} is not a number.", "Write a plain number.")
    if abs(found) > most:
        raise row.wrong(key, f"{found!r} is out of range.", f"Give at most {most:g}.")
    return float(found)
