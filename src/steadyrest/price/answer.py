"""What a price says: what it costs with its odds, what to walk away at, what to ask, and that by quantity."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.money import Money


@dataclass(frozen=True, slots=True)
class Line:
    """One amount of a sum, to the cent, and what it is for."""

    what: Reason
    amount: Money


@dataclass(frozen=True, slots=True)
class Break:
    """The offer for another quantity. set_up_share: share of the hours that does not grow with the quantity."""

    quantity: int
    total: Money
    each: Money
    set_up_share: float
    why: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Price:
    """For how much.

    cash: money that goes out, line by line. hours: people's time, mean. cost_p10, cost_p50, cost_p90: cash and hours
    at what they cost the shop, quantiles of the draws. walk_away: below it the shop loses by saying yes.
    lines: add up to `offer` to the cent. late: lateness inflicted on other promises, mean, in money.
    won_ratio: how much longer work runs that was won against `rivals` equal rivals; counted in the offer.
    """

    quantity: int
    currency: str
    cash: tuple[Line, ...]
    hours: Figure
    cost_p10: Figure
    cost_p50: Figure
    cost_p90: Figure
    walk_away: Money
    walk_away_why: tuple[Reason, ...]
    offer: Money
    offer_why: tuple[Reason, ...]
    lines: tuple[Line, ...]
    breaks: tuple[Break, ...]
    late: Money
    won_ratio: float
    sigma: float
    rivals: int

    @property
    def each(self) -> Money:
        """The offer for one part; times the quantity it may miss the offer by cents."""
        return self.offer.times(1 / self.quantity).rounded()
