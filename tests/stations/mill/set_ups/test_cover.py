"""The fewest clampings: against every choice tried."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.stations.mill.set_ups.cover import covers
from tests.oracles import slow_reach

costs = st.lists(st.sampled_from([1.0, 1.05, 1.2, 1.3]), min_size=1, max_size=7)


@given(st.lists(st.integers(0, 127), max_size=8), costs)
def test_the_first_is_the_cheapest_of_the_smallest(needs: list[int], prices: list[float]) -> None:
    asked = [need & (2 ** len(prices) - 1) for need in needs]
    found = covers(asked, prices)
    plain = slow_reach.cheapest_cover(asked, prices)
    if plain is None:
        assert found == ()
    else:
        size, cost = plain
        assert len(found[0]) == size
        assert sum(prices[one] for one in found[0]) == pytest.approx(cost)
        assert all(all(need & sum(1 << one for one in choice) for need in asked) for choice in found)


def test_too_many_candidates_are_refused() -> None:
    with pytest.raises(ValueError, match="13 candidates"):
        covers([1], [1.0] * 13)
