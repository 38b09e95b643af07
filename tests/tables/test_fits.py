"""ISO 286 as laws."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.tables.fits import deviations_um, fit_um, has_limits, it_grade_um, limits
from steadyrest.trouble import BadInput

laws = settings(deadline=None, max_examples=120)
SIZES = st.floats(0.01, 500)
LETTERS = ["a", "b", "c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s", "t", "u"]


@laws
@given(size_mm=SIZES, grade=st.integers(1, 16), letter=st.sampled_from(LETTERS), hole=st.booleans())
def test_a_zone_is_as_wide_as_its_grade(size_mm: float, grade: int, letter: str, *, hole: bool) -> None:
    zone = f"{letter.upper() if hole else letter}{grade}"
    if has_limits(size_mm, zone):
        lower, upper = deviations_um(size_mm, zone)
        assert upper - lower == pytest.approx(it_grade_um(size_mm, grade))
        low, high = limits(size_mm, zone)
        assert low < high


@laws
@given(size_mm=SIZES, grade=st.integers(1, 15))
def test_a_coarser_grade_is_wider(size_mm: float, grade: int) -> None:
    assert it_grade_um(size_mm, grade + 1) > it_grade_um(size_mm, grade)


@laws
@given(size_mm=SIZES, grade=st.integers(2, 12), letter=st.sampled_from(["a", "b", "c", "d", "e", "f", "g", "h", "js"]))
def test_a_hole_up_to_h_mirrors_the_shaft(size_mm: float, grade: int, letter: str) -> None:
    shaft, hole = f"{letter}{grade}", f"{letter.upper()}{grade}"
    if has_limits(size_mm, shaft):
        lower, upper = deviations_um(size_mm, shaft)
        assert deviations_um(size_mm, hole) == (-upper, -lower)


@laws
@given(size_mm=st.floats(3.01, 500), letter=st.sampled_from(["k", "m", "n", "p", "r", "s"]))
def test_a_hole_basis_fit_equals_its_shaft_basis_twin(size_mm: float, letter: str) -> None:
    # That H7/p6 and P7/h6 fit alike is what delta is for. M6 and J are the standard's own exceptions.
    assert fit_um(size_mm, "H7", f"{letter}6") == pytest.approx(fit_um(size_mm, f"{letter.upper()}7", "h6"))


@laws
@given(size_mm=SIZES)
def test_shafts_grow_from_f_to_s(size_mm: float) -> None:
    lowers = [deviations_um(size_mm, f"{letter}6")[0] for letter in ("f", "g", "h", "k", "m", "n", "p", "r", "s", "u")]
    assert lowers == sorted(lowers)


@pytest.mark.parametrize(
    ("size_mm", "zone"),
    [(0, "H7"), (-1, "H7"), (500.1, "H7"), (25, "H17"), (25, "H0"), (25, "x6"), (25, "k"), (25, "7"), (25, ""),
     (20, "t6"), (25, "K9"), (25, "J9"), (25, "j8"), (1, "a9"), (float("nan"), "H7"), (25, "h7 "), (25, "Js7")],
)  # fmt: skip
def test_what_the_standard_does_not_have_is_refused_in_one_line(size_mm: float, zone: str) -> None:
    assert not has_limits(size_mm, zone)
    with pytest.raises(BadInput) as refused:
        limits(size_mm, zone)
    assert "\n" not in refused.value.line()
