"""Passing what is wrong, refusing what is right: against plain drawing of lots."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.measure.risks import risks

LIMITS = (29.98, 30.0)


@pytest.mark.parametrize(("mean", "sd", "u", "guard"), [(29.99, 0.005, 0.0014, 1.65), (29.995, 0.004, 0.003, 0.0)])
def test_the_risks_are_those_of_drawing_lots(mean: float, sd: float, u: float, guard: float) -> None:
    luck = np.random.default_rng(7)
    size = luck.normal(mean, sd, 2_000_000)
    reads = size + luck.normal(0.0, u, size.size)
    inside = (size >= LIMITS[0]) & (size <= LIMITS[1])
    passes = (reads >= LIMITS[0] + guard * u) & (reads <= LIMITS[1] - guard * u)
    found = risks(mean, sd, LIMITS, u, guard)
    assert found.passed_wrong == pytest.approx(float((passes & ~inside).mean()), abs=4e-4)
    assert found.refused_right == pytest.approx(float((~passes & inside).mean()), abs=1.5e-3)


@settings(deadline=None, max_examples=25)
@given(mean=st.floats(29.97, 30.01), sd=st.floats(0.001, 0.02), u=st.floats(0.0005, 0.004))
def test_a_guard_band_passes_less_wrong_and_refuses_more_right(mean: float, sd: float, u: float) -> None:
    bare, guarded = risks(mean, sd, LIMITS, u, 0.0), risks(mean, sd, LIMITS, u)
    assert guarded.passed_wrong <= bare.passed_wrong + 1e-9
    assert guarded.refused_right >= bare.refused_right - 1e-9


def test_a_spread_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="must be positive"):
        risks(30.0, 0.0, LIMITS, 0.001)
