"""What an order spared is worth: the lot size of the textbook, and an order counted year by year."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.spared import Spared, spared


def flat(each: float, fixed: float, *, per_year: float, longest_mm: float = 1e5, discount: float = 0.1) -> Spared:
    return spared(
        lambda mm: fixed + each * mm, new_per_mm=each, mean_mm=100.0, per_year=per_year, hold=0.0, discount=discount,
        longest_mm=longest_mm,
    )  # fmt: skip


def test_the_lot_is_that_of_the_square_root() -> None:
    # Harris 1913 (from memory): lot = sqrt(2 x demand x order / (discount x price)); 2 x 50 x 40 / (0.1 x 5) = 8000.
    found = flat(0.05, 40.0, per_year=50.0)
    assert found.together == pytest.approx(math.sqrt(8000.0), abs=1.0)
    assert found.each == pytest.approx(math.sqrt(2 * 40.0 * 0.5 / 50.0), rel=0.02)


@settings(max_examples=20, deadline=None)
@given(st.floats(1, 100), st.floats(0.5, 60), st.floats(200, 6000))
def test_no_lot_spares_less_and_a_length_ordered_alone_spares_the_whole_order(fixed, per_year, longest_mm) -> None:
    found = flat(0.05, fixed, per_year=per_year, longest_mm=longest_mm)
    for many in range(1, int(longest_mm / 100) + 1):
        # Ordered together, one taken every 1 / per_year: the k-th waits k of them, its metal paid for already.
        waited = sum(k / per_year for k in range(many)) * 5.0 * 0.1
        assert found.each <= (fixed + waited) / many + 1e-9
    assert flat(0.05, fixed, per_year=per_year, longest_mm=100.0) == Spared(pytest.approx(fixed), 1)
