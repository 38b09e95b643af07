"""Treatments as a person types them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, permutations

from steadyrest.shop.finish import WAYS, Finish, finishes
from steadyrest.trouble import BadInput

TYPED = ("stress relieved", "hardened 56 HRC", "ground S2, S5", "plated 8 um")


@settings(deadline=None, max_examples=60)
@given(order=permutations(TYPED))
def test_they_are_done_in_one_order_however_they_are_typed(order: list[str]) -> None:
    found = finishes(order)
    assert [WAYS.index(finish.way) for finish in found] == sorted(WAYS.index(finish.way) for finish in found)
    assert found == finishes(TYPED)


@settings(deadline=None, max_examples=60)
@given(um=floats(0.5, 500))
def test_what_is_shown_reads_back_as_the_same(um: float) -> None:
    for finish in (
        Finish("plated", thickness_um=round(um, 3)),
        Finish("case hardened", hardness_hrc=60.0, case_mm=round(um / 100, 3)),
        Finish("ground", features=("S2", "S5")),
        Finish("stress relieved"),
        Finish("Ra", ra_um=round(um / 10, 3), features=("S2", "S5")),
        Finish("lapped"),
    ):
        assert finishes([finish.shown]) == (finish,)


def test_a_thickness_may_be_typed_in_millimetres_and_with_a_comma() -> None:
    assert finishes(["plated 0,008 mm"])[0].thickness_um == pytest.approx(8.0)


@pytest.mark.parametrize(
    "typed",
    [
        ["polished"], ["plated"], ["plated 0 um"], ["plated 8 parsecs"], ["hardened"], ["hardened 90 HRC"],
        ["hardened 58 um"], ["case hardened 0.8 mm"], ["ground the lot"], ["plated 8 um", "plated 9 um"],
        ["hardened 50 HRC", "case hardened 1 mm 60 HRC"], [""],
    ],
)  # fmt: skip
def test_what_is_not_understood_is_refused_with_an_example(typed: list[str]) -> None:
    with pytest.raises(BadInput) as bad:
        finishes(typed)
    assert bad.value.where.startswith("--finish")
    assert bad.value.do
