"""The bound: recomputed from its prices by tests/oracles/cut_checker.py; the known worth of small cases."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings

from steadyrest.stock.cutting.pricing import Pricing
from steadyrest.stock.cutting.problem import posed
from steadyrest.stock.cutting.relaxed import Columns, relaxed
from tests.oracles.cut_checker import bound_by_prices, least
from tests.stock.cutting.lists import cutting_lists, plainly


@settings(max_examples=25, deadline=None)
@given(cutting_lists(rows=3, count=2, pieces=3, longest=30))
def test_the_prices_prove_the_bound_and_no_plan_costs_less(wanted):
    put = posed(wanted)
    if put.too_long or not put.problem.parts or not put.problem.kinds:
        return
    prices = relaxed(put.problem, Columns(put.problem), lambda: 10.0, pricing=Pricing(put.problem)).prices
    each = {
        part.id: Fraction(int(prices.each[row]), prices.fine * put.money)
        for row, same in enumerate(put.parts)
        for part in same
    }
    proved = bound_by_prices(plainly(wanted), each)
    assert Fraction(prices.bound, prices.fine * put.money) <= proved
    out, cost = least(plainly(wanted))
    assert out or proved <= cost
