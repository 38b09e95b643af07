"""How far a computed time may be off: a guess at first, then what was timed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.timing.time_spread import time_spread
from steadyrest.tables.practice import rule

ratios = st.lists(st.floats(0.7, 1.5), min_size=1, max_size=12)


@settings(deadline=None, max_examples=50)
@given(seconds=st.floats(1.0, 1e5), past=ratios)
def test_it_is_in_order_and_grows_with_the_time(seconds: float, past: list[float]) -> None:
    spread = time_spread(seconds, [(100.0, 100.0 * ratio) for ratio in past])
    assert 0 < spread.p10_s < spread.p50_s < spread.p90_s
    assert time_spread(2 * seconds).p90_s == pytest.approx(2 * time_spread(seconds).p90_s)
    assert spread.runs == len(past)


def test_with_nothing_timed_it_is_the_cautious_guess_about_the_time_itself() -> None:
    spread = time_spread(1000.0)
    assert spread.p50_s == pytest.approx(1000.0)
    assert math.log(spread.p90_s / 1000.0) > 1.2816 * rule("time_spread")


def test_many_timed_runs_say_both_bias_and_spread() -> None:
    """Closed form: the quantiles of a normal with that mean and spread (1.2816 sigma), drawn with a fixed seed."""
    rng = np.random.default_rng(3)
    actual = 100.0 * np.exp(0.05 + 0.02 * rng.standard_normal(400))
    spread = time_spread(1000.0, [(100.0, float(one)) for one in actual])
    assert math.log(spread.p50_s / 1000.0) == pytest.approx(0.05, abs=0.005)
    assert math.log(spread.p90_s / spread.p50_s) / 1.2816 == pytest.approx(0.02, rel=0.2)


def test_eight_in_ten_of_new_runs_lie_between() -> None:
    """Machines drawn from the guess itself: five runs timed, the sixth forecast."""
    rng = np.random.default_rng(4)
    inside = 0
    for _ in range(400):
        bias, own = 0.05 * rng.standard_normal(), 0.06
        logs = bias + own * rng.standard_normal(6)
        spread = time_spread(100.0, [(100.0, 100.0 * math.exp(x)) for x in logs[:5]])
        inside += spread.p10_s <= 100.0 * math.exp(logs[5]) <= spread.p90_s
    assert 0.74 < inside / 400 < 0.93


@pytest.mark.parametrize("past", [(0.0, 5.0), (5.0, 0.0), (5.0, -1.0)])
def test_a_time_that_is_none_is_refused(past: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="time_spread"):
        time_spread(10.0, [past])
