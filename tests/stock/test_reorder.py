"""When to order: the exact recursion against drawing lots, and laws of the order point."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from steadyrest.stock.reorder import order_at, used_up

USES = [2, 1, 1, 4, 1, 2]


def test_what_is_used_up_is_as_drawing_lots_finds_it() -> None:
    luck = np.random.default_rng(3)
    lots = 200_000
    rate = luck.gamma(len(USES) + 0.5, 1.0 / 90.0, lots)  # uses a day
    times = luck.poisson(rate * 21.0)
    each = luck.choice(USES, (lots, int(times.max())))
    total = np.where(np.arange(each.shape[1]) < times[:, None], each, 0).sum(axis=1)
    seen = np.bincount(total, minlength=31)[:31] / lots
    odds = used_up(USES, watched_days=90.0, lead_days=21.0, most=30)
    assert np.abs(seen - odds).max() < 4 * 0.5 / np.sqrt(lots)


def test_the_odds_add_up_to_one_also_where_a_float_cannot_hold_those_of_none() -> None:
    odds = used_up([1] * 4000, watched_days=10.0, lead_days=10.0, most=6000)
    assert odds.sum() == pytest.approx(1.0, abs=1e-6)
    assert odds[0] == 0.0
    assert np.argmax(odds) == pytest.approx(4000, abs=3)


@settings(max_examples=20)
@given(some.lists(some.integers(1, 9), max_size=12), some.floats(1, 400), some.floats(0.5, 60), some.floats(0.5, 0.99))
def test_more_odds_a_longer_wait_or_a_shorter_past_never_order_later(
    uses: list[int], days: float, lead: float, odds: float
) -> None:
    point = order_at(uses, watched_days=days, lead_days=lead, odds=odds)
    assert point.value >= 0
    assert point.value == int(point.value)
    assert order_at(uses, watched_days=days, lead_days=lead, odds=(1 + odds) / 2).value >= point.value
    assert order_at(uses, watched_days=days, lead_days=2 * lead, odds=odds).value >= point.value
    assert order_at(uses, watched_days=2 * days, lead_days=lead, odds=odds).value <= point.value
