"""Whether a reading decides: ISO 14253-1 and JCGM 106.

The rule was seen only in low-grade copies of the standard; the bounds of the 25 H7 example are computed; the JCGM
examples are from memory with values computed from 7's formula.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.measure.decision import accept_mm, conformance_odds, decide

H7 = (25.000, 25.021)


def test_readings_that_prove_a_25_h7_bore() -> None:
    wide = accept_mm(H7, 0.002, guard=2.0)
    usual = accept_mm(H7, 0.002)
    assert wide is not None
    assert usual is not None
    assert wide == (pytest.approx(25.0040, abs=5e-5), pytest.approx(25.0170, abs=5e-5))
    assert usual == (pytest.approx(25.0033, abs=5e-5), pytest.approx(25.0177, abs=5e-5))


# The bounds above, a hundredth of a micrometre to either side of each.
@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        (25.00401, "proved"), (25.01699, "proved"), (25.00399, "not proved"), (25.01701, "not proved"),
        (24.99599, "refused"), (25.02501, "refused"), (24.99601, "not proved"), (25.02499, "not proved"),
    ],
)  # fmt: skip
def test_what_a_reading_proves_at_two_u(reading: float, verdict: str) -> None:
    assert decide(reading, H7, 0.002, guard=2.0) == verdict


@pytest.mark.parametrize(
    ("reading", "limits", "u", "odds"),
    [(-5.47, (None, -5.40), 0.05, 0.91924), (509.7, (490.0, None), 8.6, 0.98901), (13.6, (12.5, 16.3), 1.8, 0.66263)],
)
def test_chance_of_conformance(
    reading: float, limits: tuple[float | None, float | None], u: float, odds: float
) -> None:
    assert conformance_odds(reading, limits, u) == pytest.approx(odds, abs=5e-6)


@settings(deadline=None, max_examples=80)
@given(reading=floats(24.98, 25.04), u=floats(1e-4, 0.01))
def test_a_finer_gauge_never_unproves(reading: float, u: float) -> None:
    verdict = decide(reading, H7, u)
    if verdict != "not proved":
        assert decide(reading, H7, u / 2) == verdict


@settings(deadline=None, max_examples=80)
@given(reading=floats(24.98, 25.04), u=floats(1e-4, 0.006))
def test_a_proved_size_conforms_with_at_least_nineteen_in_twenty(reading: float, u: float) -> None:
    # One-sided 95 % at a limit; with both limits near, the tail of the other side may take as much again.
    if decide(reading, H7, u) == "proved":
        assert conformance_odds(reading, H7, u) >= 0.90
