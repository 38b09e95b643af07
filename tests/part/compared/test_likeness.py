"""Likeness: symmetric, whole for a part and itself, in any pose, and hardly touched by a scan's noise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.compared.likeness import BINS, KINDS, histogram, laid_out, likeness, sketch
from tests.stations import parts

SIZES = st.lists(st.floats(0.6, 3000.0), max_size=8)


def sketched(of: dict[str, list[float]]) -> np.ndarray:
    return np.concatenate([histogram(of.get(kind, [])) for kind in KINDS])


@given(SIZES, SIZES, SIZES)
def test_a_part_is_wholly_like_itself_and_likeness_goes_both_ways(box, outside, inside) -> None:
    one = sketched({"box": box, "outside": outside})
    other = sketched({"box": box, "outside": outside, "inside": inside})
    if box or outside:
        assert likeness(laid_out([one]), one)[0] == pytest.approx(1.0, abs=1e-3)
    there, back = likeness(laid_out([one]), other)[0], likeness(laid_out([other]), one)[0]
    assert there == pytest.approx(back, abs=2e-3)
    assert 0.0 <= there <= 1.0


@given(SIZES)
def test_a_histogram_holds_as_much_as_there_are_different_sizes(sizes) -> None:
    held = histogram(sizes).sum()
    assert held <= len(sizes) + 1e-3
    if sizes:
        assert held >= 0.99
    assert histogram(sizes).shape == (BINS,)


def test_a_shaft_read_again_is_like_itself_and_another_is_not() -> None:
    shaft = parts.turned([(25, 30, None), (30, 60, None), (20, 40, None)])
    worn = replace(shaft, size_mm=(shaft.size_mm[1], shaft.size_mm[0] + 0.06, shaft.size_mm[2]))  # turned on its side
    other = parts.turned([(60, 12, None), (75, 200, None)])
    scores = likeness(laid_out([sketch(worn), sketch(other)]), sketch(shaft))
    assert scores[0] > 0.9
    assert scores[1] < 0.3


def test_nothing_is_like_nothing() -> None:
    assert likeness(laid_out([]), sketched({"box": [10.0]})).shape == (0,)
