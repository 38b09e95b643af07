"""Constant surface speed: the formula t = integral of pi D / (2 f v) dD was seen; the rows are computed from it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats

from steadyrest.stations import edge
from tests.oracles.facing import facing_time_s as stepped

ROWS = [
    (50, 0, 200, 0.2, 3000, 12.3115, 5e-5),
    # The check sheet gives 2.54465; by its own formula it is pi 675 60 / 50000 = 2.54469. Recorded as wrong.
    (30, 15, 200, 0.25, 10_000, 2.54469, 5e-6),
    (40, 5, 180, 0.2, 2500, 8.46513, 5e-6),
]


@pytest.mark.parametrize(("r1", "r2", "speed", "feed", "cap", "time_s", "half_digit"), ROWS)
def test_facing_takes_the_computed_time(
    r1: float, r2: float, speed: float, feed: float, cap: float, time_s: float, half_digit: float
) -> None:
    got = edge.facing_time_s(from_radius_mm=r1, to_radius_mm=r2, speed_m_min=speed, feed_mm_rev=feed, max_rpm=cap)
    assert got == pytest.approx(time_s, abs=half_digit)


@settings(deadline=None, max_examples=60)
@given(r1=floats(5, 200), share=floats(0, 0.95), speed=floats(20, 400), feed=floats(0.05, 0.6), cap=floats(100, 5000))
def test_facing_in_two_goes_takes_as_long_as_in_one(
    r1: float, share: float, speed: float, feed: float, cap: float
) -> None:
    def time_s(outer: float, inner: float) -> float:
        return edge.facing_time_s(
            from_radius_mm=outer, to_radius_mm=inner, speed_m_min=speed, feed_mm_rev=feed, max_rpm=cap
        )

    inner = r1 * share
    middle = (r1 + inner) / 2
    assert time_s(r1, middle) + time_s(middle, inner) == pytest.approx(time_s(r1, inner), rel=1e-9)


# Contract of the leaving check (this project's own): L/v + v/a if L >= v2/a, else 2 sqrt(L/a). Computed by hand.
def test_a_short_move_never_reaches_its_speed() -> None:
    assert edge.move_time_s(100, 6000, 1000) == pytest.approx(1.0 + 0.1)
    assert edge.move_time_s(2.5, 6000, 1000) == pytest.approx(0.1)
    assert edge.move_time_s(0, 6000, 1000) == 0.0


@settings(deadline=None, max_examples=8)
@given(r1=floats(5, 200), share=floats(0, 0.95), speed=floats(20, 400), cap=floats(100, 5000))
def test_facing_agrees_with_stepping_through_it(r1: float, share: float, speed: float, cap: float) -> None:
    got = edge.facing_time_s(
        from_radius_mm=r1, to_radius_mm=r1 * share, speed_m_min=speed, feed_mm_rev=0.2, max_rpm=cap
    )
    assert got == pytest.approx(stepped(r1, r1 * share, speed, 0.2, cap), rel=1e-4)
