"""Work charged by the hour: what it comes to, and the amount that it will not exceed, with its odds."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from steadyrest.shop.draws import FloatArray, quantiles
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.money import Money


@dataclass(frozen=True, slots=True)
class ByTheHour:
    """half: half the time it comes to no more. not_to_exceed: kept at `odds`; what is above it the shop bears.

    borne: what the shop bears so, on average.
    """

    half: Money
    not_to_exceed: Money
    odds: float
    borne: Money
    why: tuple[Reason, ...]


def by_the_hour(charged: FloatArray, *, wanted_odds: float, least: Money) -> ByTheHour:
    """What the hours come to at the shop's rates, over the draws.

    Args:
        charged: (n,) what would be charged in each draw.
        wanted_odds: how often the amount must be enough.
        least: the smallest charge; no amount is below it.
    Returns: the amounts, to the cent; the amount not to exceed is rounded up.
    """
    middle, high = quantiles(charged, 0.5, wanted_odds)
    limit = max(_up(high), float(least.amount))
    odds = float((charged <= limit).mean())
    borne = float(np.maximum(charged - limit, 0.0).mean())

    def money(amount: float) -> Money:
        return Money(Decimal(repr(round(amount, 2))), least.currency).rounded()

    half = money(max(middle, float(least.amount)))
    why = (
        because("price.not_to_exceed", kept_odds=odds, half_money=float(half.amount)),
        because("price.borne", borne_money=borne),
    )
    return ByTheHour(half, money(limit), odds, money(borne), why)


def _up(amount: float) -> float:
    """To the cent, never down."""
    return float(np.ceil(amount * 100 - 1e-6) / 100)
