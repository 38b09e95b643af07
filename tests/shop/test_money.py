"""Money adds up to the cent."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.shop.money import Money

amounts = st.decimals("-1000000", "1000000", places=2)
shares = st.lists(st.floats(0, 1000, allow_nan=False).map(lambda x: round(x, 4)), min_size=1, max_size=12).filter(sum)


@given(amounts, shares)
def test_a_split_adds_up_to_the_whole_to_the_cent(amount: Decimal, parts: list[float]) -> None:
    whole = Money(amount, "EUR")
    assert sum((one.amount for one in whole.split(parts)), Decimal(0)) == whole.rounded().amount


@given(amounts, shares)
def test_no_share_is_off_by_a_whole_cent(amount: Decimal, parts: list[float]) -> None:
    total = sum(Decimal(repr(part)) for part in parts)
    for share, one in zip(parts, Money(amount, "EUR").split(parts), strict=True):
        assert abs(one.amount - amount * Decimal(repr(share)) / total) < Decimal("0.01")


def test_halves_round_up() -> None:
    assert Money(Decimal("0.125"), "EUR").shown() == "0.13"
    assert Money(Decimal("2.005"), "EUR").shown() == "2.01"


def test_two_currencies_do_not_add_up() -> None:
    with pytest.raises(ValueError, match="do not add up"):
        Money(Decimal(1), "EUR") + Money(Decimal(1), "USD")


def test_a_split_by_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="not all zero"):
        Money(Decimal(1), "EUR").split([0.0, 0.0])
