"""Stacks of errors against closed forms: worst case, root of the sum of squares, and the normal law.

Sources: definitions; the normal distribution function (math.erf); the sum of two equal uniform errors is triangular.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, lists, sampled_from, tuples

from steadyrest.route.tolerance_stack import SD_IN_REACH, aim, deviations, held, root_sum_square, worst_case
from steadyrest.shop.chart import Term
from steadyrest.shop.draws import Luck

LUCK = Luck(4000, 7)
TERMS = lists(
    tuples(floats(0, 0.2), sampled_from(["normal", "uniform", "one-sided"]), sampled_from([-2.0, -1.0, 1.0, 2.0])),
    max_size=6,
).map(lambda rows: [Term("machine", reach, shape, f"t{n}", "s", factor) for n, (reach, shape, factor) in enumerate(rows)])  # fmt: skip # noqa: E501


def phi(z: float) -> float:
    return 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))


@settings(deadline=None, max_examples=60)
@given(terms=TERMS)
def test_the_worst_case_is_the_sum_of_the_ends(terms: list[Term]) -> None:
    low, high = worst_case(terms)
    both = sum(abs(t.factor) * t.reach_mm for t in terms)
    one = sum(abs(t.factor) * t.reach_mm for t in terms if t.shape == "one-sided")
    assert high - low == pytest.approx(2.0 * both - one)
    assert low <= 0.0 <= high


@settings(deadline=None, max_examples=60)
@given(terms=TERMS)
def test_the_root_of_the_sum_of_squares_lies_between_the_largest_and_the_sum(terms: list[Term]) -> None:
    halves = [abs(t.factor) * t.reach_mm / (2.0 if t.shape == "one-sided" else 1.0) for t in terms]
    assert max(halves, default=0.0) - 1e-12 <= root_sum_square(terms) <= sum(halves) + 1e-12


def test_three_equal_errors_make_three_at_the_worst_and_root_three_by_squares() -> None:
    terms = [Term("machine", 0.1, "uniform", f"t{n}", "s") for n in range(3)]
    assert worst_case(terms) == pytest.approx((-0.3, 0.3))
    assert root_sum_square(terms) == pytest.approx(0.1 * math.sqrt(3.0))


@settings(deadline=None, max_examples=20)
@given(terms=TERMS)
def test_no_draw_of_bounded_errors_leaves_the_worst_case(terms: list[Term]) -> None:
    bounded = [t for t in terms if t.shape != "normal"]
    low, high = worst_case(bounded)
    drawn = deviations(bounded, LUCK)
    assert drawn.min() >= low - 1e-12
    assert drawn.max() <= high + 1e-12


@settings(deadline=None, max_examples=12)
@given(reaches=lists(floats(0.002, 0.02), min_size=1, max_size=4), width=floats(0.01, 0.08))
def test_normal_errors_are_held_as_the_normal_law_says(reaches: list[float], width: float) -> None:
    terms = [Term("machine", reach, "normal", f"t{n}", "s") for n, reach in enumerate(reaches)]
    sd = math.sqrt(sum(reach**2 for reach in reaches)) / SD_IN_REACH
    said = held(terms, low_mm=0.0, high_mm=width, aim_mm=width / 2, luck=Luck(20_000, 7))
    assert said == pytest.approx(2.0 * phi(width / 2.0 / sd) - 1.0, abs=0.02)


def test_two_equal_uniform_errors_are_held_as_the_triangle_says() -> None:
    terms = [Term("machine", 0.1, "uniform", f"t{n}", "s") for n in range(2)]
    # P(|x + y| <= c) for x, y uniform on +-a: 1 - (2a - c)^2 / (2a)^2.
    said = held(terms, low_mm=-0.05, high_mm=0.05, aim_mm=0.0, luck=LUCK)
    assert said == pytest.approx(1.0 - (0.2 - 0.05) ** 2 / 0.2**2, abs=0.02)


def test_errors_of_one_name_add_and_do_not_average() -> None:
    shared = [Term("datum", 0.1, "uniform", "one", "s"), Term("datum", 0.1, "uniform", "one", "s")]
    assert deviations(shared, LUCK).std() == pytest.approx(0.2 / math.sqrt(3.0), rel=0.01)


def test_a_size_that_drifts_one_way_is_aimed_so_that_it_ends_in_the_middle() -> None:
    terms = [Term("tool wear", 0.04, "one-sided", "w", "s")]
    assert aim(terms, low_mm=10.0, high_mm=10.1) == pytest.approx(10.05 - 0.02)


def test_the_same_seed_gives_the_same_chance() -> None:
    terms = [Term("machine", 0.01, "normal", "m", "s")]
    assert held(terms, low_mm=-0.005, high_mm=0.02, aim_mm=0.0, luck=LUCK) == held(
        terms, low_mm=-0.005, high_mm=0.02, aim_mm=0.0, luck=LUCK
    )
