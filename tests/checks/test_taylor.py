"""Tool life against worked examples."""

from __future__ import annotations

import pytest

from steadyrest.stations import edge


def test_exponent_from_two_lives() -> None:
    # A textbook exercise: 180 x 4.25^n = 110 x 35^n gives n = 0.233. Seen; 0.233575 and C = 252.38 computed.
    n, c = edge.taylor_exponent((180, 4.25), (110, 35))
    assert n == pytest.approx(0.2336, abs=5e-5)  # printed 0.233: cut, not rounded (exact 0.233575)
    assert c == pytest.approx(252.38, abs=0.005)


def test_exponent_of_groovers_example() -> None:
    # From memory: (160 m/min, 5 min), (100, 41): n 0.223, C 229; exact computed.
    n, c = edge.taylor_exponent((160, 5), (100, 41))
    assert n == pytest.approx(0.223372, abs=5e-7)
    assert c == pytest.approx(229.2187, abs=5e-5)


def test_speed_of_greatest_output() -> None:
    # Ghosh and Mallik, example 4.28 p. 271, program seen, value computed from it: n 0.25, C 75, 2 min.
    assert edge.fastest_speed(0.25, 75, change_min=2) == pytest.approx(47.9207, abs=5e-5)


# Worksheet questions seen, answers computed: n, C, speed times, life percent.
@pytest.mark.parametrize(
    ("n", "factor", "percent", "half_digit"),
    [(0.4, 0.8, 74.69, 0.005), (0.4, 1.3, -48.10, 0.005), (0.5, 0.5, 300, 0.5), (0.5, 0.25, 1500, 0.5)],
)
def test_life_at_another_speed(n: float, factor: float, percent: float, half_digit: float) -> None:
    life = edge.life_s(100 * factor, known_life_s=900, known_speed_m_min=100, exponent=n)
    assert (life / 900 - 1) * 100 == pytest.approx(percent, abs=half_digit)
