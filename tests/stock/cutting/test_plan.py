"""Laws of a cutting list, judged by tests/oracles/cut_checker.py."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.cutting.by_hand import by_hand
from steadyrest.stock.cutting.plan import cut
from steadyrest.stock.cutting.problem import plan_cost, posed
from tests.oracles.cut_checker import faults, least, total
from tests.stock.cutting.lists import cuts, cutting_lists, left_out, plainly


def ample() -> float:
    return 20.0


@settings(max_examples=15, deadline=None)
@given(cutting_lists(rows=6, count=5, pieces=7, longest=70))
def test_pieces_kerfs_and_rests_add_up_and_no_part_is_lost(wanted):
    plan = cut(wanted, ample)
    assert not list(faults(plainly(wanted), cuts(plan), left_out(plan)))
    assert Fraction(plan.cost) == total(plainly(wanted), cuts(plan))
    assert plan.bound <= plan.cost


@settings(max_examples=20, deadline=None)
@given(cutting_lists(rows=3, count=2, pieces=3))
def test_a_tiny_list_is_cut_as_cheaply_as_trying_everything_does(wanted):
    plan = cut(wanted, ample)
    out, cost = least(plainly(wanted))
    lengths = {part.id: Fraction(part.length_mm) for part in wanted.parts}
    assert sum(lengths[name] * count for name, count in left_out(plan).items()) == out
    if not out:
        assert abs(Fraction(plan.cost) - cost) < Fraction(1, 100)
        assert Fraction(plan.bound) <= cost
        assert plan.proven


@settings(max_examples=40, deadline=None)
@given(cutting_lists(rows=6, count=4, pieces=8, longest=50))
def test_it_is_never_dearer_than_cutting_by_hand(wanted):
    put = posed(wanted)
    if not put.problem.parts or not put.problem.kinds or put.too_long:
        return
    plan, left = by_hand(put.problem)
    if not left.any():
        assert cut(wanted, ample).cost * put.money <= plan_cost(put.problem, plan)


@settings(max_examples=20, deadline=None)
@given(cutting_lists(rows=5, count=4, pieces=6), st.integers(0, 6))
def test_stopped_at_any_moment_it_has_a_plan_that_can_be_cut(wanted, looks):
    asked = 0

    def left_s() -> float:
        nonlocal asked
        asked += 1
        return 10.0 if asked <= looks else 0.0

    plan = cut(wanted, left_s)
    assert not list(faults(plainly(wanted), cuts(plan), left_out(plan)))


@settings(max_examples=20, deadline=None)
@given(cutting_lists(rows=5, count=3, pieces=6))
def test_the_same_list_gives_the_same_plan(wanted):
    assert cut(wanted, ample) == cut(wanted, ample)
