"""Reading one table of the shop file: types, ranges, unknown keys, and the line where it stands.

Every refusal is one BadInput: the file and line, the key with the value found, and what is allowed.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from itertools import pairwise
from typing import cast

from steadyrest.trouble import BadInput

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_MIN = 24 * 60
CLOCK = re.compile(r"([01]?\d|2[0-4]):([0-5]\d)")


@dataclass(frozen=True, slots=True)
class Fields:
    """One table of the file. where: the file's name; path: the table as written, such as "machine.lathe"."""

    table: dict[str, object]
    path: str
    where: str
    lines: tuple[str, ...]
    after: int = 0

    def place(self, key: str | None = None) -> str:
        """File, line where the key (or the table) stands if it can be found, and the key's full name."""
        line = _line_of(self.lines, key, self.after) if key else self.after
        name = ".".join(part for part in (self.path, key or "") if part)
        return ", ".join(part for part in (self.where, f"line {line}" if line else "", name) if part)

    def wrong(self, key: str | None, what: str, do: str) -> BadInput:
        return BadInput(where=self.place(key), what=what, do=do)

    def only(self, allowed: Iterable[str]) -> None:
        """Raises: BadInput: a key that is not allowed here, with the nearest name that is."""
        names = tuple(allowed)
        for key in self.table:
            if key not in names:
                near = difflib.get_close_matches(key, names, n=1, cutoff=0.5)
                hint = f"Did you mean {near[0]}?" if near else f"Allowed here: {', '.join(names)}."
                raise self.wrong(key, "there is no such key.", hint)

    def _value(self, key: str, default: object) -> object:
        if key in self.table:
            return self.table[key]
        if default is None:
            raise self.wrong(None, f"{key} is missing.", f"Add {key} to [{self.path}].")
        return default

    def text(self, key: str, default: str | None = None, *, among: Sequence[str] = ()) -> str:
        found = self._value(key, default)
        if not isinstance(found, str) or (default is None and not found.strip()):
            raise self.wrong(key, f"{found!r} is not text.", "Write text in quotation marks.")
        if among and found not in among:
            near = difflib.get_close_matches(found, among, n=1, cutoff=0.5)
            hint = f" Did you mean {near[0]!r}?" if near else ""
            raise self.wrong(key, f"{found!r} is not known.", f"Allowed: {', '.join(among)}.{hint}")
        return found

    def number(
        self, key: str, default: float | None = None, *, low: float = 0.0, high: float = 1e9, above: bool = False
    ) -> float:
        """A number from low to high; above: low itself is too little."""
        return self._checked(key, self._value(key, default), low, high, above)

    def _checked(self, key: str, found: object, low: float, high: float, above: bool) -> float:
        if isinstance(found, bool) or not isinstance(found, int | float) or not math.isfinite(found):
            raise self.wrong(key, f"{found!r} is not a number.", "Write a plain number.")
        if found < low or found > high or (above and found == low):
            reach = f"more than {low:g}" if above else f"at least {low:g}"
            raise self.wrong(key, f"{found!r} is out of range.", f"Give {reach} and at most {high:g}.")
        return float(found)

    def whole(self, key: str, default: int | None = None, *, low: int = 0, high: int = 10**9) -> int:
        found = self.number(key, default, low=low, high=high)
        if found != int(found):
            raise self.wrong(key, f"{found!r} is not a whole number.", "Write a whole number.")
        return int(found)

    def flag(self, key: str, default: bool | None = None) -> bool:
        found = self._value(key, default)
        if not isinstance(found, bool):
            raise self.wrong(key, f"{found!r} is not true or false.", "Write true or false.")
        return found

    def money(self, key: str, default: str | None = None) -> Decimal:
        """An amount, written as text ("38.50") so that no cent is lost, or as a whole number."""
        found = self._value(key, default)
        if isinstance(found, bool) or not isinstance(found, str | int):
            raise self.wrong(key, f"{found!r} is not an amount.", 'Write it in quotation marks, such as "38.50".')
        try:
            amount = Decimal(found)
        except InvalidOperation:
            raise self.wrong(key, f"{found!r} is not an amount.", 'Write it as "38.50".') from None
        if not amount.is_finite() or amount < 0 or amount > 10**9:
            raise self.wrong(key, f"{found!r} is out of range.", "Give an amount from 0 to 1000000000.")
        return amount

    def numbers(
        self, key: str, *, count: int | None = None, above: bool = True, low: float = 0.0, high: float = 1e9
    ) -> tuple[float, ...]:
        found = self._value(key, None)
        if not isinstance(found, list) or not found or (count is not None and len(cast(list[object], found)) != count):
            wanted = f"{count} numbers" if count is not None else "one or more numbers"
            raise self.wrong(key, f"{found!r} is not a list of {wanted}.", f"Write {wanted} in square brackets.")
        return tuple(self._checked(key, item, low, high, above) for item in cast(list[object], found))

    def texts(self, key: str, default: Sequence[str] | None = None, *, among: Sequence[str] = ()) -> tuple[str, ...]:
        found = self._value(key, list(default) if default is not None else None)
        if not isinstance(found, list) or not all(isinstance(item, str) for item in cast(list[object], found)):
            raise self.wrong(key, f"{found!r} is not a list of texts.", 'Write ["one", "two"].')
        items = tuple(cast(list[str], found))
        for item in items:
            if among and item not in among:
                near = difflib.get_close_matches(item, among, n=1, cutoff=0.4)
                hint = f"Did you mean {near[0]!r}?" if near else f"Allowed: {', '.join(among)}."
                raise self.wrong(key, f"{item!r} is not known.", hint)
        if len(set(items)) != len(items):
            raise self.wrong(key, f"{found!r} names one twice.", "Name each once.")
        return items

    def axes(self, key: str, names: str) -> tuple[float, ...]:
        """One positive number for each axis, written {x = .., z = ..}."""
        inner = self.inner(key)
        inner.only(names)
        return tuple(inner.number(name, above=True) for name in names)

    def travels(self, key: str, names: str) -> tuple[float, ...]:
        """The length of each axis from [from, to] in machine coordinates, written {x = [lo, hi], ..}."""
        inner = self.inner(key)
        inner.only(names)
        return tuple(inner.span(name) for name in names)

    def span(self, key: str) -> float:
        found = self._value(key, None)
        if not isinstance(found, list) or len(cast(list[object], found)) != 2:
            raise self.wrong(key, f"{found!r} is not a range.", "Write [from, to].")
        low, high = (self._checked(key, item, -1e6, 1e6, above=False) for item in cast(list[object], found))
        if high <= low:
            raise self.wrong(key, f"{found!r} does not rise.", "Write the smaller first.")
        return high - low

    def clock(self, key: str, default: str | None = None) -> int:
        """A time of day as minutes after midnight."""
        found = self.text(key, default)
        return self.minute(key, found)

    def minute(self, key: str, text: str) -> int:
        match = CLOCK.fullmatch(text.strip())
        if not match or (match[1] == "24" and match[2] != "00"):
            raise self.wrong(key, f"{text!r} is not a time of day.", 'Write it as "08:30".')
        return int(match[1]) * 60 + int(match[2])

    def moment(self, key: str, found: object) -> datetime:
        if not isinstance(found, datetime) or found.tzinfo is None:
            raise self.wrong(key, f"{found!s} is not a moment with offset.", "Write it as 2026-05-01T08:00:00+02:00.")
        return found

    def spans(self, key: str) -> tuple[tuple[datetime, datetime], ...]:
        """Stretches of time as [[from, to], ...] with moments, sorted; none if the key is left out."""
        rows = self.table.get(key, [])
        if not isinstance(rows, list):
            raise self.wrong(key, f"{rows!r} is not a list.", "Write [[from, to], ...] with moments.")
        found: list[tuple[datetime, datetime]] = []
        for row in cast(list[object], rows):
            pair = cast(list[object], row) if isinstance(row, list) else []
            if len(pair) != 2:
                raise self.wrong(key, f"{row!r} is not a stretch.", "Write [from, to] with two moments.")
            start, end = (self.moment(key, moment) for moment in pair)
            if end <= start:
                raise self.wrong(key, f"it ends at {end.isoformat()}, before it begins.", "Write the earlier first.")
            found.append((start, end))
        return tuple(sorted(found))

    def days(self, key: str) -> tuple[date, ...]:
        """Days as [2026-12-25, ...], each once, sorted; none if the key is left out."""
        rows = self.table.get(key, [])
        if not isinstance(rows, list) or any(type(row) is not date for row in cast(list[object], rows)):
            raise self.wrong(key, f"{rows!r} is not a list of days.", "Write [2026-12-25, 2026-12-26].")
        return tuple(sorted(set(cast(list[date], rows))))

    def weekly(self, key: str) -> tuple[tuple[int, int, int], ...]:
        """Stretches of the week: a table with a list such as ["08:00-12:00"] for a day; one over midnight is split.

        Returns: (weekday from Monday 0, from, to) in minutes of the local day, sorted.
        Raises: BadInput: it is missing, or a stretch is none, or two overlap.
        """
        hours = self.inner(key)
        hours.only(DAYS)
        found: list[tuple[int, int, int]] = []
        for day, name in enumerate(DAYS):
            for text in hours.texts(name, ()):
                start, dash, end = text.partition("-")
                if not dash:
                    raise hours.wrong(name, f"{text!r} is not a stretch of hours.", 'Write it as "08:00-12:00".')
                begin, until = hours.minute(name, start), hours.minute(name, end)
                if begin == until:
                    raise hours.wrong(name, f"{text!r} has no length.", 'Write it as "08:00-12:00".')
                if until > begin:
                    found.append((day, begin, until))
                else:
                    found.append((day, begin, DAY_MIN))
                    if until:
                        found.append(((day + 1) % 7, 0, until))
        found.sort()
        for one, two in pairwise(found):
            if one[0] == two[0] and two[1] < one[2]:
                raise hours.wrong(DAYS[two[0]], "two stretches overlap.", "Let one end before the next begins.")
        return tuple(found)

    def inner(self, key: str) -> Fields:
        """The table inside under this key.

        Raises: BadInput: missing, or not a table.
        """
        found = self._value(key, None)
        if not isinstance(found, dict):
            raise self.wrong(key, f"{found!r} is not a table.", f"Write [{self.path}.{key}] and its keys below.")
        path = f"{self.path}.{key}" if self.path else key
        return Fields(
            cast(dict[str, object], found), path, self.where, self.lines, _header(self.lines, path, self.after)
        )

    def each(self, key: str) -> tuple[Fields, ...]:
        """The tables of a list written [[key]]; none is allowed."""
        found = self.table.get(key, [])
        path = f"{self.path}.{key}" if self.path else key
        items = cast(list[object], found) if isinstance(found, list) else None
        if items is None or not all(isinstance(item, dict) for item in items):
            raise self.wrong(key, "it is not a list of tables.", f"Write [[{path}]] above each one.")
        starts = _headers(self.lines, path, self.after)
        rows: list[Fields] = []
        for number, item in enumerate(items):
            after = starts[number] if number < len(starts) else self.after
            rows.append(Fields(cast(dict[str, object], item), path, self.where, self.lines, after))
        return tuple(rows)

    def named(self, key: str) -> tuple[tuple[str, Fields], ...]:
        """The tables written [key.NAME], in the file's order; none is allowed."""
        if key not in self.table:
            return ()
        group = self.inner(key)
        return tuple((name, group.inner(name)) for name in group.table)


def _line_of(lines: Sequence[str], key: str, after: int) -> int:
    """Line (from 1) where the key is given, at or after the table's own line; 0 if not found."""
    given = re.compile(rf'(^|[\s{{,.\["\']){re.escape(key)}["\']?\s*[=.\]]')
    for number in range(max(after - 1, 0), len(lines)):
        if number >= after and after and re.match(r"\s*\[", lines[number]) and not given.search(lines[number]):
            break
        if given.search(lines[number]):
            return number + 1
    return 0


def _headers(lines: tuple[str, ...], path: str, after: int) -> list[int]:
    plain = path.replace('"', "")
    return [number for number in _all_headers(lines).get(plain, ()) if number > after]


@lru_cache(maxsize=4)
def _all_headers(lines: tuple[str, ...]) -> dict[str, tuple[int, ...]]:
    """The lines (from 1) of each table's header: a shop has a hundred tables, and its file is gone through once."""
    found: dict[str, tuple[int, ...]] = {}
    for number, line in enumerate(lines, 1):
        if line.lstrip().startswith("["):
            path = re.sub(r'[\s\["\]]|#.*', "", line)
            found[path] = (*found.get(path, ()), number)
    return found


def _header(lines: tuple[str, ...], path: str, after: int) -> int:
    found = _headers(lines, path, 0)
    return found[0] if found else after
