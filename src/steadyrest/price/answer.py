"""What a price says: what it costs with its odds, what to walk away at, what to ask, and that by quantity."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.price.by_the_hour import ByTheHour
from steadyrest.price.winning import Winning
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.money import Money


@dataclass(frozen=True, slots=True)
class Line:
    """One amount of a sum, to the cent, and what it is for."""

    what: Reason
    amount: Money


@dataclass(frozen=True, slots=True)
class Break:
    """The offer for another quantity. set_up_share: share of the hours that does not grow with the quantity.

    cost_p10, cost_p90: what it costs the shop, eight runs of ten between the two.
    """

    quantity: int
    total: Money
    each: Money
    set_up_share: float
    why: tuple[Reason, ...]
    cost_p10: float = 0.0
    cost_p90: float = 0.0


@dataclass(frozen=True, slots=True)
class Price:
    """For how much.

    cash: money that goes out, line by line. hours: people's time, mean. cost_p10, cost_p50, cost_p90: cash and hours
    at what they cost the shop, quantiles of the draws. walk_away: below it the shop loses by saying yes.
    lines: add up to `offer` to the cent. late: lateness inflicted on other promises, mean, in money.
    won_ratio: how much longer work runs that was won against `rivals` equal rivals; counted in the offer.
    at_cost: hours of each person and machine at what they cost the shop, mean. winning: how likely the offer is taken.
    lost, again: share of parts that are lost, and cut once more; None: nothing has limits of its own. spare: blanks to
    lay out besides. by_the_hour: what it comes to if it is charged so. deposit: paid before the work begins, if any.
    valid_days: how long the offer stands.
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
    at_cost: tuple[Line, ...] = ()
    winning: Winning | None = None
    lost: Figure | None = None
    again: Figure | None = None
    spare: int = 0
    spare_why: tuple[Reason, ...] = ()
    by_the_hour: ByTheHour | None = None
    deposit: Money | None = None
    deposit_why: tuple[Reason, ...] = ()
    valid_days: int = 0

    @property
    def each(self) -> Money:
        """The offer for one part; times the quantity it may miss the offer by cents."""
        return self.offer.times(1 / self.quantity).rounded()
