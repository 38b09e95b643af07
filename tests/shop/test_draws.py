"""Draws: the same luck for the same name, and nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.draws import Luck, quantiles


@given(st.text(max_size=20), st.integers(0, 2**40), st.integers(1, 300))
@settings(deadline=None, max_examples=50)
def test_one_draw_stands_in_each_stratum(name: str, seed: int, count: int) -> None:
    draws = Luck(count, seed).uniform(name)
    assert sorted(np.floor(draws * count).astype(int)) == list(range(count))


def test_a_factor_depends_on_its_name_and_the_seed_alone() -> None:
    luck = Luck(100, 7)
    assert np.array_equal(luck.normal("person anna"), Luck(100, 7).normal("person anna"))
    assert not np.array_equal(luck.normal("person anna"), luck.normal("person ben"))
    assert not np.array_equal(luck.normal("person anna"), Luck(100, 8).normal("person anna"))


def test_normals_have_the_moments_of_a_normal() -> None:
    draws = Luck(4096, 3).normal("x")
    assert abs(draws.mean()) < 0.005
    assert abs(draws.std() - 1) < 0.01


def test_two_factors_are_independent() -> None:
    luck = Luck(4096, 3)
    # Standard error of a correlation at n = 4096 is 1/64.
    assert abs(np.corrcoef(luck.normal("a"), luck.normal("b"))[0, 1]) < 4 / 64


def test_quantiles_of_known_draws() -> None:
    assert quantiles(np.arange(101.0), 0.1, 0.5, 0.9) == pytest.approx((10, 50, 90))
