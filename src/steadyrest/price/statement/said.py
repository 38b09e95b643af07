"""What a statement is made from, as checked values. Money and hours are exact fractions until they are rounded once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from typing import Literal
from zoneinfo import ZoneInfo

EntryKind = Literal["labour", "machine"]


@dataclass(frozen=True, slots=True)
class Entry:
    """A stretch of work. who: a person, or the machine. end: None while it is open. replaces: an earlier one's id.

    shared: parts (from, to, share) in which the person also worked on something else, and what of each counts here. An
    entry that says so is taken at its word, and clashes with nothing.
    """

    id: str
    kind: EntryKind
    who: str
    start: datetime
    end: datetime | None
    replaces: str | None
    shared: tuple[tuple[datetime, datetime, Fraction], ...] = ()


@dataclass(frozen=True, slots=True)
class Window:
    """When labour costs more, by the local clock. days: weekdays from Monday 0; none: every day.

    begin, end: times of day; an end not after its begin lies on the next day; both None: the whole day. until_midnight:
    the end is midnight at the end of the day.
    """

    factor: Fraction
    days: frozenset[int]
    begin: time | None
    end: time | None
    until_midnight: bool = False


@dataclass(frozen=True, slots=True)
class Rounding:
    """unit_h: hours are rounded to whole multiples of it; 0: not at all. by_day: summed by day first."""

    unit_h: Fraction
    up: bool
    by_day: bool
    minimum_labour: Fraction


@dataclass(frozen=True, slots=True)
class Tax:
    """rate: a share. on_all: of all amounts, else of taxable goods. by_line: rounded line by line. half_even: ties."""

    rate: Fraction
    on_all: bool
    by_line: bool
    half_even: bool


@dataclass(frozen=True, slots=True)
class Travel:
    distance: Fraction
    unit: str
    rate: Fraction


@dataclass(frozen=True, slots=True)
class Goods:
    what: str
    cost: Fraction
    markup: Fraction
    taxable: bool


@dataclass(frozen=True, slots=True)
class StatementSaid:
    """All that a statement is made from. spared_until: the last day that a certificate spares the tax, or None.

    taxed: kinds of lines besides goods that tax is owed on, goods then each by itself; None: as `tax` says.
    """

    currency: str
    zone: ZoneInfo
    date: date
    rates: Mapping[str, Fraction]
    windows: tuple[Window, ...]
    rounding: Rounding
    tax: Tax
    spared_until: date | None
    entries: tuple[Entry, ...]
    travel: tuple[Travel, ...]
    goods: tuple[Goods, ...]
    taxed: frozenset[str] | None = None

    def taxes(self, kind: str) -> bool:
        """Whether tax is owed on lines of a kind: "labour", "machine", "travel"."""
        return self.tax.on_all if self.taxed is None else kind in self.taxed


def cents(amount: Fraction, *, half_even: bool = False) -> Decimal:
    """An amount to the cent: ties up (away from nothing), or to the even cent."""
    hundredths = abs(amount) * 100
    whole, rest = divmod(hundredths.numerator, hundredths.denominator)
    twice = 2 * rest - hundredths.denominator
    if twice > 0 or (twice == 0 and not (half_even and whole % 2 == 0)):
        whole += 1
    return Decimal(whole if amount >= 0 else -whole).scaleb(-2)
