"""How likely a price is taken: what quotes teach, and that little evidence moves little."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from steadyrest.price.winning import ENOUGH, Quoted, belief, taken, winning

RATIOS = np.linspace(0.6, 1.6, 11)


def quotes(rng: np.random.Generator, count: int, middle: float, spread: float) -> list[Quoted]:
    """Customers who pay at most exp(N(middle, spread)) of the rates, asked between 0.8 and 1.3 of them."""
    asked = rng.uniform(0.8, 1.3, count)
    most = np.exp(rng.normal(middle, spread, count))
    return [Quoted(float(a), bool(a <= m)) for a, m in zip(asked, most, strict=True)]


def test_with_nothing_known_the_rates_are_taken_half_the_time_and_the_offer_stays() -> None:
    found = winning([], by_rates=1000.0, walk_away=600.0)
    assert found.odds == pytest.approx(0.5, abs=1e-6)
    assert not found.followed


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(st.floats(0.5, 2.0), st.booleans()), max_size=12))
def test_a_dearer_price_is_never_taken_oftener_and_the_best_is_never_below_the_walk_away(said) -> None:
    given_ = [Quoted(ratio, won) for ratio, won in said]
    odds = taken(RATIOS, belief(given_))
    assert np.all(np.diff(odds) <= 1e-12)
    assert np.all((odds >= 0) & (odds <= 1))
    found = winning(given_, by_rates=100.0, walk_away=70.0)
    assert found.best_ratio * 100.0 >= 70.0 - 1e-9


def test_many_quotes_teach_what_customers_pay() -> None:
    # The truth, not our model's belief: at 1.1 times the rates half of them pay, with a spread of 0.15.
    found = belief(quotes(np.random.default_rng(3), 300, np.log(1.1), 0.15))
    truth = norm.cdf((np.log(1.1) - np.log(RATIOS)) / 0.15)
    assert np.abs(taken(RATIOS, found) - truth).max() < 0.09


def test_the_offer_follows_only_enough_quotes_some_won_and_some_lost() -> None:
    won = [Quoted(1.0, True)] * (ENOUGH - 1)
    assert not winning(won, by_rates=100.0, walk_away=60.0).followed
    assert not winning([*won, Quoted(1.0, True)], by_rates=100.0, walk_away=60.0).followed
    assert winning([*won, Quoted(1.2, False)], by_rates=100.0, walk_away=60.0).followed


def test_a_shop_that_always_wins_asks_more_and_never_far_beyond_what_it_tried() -> None:
    eager = [Quoted(1.0, True)] * 30 + [Quoted(1.3, False)]
    found = winning(eager, by_rates=100.0, walk_away=60.0)
    assert 1.0 < found.best_ratio <= 1.3 * 1.1 + 1e-9
    shy = [Quoted(1.0, False)] * 30 + [Quoted(0.85, True)]
    assert winning(shy, by_rates=100.0, walk_away=60.0).best_ratio < 1.0
