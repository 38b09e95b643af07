"""The choice of pieces: its bound never above the least cost (tests/oracles/cut_checker.py), its choices enough."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings

from steadyrest.stock.cutting.chosen import choices
from steadyrest.stock.cutting.pricing import Pricing
from steadyrest.stock.cutting.problem import posed
from tests.oracles.cut_checker import least
from tests.stock.cutting.lists import cutting_lists, plainly


@settings(max_examples=40, deadline=None)
@given(cutting_lists(rows=3, count=2, pieces=3, longest=30))
def test_no_plan_costs_less_than_the_bound_of_the_choice(wanted):
    put = posed(wanted)
    if put.too_long or not put.problem.parts or not put.problem.kinds:
        return
    bound, found = choices(put.problem, Pricing(put.problem))
    out, cost = least(plainly(wanted))
    assert out or Fraction(bound, put.money) <= cost
    assert [one.cost for one in found] == sorted(one.cost for one in found)
    assert all((one.many <= put.problem.many).all() for one in found)
