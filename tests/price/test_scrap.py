"""Parts that go wrong: on which side, how many, and how many blanks besides."""

from __future__ import annotations

from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.price.scrap import scrap, spare_blanks
from steadyrest.shop.chart import Charted, Term
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Figure, because

LUCK = Luck(4000, 1)


def size(feature: str, *, low: float, high: float, reach: float, luck: str, name: str = "diameter_mm") -> Charted:
    term = Term("machine", reach, "normal", luck, "turn")
    odds = Figure(0.9, "1", (because("price.hours", draws=1.0),))
    return Charted(feature, name, low, high, ("turn",), (term,), odds, reach, reach)


def test_too_large_outside_is_cut_again_and_too_small_is_lost_and_inside_the_reverse() -> None:
    # Limits at one sd: 16 in 100 on each side (normal distribution).
    charted = [size("F1", low=19.99, high=20.01, reach=0.01 * 1.959964, luck="a")]
    for inside in ((), ("F1",)):
        found = scrap(charted, inside=inside, quantity=10, wanted_odds=0.9, luck=LUCK)
        assert found is not None
        assert found.lost.value == pytest.approx(0.1587, abs=0.002)
        assert found.again.value == pytest.approx(0.1587, abs=0.002)
    one_side = [size("F1", low=19.99, high=30.0, reach=0.01 * 1.959964, luck="a")]
    # Aimed half way, so far off the low limit that nothing is lost.
    assert scrap(one_side, inside=(), quantity=1, wanted_odds=0.9, luck=LUCK).lost.value == 0.0  # type: ignore[union-attr]


def test_sizes_that_share_their_luck_lose_one_part_and_not_two() -> None:
    one = size("F1", low=-0.01, high=0.01, reach=0.0196, luck="same")
    alike = scrap([one, size("F2", low=-0.01, high=0.01, reach=0.0196, luck="same")], inside=(), quantity=1,
                  wanted_odds=0.9, luck=LUCK)  # fmt: skip
    apart = scrap([one, size("F2", low=-0.01, high=0.01, reach=0.0196, luck="other")], inside=(), quantity=1,
                  wanted_odds=0.9, luck=LUCK)  # fmt: skip
    assert alike is not None
    assert apart is not None
    assert alike.lost.value == pytest.approx(0.1587, abs=0.005)
    assert apart.lost.value == pytest.approx(1 - (1 - 0.1587) ** 2, abs=0.01)


@settings(max_examples=20, deadline=None)
@given(quantity=st.integers(1, 40), lost=st.floats(0, 0.6), wanted=st.floats(0.5, 0.99))
def test_the_blanks_are_the_fewest_that_are_enough(quantity: int, lost: float, wanted: float) -> None:
    def enough(spare: int) -> float:
        n = quantity + spare
        return sum(comb(n, k) * lost**k * (1 - lost) ** (n - k) for k in range(spare + 1))

    spare = spare_blanks(quantity, lost=lost, wanted_odds=wanted)
    assert enough(spare) >= wanted - 1e-9
    assert spare == 0 or enough(spare - 1) < wanted + 1e-9


def test_the_counts_have_the_mean_that_the_chance_says() -> None:
    found = scrap([size("F1", low=-0.01, high=0.01, reach=0.0196, luck="a")], inside=(), quantity=20, wanted_odds=0.9,
                  luck=LUCK)  # fmt: skip
    assert found is not None
    assert float(found.lost_parts.mean()) == pytest.approx(20 * found.lost.value, rel=0.02)
    assert np.all(found.lost_parts <= 20)


def test_without_limits_of_its_own_nothing_is_said() -> None:
    assert scrap([], inside=(), quantity=5, wanted_odds=0.9, luck=LUCK) is None
