"""Laws of a trailer."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.handling.trailer import Laden, Trailer, towed

LOADS = st.lists(
    st.builds(Laden, what=st.just("x"), mass_kg=st.floats(1, 2000), ahead_mm=st.floats(-2000, 2000)), min_size=1
)


@given(LOADS)
def test_coupling_and_axle_carry_the_whole(load):
    found = towed(Trailer(400, 40, 3000), tuple(load))
    assert found.tongue.value + found.axle.value == pytest.approx(found.gross.value)


@given(LOADS)
def test_shifted_as_it_says_the_coupling_is_in_balance(load):
    trailer = Trailer(400, 40, 3000)
    found = towed(trailer, tuple(load))
    for reason in found.cannot:
        if reason.key.startswith("trailer.nearest"):
            shift = float(dict(reason.given)["shift_mm"]) * (1 if reason.key.endswith("ahead") else -1)
            moved = tuple(Laden(one.what, one.mass_kg, one.ahead_mm + shift) for one in load)
            assert towed(trailer, moved).share == pytest.approx(0.10 if shift > 0 else 0.15)


def test_every_plate_that_is_passed_is_named():
    found = towed(Trailer(400, 40, 3000, gross_kg=1000, axle_kg=900, tongue_kg=75), (Laden("mill", 900, 400),))
    assert [reason.key for reason in found.cannot] == ["trailer.over_gross", "trailer.over_axle", "trailer.over_tongue"]
    assert len(found.cautions) == 3


def test_a_trailer_without_a_coupling_is_refused():
    with pytest.raises(ValueError, match="coupling"):
        towed(Trailer(400, 40, 0), ())
