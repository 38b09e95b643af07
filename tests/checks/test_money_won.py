"""How far won work runs over its estimate, against order statistics and against a market played out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.price.won import mean_of_largest, won_ratio

# Means of the largest of n standard normals: Harter, Expected values of normal order statistics, Biometrika 48 (1961),
# table 1 (from memory, five decimals; 2 and 3 also have closed forms: 1/sqrt(pi), 3/(2 sqrt(pi))).
LARGEST = [(1, 0.0), (2, 0.56419), (3, 0.84628), (4, 1.02938), (5, 1.16296), (6, 1.26721), (10, 1.53875)]


@pytest.mark.parametrize(("n", "mean"), LARGEST)
def test_mean_of_the_largest_of_n_normals(n: int, mean: float) -> None:
    assert mean_of_largest(n) == pytest.approx(mean, abs=5e-6)


def test_closed_forms_for_two_and_three() -> None:
    assert mean_of_largest(2) == pytest.approx(1 / math.sqrt(math.pi), abs=1e-9)
    assert mean_of_largest(3) == pytest.approx(1.5 / math.sqrt(math.pi), abs=1e-9)


def test_against_one_equal_rival_at_a_quarter_it_runs_1_15_times_the_estimate() -> None:
    assert won_ratio(0.25, 1) == pytest.approx(1.15, abs=0.005)


@pytest.mark.parametrize("rivals", [1, 3])
def test_a_market_played_out_gives_the_same(rivals: int) -> None:
    # The job really takes 1. Everyone's estimate is off by their own error; the lowest estimate wins; the winner's
    # actual over estimate is exp(-error).
    errors = np.random.default_rng(4).normal(0.0, 0.25, (200_000, rivals + 1))
    ours_won = errors.argmin(axis=1) == 0
    over = np.exp(-errors[ours_won, 0])
    assert np.exp(np.log(over).mean()) == pytest.approx(won_ratio(0.25, rivals), rel=0.005)


def test_alone_or_certain_nothing_is_selected() -> None:
    assert won_ratio(0.4, 0) == 1.0
    assert won_ratio(0.0, 5) == 1.0
    with pytest.raises(ValueError, match="sigma"):
        won_ratio(-0.1, 1)
