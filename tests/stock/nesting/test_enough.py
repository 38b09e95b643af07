"""Whether sheets may hold all parts: what is known to lie on them is never refused; by hand, what cannot is."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.nesting.enough import Lot, may_hold
from steadyrest.stock.nesting.opened import StockSheet, by_cost, least_for_area
from steadyrest.stock.nesting.sheets import Sheet
from tests.stock.nesting.test_opened import SQUARE


@settings(max_examples=60)
@given(st.data())
def test_sheets_on_which_parts_are_known_to_lie_are_never_refused(data):
    kinds = data.draw(st.integers(1, 3))
    choice = tuple(data.draw(st.integers(0, 2)) for _ in range(kinds))
    lying = [(k, data.draw(st.lists(st.integers(1, 9), max_size=4))) for k, n in enumerate(choice) for _ in range(n)]
    there = [float(max([1, *(sum(on) for at, on in lying if at == k)])) for k in range(kinds)]
    lots = [
        Lot(float(area), 1, tuple(k == at or data.draw(st.booleans()) for k in range(kinds)))
        for at, on in lying for area in on
    ]  # fmt: skip
    assert may_hold(choice, there, lots)


def test_three_parts_of_more_than_half_a_sheet_need_three_sheets():
    lots = (Lot(0.6, 3, (True,)),)
    assert not may_hold((2,), (1.0,), lots)
    assert may_hold((3,), (1.0,), lots)
    sheet = StockSheet("full", Sheet(SQUARE), 5, Decimal(90))
    found = list(by_cost([sheet], [1.0], 1.8, lambda choice: may_hold(choice, (1.0,), lots)))
    assert found[0] == (3,)


def test_parts_that_fit_only_on_the_large_sheet_must_find_their_area_there():
    long, small = Lot(0.5, 4, (True, False)), Lot(0.1, 2, (True, True))
    assert not may_hold((1, 3), (1.5, 1.0), (long, small))
    assert may_hold((2, 0), (1.5, 1.0), (long, small))
    assert not may_hold((0, 9), (1.5, 1.0), (replace(long, count=1),))


def test_the_bound_for_very_many_sheets_is_what_the_area_costs_in_parts_of_sheets():
    # By hand: 2 of the remnant at 5 each, then 1 of the 4 of a full sheet at 90.
    sheets = [StockSheet("full", Sheet(SQUARE), 3, Decimal(90)), StockSheet("rest", Sheet(SQUARE), 2, Decimal(5))]
    assert least_for_area(sheets, [4.0, 1.0], 3.0) == Decimal(10) + Decimal("22.5")
