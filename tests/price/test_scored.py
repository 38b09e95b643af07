"""Prices scored: each by the quotes before it alone, and every quote in one band."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.price.scored import HALF, odds_before, places, prices_true
from steadyrest.price.winning import Quoted, winning


def quotes(count: int, middle: float, spread: float, seed: int) -> list[Quoted]:
    """Customers who pay at most so much: what the belief says of them, drawn."""
    luck = np.random.default_rng(seed)
    asked = np.exp(luck.uniform(-0.4, 0.4, count))
    most = np.exp(luck.normal(middle, spread, count))
    return [Quoted(float(a), bool(a <= b)) for a, b in zip(asked, most, strict=True)]


def test_a_quote_is_judged_by_those_before_it_alone() -> None:
    past = quotes(12, 0.1, 0.2, 1)
    said = odds_before(past)
    for n in (0, 1, 7):
        at_rates = [*past[:n], Quoted(1.0, won=True)]
        alone = winning(past[:n], by_rates=1.0, walk_away=0.01)
        if not alone.followed:
            assert odds_before(at_rates)[n] == pytest.approx(alone.odds, abs=1e-9)
    turned = [*past[:6], *(Quoted(one.ratio, not one.won) for one in past[6:])]
    assert odds_before(turned)[:7] == pytest.approx(said[:7], abs=0)
    assert odds_before(turned)[-1] != said[-1]


def test_where_customers_are_as_believed_as_many_are_won_as_expected_and_the_odds_tell_more_than_one_half() -> None:
    found = prices_true(quotes(300, 0.1, 0.2, 2))
    assert found is not None
    assert found.asked == 300
    assert found.won == pytest.approx(found.expected, abs=3 * np.sqrt(300 * 0.25))
    assert found.off < 0.6 * HALF
    for band in found.bands:
        assert band.asked * band.low <= band.expected <= band.asked * band.high
        assert band.won == pytest.approx(band.expected, abs=3 * np.sqrt(band.asked * 0.25) + 1)


def test_true_odds_fall_evenly_also_where_only_yes_or_no_is_known() -> None:
    luck = np.random.default_rng(5)
    odds = luck.uniform(0.02, 0.98, 4000)
    said = places(odds, luck.random(4000) < odds)
    assert sum(said) == pytest.approx(4000)
    assert all(abs(one - 800) < 75 for one in said)
    dear = places(odds, luck.random(4000) < odds / 2)  # customers pay less than was thought
    assert dear[0] > 1000 > 700 > dear[-1]


def test_a_sure_yes_tells_nothing_and_an_even_no_lies_in_the_lower_half() -> None:
    assert places(np.array([1.0]), np.array([True])) == pytest.approx([0.2] * 5)
    assert places(np.array([0.5]), np.array([False])) == pytest.approx([0.4, 0.4, 0.2, 0.0, 0.0])


def test_nothing_decided_is_nothing_to_score() -> None:
    assert prices_true([]) is None
