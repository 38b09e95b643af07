"""Foretold hours scored: the closed form is the integral, and true odds fall evenly."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import lognorm, norm

from steadyrest.promise.scored import Foretold, trueness


@settings(max_examples=15, deadline=None)
@given(spread=st.floats(0.05, 0.8), ratio=st.floats(0.3, 3.0))
def test_how_far_off_is_the_integral_of_the_squared_difference_of_the_odds(spread: float, ratio: float) -> None:
    # Definition: the integral over x of (F(x) - [x >= actual]) squared.
    x = np.linspace(1e-9, 40.0, 200_001)
    odds = lognorm.cdf(x, spread)
    whole = float(np.trapezoid((odds - (x >= ratio)) ** 2, x))
    assert Foretold(1.0, spread, ratio).off == pytest.approx(whole, abs=3e-4)


def test_where_the_spread_is_small_it_is_the_normal_s_and_that_is_what_drawn_numbers_give() -> None:
    # Normal: sd (z (2 Phi(z) - 1) + 2 phi(z) - 1 / sqrt(pi)), Gneiting and Raftery 2007 (from memory); drawn: E|X - y|
    # - E|X - X'| / 2, which needs no formula.
    drawn = 100.0 + np.random.default_rng(4).standard_normal(400_000)
    for z in (-1.5, 0.0, 0.7, 2.0):
        closed = z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / math.sqrt(math.pi)
        apart = np.abs(drawn - 100.0 - z).mean() - np.abs(drawn[::2] - drawn[1::2]).mean() / 2
        assert closed == pytest.approx(apart, abs=0.005)
        assert 1e4 * Foretold(1.0, 1e-4, 1.0 + 1e-4 * z).off == pytest.approx(closed, abs=1e-3)


def test_true_odds_fall_evenly_and_are_less_off_than_the_middle_alone() -> None:
    rng = np.random.default_rng(1)
    found = [Foretold(3600.0, 0.3, 3600.0 * math.exp(0.3 * z)) for z in rng.standard_normal(2000)]
    said = trueness(found)
    assert said is not None
    assert said.jobs == 2000
    assert all(abs(one - 400) < 60 for one in said.fifths)
    assert abs(said.kept_nine - 1800) < 45
    assert said.off < said.plain_off


def test_hours_twice_as_long_as_foretold_fall_high() -> None:
    said = trueness([Foretold(3600.0, 0.2, 7200.0)] * 3)
    assert said is not None
    assert said.fifths == (0, 0, 0, 0, 3)
    assert said.kept_nine == 0
    assert trueness([]) is None


@pytest.mark.parametrize("wrong", [(0.0, 0.1, 1.0), (1.0, 0.0, 1.0), (1.0, 0.1, 0.0)])
def test_what_is_nothing_cannot_be_scored(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        Foretold(*wrong)
