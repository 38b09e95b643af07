"""Preferred sizes and inch fractions."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest import units
from steadyrest.tables.general_tolerances import ToleranceClass, broken_edge_mm, general_tolerance_mm
from steadyrest.tables.sizes import Series, inch_fractions, preferred_diameters, preferred_numbers, preferred_sizes

laws = settings(deadline=None, max_examples=80)


def test_each_series_is_every_second_number_of_the_next() -> None:
    series: tuple[Series, ...] = ("R5", "R10", "R20", "R40")
    for coarse, fine in itertools.pairwise(series):
        assert preferred_numbers(coarse) == preferred_numbers(fine)[::2]


@laws
@given(low=st.floats(0.01, 100), ratio=st.floats(1, 200))
def test_a_series_goes_on_over_the_decades(low: float, ratio: float) -> None:
    sizes = preferred_sizes("R10", low, low * ratio)
    assert list(sizes) == sorted(set(sizes))
    assert all(low <= size <= low * ratio for size in sizes)
    for small, large in itertools.pairwise(sizes):
        assert 1.2 < large / small < 1.3


def test_usual_diameters_are_kept_once_each_with_their_choice() -> None:
    sizes = preferred_diameters()
    told = [size.size_mm for size in sizes]
    assert told == sorted(set(told))
    choice = {size.size_mm: size.choice for size in sizes}
    assert (choice[25], choice[35], choice[37], choice[6.5]) == (1, 2, 3, 4)
    assert {size.choice for size in preferred_diameters(2)} == {1, 2}


@laws
@given(low=st.floats(0, 300), span=st.floats(0, 60), finest=st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_inch_fractions_are_all_those_between_two_sizes(low: float, span: float, finest: int) -> None:
    found = list(inch_fractions(low, low + span, finest))
    for fraction in found:
        assert low - 1e-6 <= fraction.size_mm <= low + span + 1e-6
        assert finest % fraction.denominator == 0
        assert units.parse_length(fraction.shown) == pytest.approx(fraction.size_mm, abs=1e-9)
    assert abs(len(found) - span / 25.4 * finest) <= 1


@laws
@given(size_mm=st.floats(0.5, 4000))
def test_a_coarser_class_allows_no_less(size_mm: float) -> None:
    classes: tuple[ToleranceClass, ...] = ("f", "m", "c", "v")
    for told in (general_tolerance_mm, broken_edge_mm):
        allowed = [off for off in (told(size_mm, klass) for klass in classes) if off is not None]
        assert allowed == sorted(allowed)
