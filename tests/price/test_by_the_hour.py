"""Work by the hour: the amount not to exceed is kept as often as it says; and what a machine's hour costs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from scipy.stats import norm

from steadyrest.price.by_the_hour import by_the_hour
from steadyrest.price.price import Circumstances
from steadyrest.shop.machine_hour import MachineHour
from steadyrest.shop.money import Money
from tests.price.test_price import TERMS, draws, priced, total

NONE = Money(Decimal(0), "EUR")


def test_the_limit_is_the_quantile_that_was_wanted_and_what_is_above_it_is_borne() -> None:
    # ln N(0, 0.25) at 100: p90 is 100 exp(0.25 x 1.28155); the mean above a limit k by Black's formula.
    z = norm.ppf((np.arange(20000) + 0.5) / 20000)
    found = by_the_hour(100 * np.exp(0.25 * z), wanted_odds=0.9, least=NONE)
    k = 100 * np.exp(0.25 * 1.28155)
    assert float(found.not_to_exceed.amount) == pytest.approx(k, abs=0.05)
    assert found.odds >= 0.9
    d = (np.log(100 / k) + 0.25**2) / 0.25
    above = 100 * np.exp(0.25**2 / 2) * norm.cdf(d) - k * norm.cdf(d - 0.25)
    assert float(found.borne.amount) == pytest.approx(above, abs=0.02)


def test_the_limit_is_never_below_the_smallest_charge_and_never_rounded_down() -> None:
    least = Money(Decimal("60.00"), "EUR")
    assert by_the_hour(np.full(10, 20.0), wanted_odds=0.9, least=least).not_to_exceed == least
    up = by_the_hour(np.full(10, 20.001), wanted_odds=0.9, least=NONE)
    assert up.not_to_exceed.amount == Decimal("20.01")
    assert up.odds == 1.0


def test_the_limit_lies_above_the_offer_and_rises_with_the_spread() -> None:
    got = priced(circumstances=Circumstances(rivals=0, after_hours=0.2))
    assert got.by_the_hour is not None
    assert got.by_the_hour.not_to_exceed.amount > got.offer.amount > got.by_the_hour.half.amount
    wider = priced(draws(spread=0.5), circumstances=Circumstances(rivals=0, after_hours=0.2))
    assert wider.by_the_hour is not None
    assert wider.by_the_hour.not_to_exceed.amount > got.by_the_hour.not_to_exceed.amount


def test_a_deposit_is_its_share_of_the_offer_from_the_amount_on() -> None:
    asks = replace(TERMS, deposit=0.3, deposit_from=Decimal("100.00"))
    got = priced(terms=asks)
    assert got.deposit == got.offer.times(0.3).rounded()
    assert priced(terms=replace(asks, deposit_from=Decimal(10**6))).deposit is None
    assert priced().deposit is None


def test_hours_at_cost_and_cash_add_up_to_the_mean_cost() -> None:
    got = priced()
    mean = 4 * np.exp(0.25**2 / 2)
    assert float(total(got.at_cost)) == pytest.approx(mean * 40 + mean / 2 * 12, abs=0.02)


def test_a_machine_hour_is_what_it_loses_and_holds_and_is_kept_for_and_draws() -> None:
    # By hand: (66000 - 12000) / 12 / 1000 = 4.50; (66000 + 12000) / 2 x 0.06 / 1000 = 2.34; (2400 + 2960) / 1000 =
    # 5.36; 6 kW x 0.30 = 1.80.
    bought, rest, upkeep, room = (Decimal(one) for one in (66000, 12000, 2400, 2960))
    hour = MachineHour(bought, rest, 12, 0.06, upkeep, room, 1000, 6000, Decimal("0.30"))
    assert (hour.wear, hour.money_in_it, hour.kept, hour.power) == pytest.approx((4.50, 2.34, 5.36, 1.80))
    assert hour.per_hour == Decimal("14.00")
