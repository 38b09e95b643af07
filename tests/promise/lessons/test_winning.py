"""What winning does, against closed forms and SciPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import log_ndtr

from steadyrest.price.won import mean_of_largest
from steadyrest.promise.lessons.winning import job_term_grid, log_outcome, log_phi, log_won, won_shares

GRID = job_term_grid(2001)
NORMAL = 1e7  # degrees of freedom: as good as normal


def mean(shares):
    return float(np.sum(0.5 * (GRID[1:] + GRID[:-1]) * np.diff(shares)))


@given(x=st.floats(-30, 30))
def test_log_phi_is_scipy_s(x):
    assert log_phi(x) == pytest.approx(log_ndtr(x), rel=2e-4, abs=1e-13)


# m of the largest of 2, 3, 5, 10 standard normals: Harter 1961, five places (from memory); 1 / sqrt(pi) for two.
@pytest.mark.parametrize(("rivals", "m"), [(1, 0.56419), (2, 0.84628), (4, 1.16296), (9, 1.53875)])
def test_against_equal_rivals_won_work_is_the_largest_of_all_errors(rivals, m):
    found = mean(won_shares(GRID, NORMAL, rivals, 0.0, 1.0))
    assert found == pytest.approx(m, abs=2e-4)
    assert found == pytest.approx(mean_of_largest(rivals + 1), abs=2e-4)


def test_against_one_equal_rival_at_a_quarter_it_runs_1_15_times_the_estimate():
    # Known from the trade: "against one equal rival at sigma 0.25 it runs 1.15x the estimate".
    assert math.exp(0.25 * mean(won_shares(GRID, NORMAL, 1, 0.0, 1.0))) == pytest.approx(1.15, abs=0.005)


@given(tail=st.sampled_from([3.0, 8.0, 60.0]), level=st.floats(-2, 2))
def test_nobody_to_beat_selects_nothing(tail, level):
    assert mean(won_shares(GRID, tail, 0, level, 1.0)) == pytest.approx(0, abs=1e-9)


@given(rivals=st.integers(1, 20), level=st.floats(-2, 2), slope=st.floats(0.1, 4))
def test_more_rivals_a_steeper_edge_and_a_worse_level_select_more(rivals, level, slope):
    base = mean(won_shares(GRID, 60.0, rivals, level, slope))
    assert 0 <= base <= mean(won_shares(GRID, 60.0, rivals + 1, level, slope)) + 1e-9
    assert base <= mean(won_shares(GRID, 60.0, rivals, level - 0.1, slope)) + 1e-9


@given(
    job=st.floats(-3, 3), rivals=st.integers(0, 10), level=st.floats(-3, 3), edge=st.floats(0.1, 20),
    asked=st.floats(0.01, 0.999),
)  # fmt: skip
def test_won_and_lost_are_all_there_is(job, rivals, level, edge, asked):
    both = [log_outcome(won, job, rivals, level, edge, asked) for won in (True, False)]
    assert sum(math.exp(one) for one in both) == pytest.approx(1, abs=1e-9)
    assert both[0] == log_won(job, rivals, level, edge, asked) <= 0
