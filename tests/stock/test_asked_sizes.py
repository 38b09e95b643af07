"""What is asked for: a new shop begins with the prior, and its own book takes over as it grows."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.asked_sizes import asked_for, prior_mm
from steadyrest.tables.practice import rule

LENGTHS = st.lists(st.integers(5, 3000).map(float), max_size=60)


@settings(max_examples=25)
@given(lengths=LENGTHS, years=st.floats(0, 20))
def test_rate_and_shares_are_those_of_the_conjugate_priors(lengths, years) -> None:
    found = asked_for(lengths, years)
    t0 = rule("keep_asked_years")
    n0 = rule("keep_asked_per_year") * t0
    assert found.per_year == pytest.approx((n0 + len(lengths)) / (t0 + years))
    assert sum(one.share for one in found.demands) == pytest.approx(1)
    for one in found.demands:
        own = lengths.count(one.length_mm)
        begun = n0 / len(prior_mm()) if one.length_mm in prior_mm() else 0.0
        assert one.share == pytest.approx((own + begun) / (n0 + len(lengths)))


def test_a_new_shop_is_taken_to_be_asked_for_doubling_lengths_alike() -> None:
    found = asked_for((), 0.0)
    assert found.own == 0
    assert [one.length_mm for one in found.demands] == [50, 100, 200, 400, 800]
    assert {round(one.share, 9) for one in found.demands} == {0.2}
