"""Statements: hours against a walk minute by minute, money by hand, laws to the cent."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.price.statement.hours import parts_of, rounded_hours, standing
from steadyrest.price.statement.said import Entry, Goods, Rounding, StatementSaid, Tax, Travel, Window, cents
from steadyrest.price.statement.statement import statement
from tests.oracles.slow_hours import slow_parts

VIENNA = ZoneInfo("Europe/Vienna")
NONE = Rounding(Fraction(0), up=True, by_day=False, minimum_labour=Fraction(0))
NO_TAX = Tax(Fraction(0), on_all=False, by_line=False, half_even=False)


def entry(name, start, end, *, who="Ambra", kind="labour", replaces=None):
    return Entry(name, kind, who, start, end, replaces)


def local(text):
    return datetime.fromisoformat(text).replace(tzinfo=VIENNA)


def said(*entries, windows=(), rounding=NONE, tax=NO_TAX, spared=None, travel=(), goods=()):
    rates = {"Ambra": Fraction(80), "Ines": Fraction(60), "mill": Fraction(25)}
    return StatementSaid(
        "EUR", VIENNA, date(2026, 11, 30), rates, windows, rounding, tax, spared, entries, travel, goods
    )


EVENING = Window(Fraction(3, 2), frozenset(), time(18), time(22))
SATURDAY = Window(Fraction(5, 4), frozenset({5}), None, None)


def test_an_evening_is_split_at_six_by_the_local_clock():
    made = statement(said(entry("a", local("2026-11-25T16:30"), local("2026-11-25T19:00")), windows=(EVENING,)))
    assert [(line.quantity, line.factor, line.amount) for line in made.lines] == [
        (Fraction(3, 2), 1, Decimal("120.00")),
        (1, Fraction(3, 2), Decimal("120.00")),
    ]
    assert made.labour == made.total == Decimal("240.00")


def test_the_night_the_clock_goes_back_has_an_hour_more():
    # 2026-10-25: 03:00 becomes 02:00 in Vienna (EU directive 2000/84/EC); eight hours on the dial are nine.
    made = statement(said(entry("a", local("2026-10-24T22:00"), local("2026-10-25T06:00"))))
    assert made.lines[0].quantity == 9
    made = statement(said(entry("a", local("2026-03-28T22:00"), local("2026-03-29T06:00"))))
    assert made.lines[0].quantity == 7


def test_the_highest_factor_wins_and_machines_have_none():
    start, end = local("2026-11-28T17:00"), local("2026-11-28T20:00")
    made = statement(
        said(entry("a", start, end), entry("m", start, end, who="mill", kind="machine"), windows=(SATURDAY, EVENING))
    )
    assert [(line.kind, line.quantity, line.factor) for line in made.lines] == [
        ("labour", 1, Fraction(5, 4)), ("labour", 2, Fraction(3, 2)), ("machine", 3, 1),
    ]  # fmt: skip


def test_open_and_clashing_entries_are_listed_and_not_billed():
    day = "2026-11-25T"
    entries = (
        entry("a", local(day + "08:00"), local(day + "10:00")),
        entry("b", local(day + "09:59"), local(day + "11:00")),
        entry("c", local(day + "11:00"), local(day + "12:00")),
        entry("d", local(day + "13:00"), None),
        entry("e", local(day + "09:00"), local(day + "10:00"), who="Ines"),
    )
    kept, doubts = standing(entries)
    assert [one.id for one in kept] == ["c", "e"]
    assert [(doubt.kind, doubt.entry) for doubt in doubts] == [("clash", "a"), ("clash", "b"), ("open", "d")]


def test_a_corrected_entry_is_gone_and_clashes_with_nothing():
    day = "2026-11-25T"
    wrong = entry("a", local(day + "08:00"), local(day + "12:00"))
    right = entry("b", local(day + "08:00"), local(day + "10:00"), replaces="a")
    kept, doubts = standing((wrong, right))
    assert ([one.id for one in kept], doubts) == (["b"], ())


@pytest.mark.parametrize(
    ("minutes", "unit", "up", "rounded"),
    [(61, "1/4", True, "5/4"), (60, "1/4", True, "1"), (67, "1/4", False, "1"), (68, "1/4", False, "5/4"),
     (15, "1/2", False, "1/2"), (45, "1/2", False, "1"), (14, "1/2", False, "0"), (61, "0", True, "61/60")],
)  # fmt: skip
def test_hours_are_rounded_to_whole_units_with_ties_up(minutes, unit, up, rounded):
    rule = Rounding(Fraction(unit), up=up, by_day=False, minimum_labour=Fraction(0))
    assert rounded_hours(Fraction(minutes, 60), rule) == Fraction(rounded)


def test_by_day_hours_are_summed_before_they_are_rounded():
    day = "2026-11-25T"
    entries = [entry(str(k), local(f"{day}{8 + k:02d}:00"), local(f"{day}{8 + k:02d}:10")) for k in range(3)]
    each = Rounding(Fraction(1, 2), up=True, by_day=False, minimum_labour=Fraction(0))
    daily = Rounding(Fraction(1, 2), up=True, by_day=True, minimum_labour=Fraction(0))
    assert statement(said(*entries, rounding=each)).labour == Decimal("120.00")
    assert statement(said(*entries, rounding=daily)).labour == Decimal("40.00")


def test_labour_is_at_least_the_minimum_and_goods_carry_their_markup():
    rule = Rounding(Fraction(0), up=True, by_day=False, minimum_labour=Fraction(75))
    made = statement(
        said(
            entry("a", local("2026-11-25T08:00"), local("2026-11-25T08:30")), rounding=rule,
            travel=(Travel(Fraction("12.5"), "km", Fraction("0.42")),),
            goods=(Goods("bearing", Fraction("10.30"), Fraction("0.15"), True),),
            tax=Tax(Fraction("0.2"), on_all=False, by_line=False, half_even=False),
        )
    )  # fmt: skip
    assert (made.labour, made.travel, made.goods) == (Decimal("75.00"), Decimal("5.25"), Decimal("11.85"))
    assert (made.tax, made.total) == (Decimal("2.37"), Decimal("94.47"))


def test_the_tax_by_line_and_by_total_and_its_ties():
    goods = tuple(Goods(str(k), Fraction("0.25"), Fraction(0), True) for k in range(3))
    rate = Fraction("0.1")

    def tax(*, by_line, half_even):
        return statement(said(goods=goods, tax=Tax(rate, on_all=False, by_line=by_line, half_even=half_even))).tax

    # 0.025 each: up 0.03, even 0.02; together 0.075: up 0.08, even 0.08.
    assert tax(by_line=True, half_even=False) == Decimal("0.09")
    assert tax(by_line=True, half_even=True) == Decimal("0.06")
    assert tax(by_line=False, half_even=False) == Decimal("0.08")
    assert tax(by_line=False, half_even=True) == Decimal("0.08")


@pytest.mark.parametrize(("until", "tax"), [("2026-11-30", "0.00"), ("2026-11-29", "20.00")])
def test_a_certificate_spares_the_tax_to_its_last_day(until, tax):
    made = statement(
        said(
            goods=(Goods("plate", Fraction(100), Fraction(0), True),),
            tax=Tax(Fraction("0.2"), on_all=False, by_line=False, half_even=False), spared=date.fromisoformat(until),
        )
    )  # fmt: skip
    assert made.tax == Decimal(tax)


MINUTES = st.integers(0, 1439)
CLOCKS = st.tuples(
    st.fractions(1, 3, max_denominator=8),
    st.one_of(st.none(), st.frozensets(st.integers(0, 6), min_size=1)),
    MINUTES,
    MINUTES,
).filter(lambda w: w[2] != w[3])


def window(clock):
    factor, days, low, high = clock
    begin, end = time(low // 60, low % 60), time(high // 60, high % 60)
    return Window(factor, days or frozenset(), begin, end, until_midnight=high == 0)


@settings(max_examples=80, deadline=None)
@given(
    st.datetimes(local("2026-01-01").replace(tzinfo=None), local("2026-12-30").replace(tzinfo=None)),
    st.sampled_from([local("2026-10-25T00:00"), local("2026-03-29T00:00"), None]),
    st.integers(1, 3000),
    st.lists(CLOCKS, max_size=3),
)
def test_parts_agree_with_a_walk_minute_by_minute(at, turn, minutes, clocks):
    start = (turn + timedelta(hours=at.hour - 12) if turn else at).replace(second=0, microsecond=0, tzinfo=VIENNA)
    end = (start.astimezone(ZoneInfo("UTC")) + timedelta(minutes=minutes)).astimezone(VIENNA)
    one = entry("a", start.astimezone(ZoneInfo("UTC")), end)
    found = [(part.factor, part.hours) for part in parts_of(one, tuple(map(window, clocks)), VIENNA)]
    assert found == slow_parts(one, clocks, VIENNA)
    assert sum(hours for _, hours in found) == Fraction(minutes, 60)


@given(st.fractions(-1000, 1000))
def test_cents_are_the_decimal_module_s_rounding(amount):
    exact = Decimal(amount.numerator) / Decimal(amount.denominator)
    assert abs(Fraction(cents(amount)) - amount) <= Fraction(1, 200)
    if Fraction(exact) == amount:
        assert cents(amount) == exact.quantize(Decimal("0.01"), ROUND_HALF_UP)
        assert cents(amount, half_even=True) == exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 20000), st.integers(1, 600), st.sampled_from(["Ambra", "Ines"])), max_size=12),
       st.booleans(), st.sampled_from(["0", "1/4", "1/10"]), st.booleans(), st.booleans())  # fmt: skip
def test_lines_add_up_to_the_total_to_the_cent(rows, by_day, unit, by_line, on_all):
    first = local("2026-11-02T00:00")
    entries = tuple(
        entry(str(k), first + timedelta(minutes=m), first + timedelta(minutes=m + long), who=who)
        for k, (m, long, who) in enumerate(rows)
    )
    rule = Rounding(Fraction(unit), up=True, by_day=by_day, minimum_labour=Fraction(50))
    tax = Tax(Fraction("0.19"), on_all=on_all, by_line=by_line, half_even=False)
    goods = (Goods("oil", Fraction("7.77"), Fraction("0.1"), True),)
    made = statement(said(*entries, windows=(EVENING, SATURDAY), rounding=rule, tax=tax, goods=goods))
    assert sum(line.amount for line in made.lines) + made.tax == made.total
    assert made.labour >= Decimal("50.00")
    billed = {name for line in made.lines for name in line.entries}
    assert billed | {doubt.entry for doubt in made.doubts} == {one.id for one in entries}
