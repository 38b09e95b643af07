"""A statement: every line to the cent, the least labour, the tax, the total, and what was not billed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from steadyrest.price.statement.hours import Doubt, standing, stretches
from steadyrest.price.statement.said import Entry, EntryKind, Rounding, StatementSaid, cents

LineKind = Literal["labour", "machine", "travel", "goods", "minimum"]


@dataclass(frozen=True, slots=True)
class Line:
    """One amount. quantity: hours, distance or 1, of `unit`, at `rate` times `factor`. entries: ids it stands for."""

    kind: LineKind
    what: str
    quantity: Fraction
    unit: str
    rate: Fraction
    factor: Fraction
    amount: Decimal
    taxable: bool
    day: str = ""
    entries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Statement:
    """labour: after the minimum. spared: a certificate spares the tax."""

    lines: tuple[Line, ...]
    labour: Decimal
    machine: Decimal
    travel: Decimal
    goods: Decimal
    tax: Decimal
    total: Decimal
    currency: str
    spared: bool
    doubts: tuple[Doubt, ...]


def statement(said: StatementSaid) -> Statement:
    """What is owed.

    Args:
        said: entries, rates, windows, rounding, tax.
    Returns: lines that add up to the total, the tax, and what is in doubt.
    """
    kept, doubts = standing(said.entries)
    lines = [*_time_lines(said, "labour", kept), *_time_lines(said, "machine", kept)]
    worked = sum((line.amount for line in lines if line.kind == "labour"), Decimal(0))
    least = cents(said.rounding.minimum_labour)
    if worked < least:
        lines.append(_line("minimum", "least labour", Fraction(least - worked), said))
    lines += [
        Line("travel", one.unit, one.distance, one.unit, one.rate, Fraction(1), cents(one.distance * one.rate),
             said.taxes("travel"))
        for one in said.travel
    ]  # fmt: skip
    for one in said.goods:
        each = one.cost * (1 + one.markup)
        taxed = one.taxable or (said.taxed is None and said.tax.on_all)
        lines.append(Line("goods", one.what, Fraction(1), "", each, Fraction(1), cents(each), taxed))
    spared = said.spared_until is not None and said.date <= said.spared_until
    tax = Decimal("0.00") if spared else _tax(said, lines)
    sums = {kind: sum((line.amount for line in lines if line.kind == kind), Decimal("0.00")) for kind in KINDS}
    labour = sums["labour"] + sums["minimum"]
    total = labour + sums["machine"] + sums["travel"] + sums["goods"] + tax
    return Statement(
        tuple(lines), labour, sums["machine"], sums["travel"], sums["goods"], tax, total, said.currency, spared, doubts
    )


KINDS: tuple[LineKind, ...] = ("labour", "minimum", "machine", "travel", "goods")


def _line(kind: LineKind, what: str, amount: Fraction, said: StatementSaid) -> Line:
    return Line(kind, what, Fraction(1), "", amount, Fraction(1), cents(amount), said.taxes("labour"))


def _time_lines(said: StatementSaid, kind: EntryKind, kept: tuple[Entry, ...]) -> Iterator[Line]:
    own = [entry for entry in kept if entry.kind == kind]
    windows = said.windows if kind == "labour" else ()
    for part in stretches(own, windows, said.rounding, said.zone):
        rate = said.rates[part.who]
        amount = cents(part.hours * rate * part.factor)
        yield Line(
            kind, part.who, part.hours, "h", rate, part.factor, amount, said.taxes(kind), part.day.isoformat(),
            part.entries,
        )  # fmt: skip


def _tax(said: StatementSaid, lines: list[Line]) -> Decimal:
    taxed = [Fraction(line.amount) for line in lines if line.taxable]
    if said.tax.by_line:
        each = (cents(amount * said.tax.rate, half_even=said.tax.half_even) for amount in taxed)
        return sum(each, Decimal("0.00"))
    return cents(sum(taxed, Fraction(0)) * said.tax.rate, half_even=said.tax.half_even)


def rounding_in_words(rounding: Rounding) -> str:
    """How hours were rounded, as a statement prints it."""
    if rounding.unit_h == 0:
        return "hours to the minute"
    way = "up" if rounding.up else "to the nearest"
    per = "each person's day" if rounding.by_day else "each part of an entry"
    return f"hours rounded {way} to {float(rounding.unit_h):g} h, {per}"
