"""How likely a price is taken, from the shop's own quotes, won and lost; and the price that pays best.

What a customer pays at most is taken as log-normal about the price by the rates: ln(most / by rates) ~ N(m, s). m and s
are not known: a cautious belief (the price by the rates is taken half the time) is weighed with every quote decided.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.shop.draws import FloatArray
from steadyrest.shop.figure import Reason, because

ENOUGH = 10  # decided quotes, of them some won and some lost, from which the offer follows what they say
BELIEVED_SD = 0.3  # of m, before any quote: a third more or less than the rates. Common practice, no source
SPREADS = np.geomspace(0.05, 0.8, 13)  # s, each as likely as the next in its logarithm
MIDDLES = np.linspace(-1.2, 1.2, 81)
SMALL = 1e-7  # belief below which a pair is left out
TRIED = 0.1  # a price is moved no further than this beyond what was asked before
STEPS = 41


@dataclass(frozen=True, slots=True)
class Quoted:
    """A quote that was decided. ratio: asked over what the rates said then; won: it was taken."""

    ratio: float
    won: bool

    def __post_init__(self) -> None:
        if not self.ratio > 0:
            raise ValueError(f"Quoted: ratio {self.ratio!r} must be above 0")


@dataclass(frozen=True, slots=True)
class Winning:
    """odds: that the offer is taken. best_ratio, best_odds: the price that pays best, over the price by the rates.

    quotes: how many were decided. followed: the offer follows them; else they are too few, and it is by the rates.
    """

    odds: float
    best_ratio: float
    best_odds: float
    quotes: int
    followed: bool
    why: tuple[Reason, ...]


def winning(quotes: Sequence[Quoted], *, by_rates: float, walk_away: float) -> Winning:
    """How likely the offer is taken, and which price pays best.

    Args:
        quotes: decided, in any order.
        by_rates: the price by the shop's rates; above 0.
        walk_away: below it a yes loses money.
    Returns: the odds at the offer that follows.
    Raises: ValueError: by_rates is not above 0.
    """
    if not by_rates > 0:
        raise ValueError(f"winning: by_rates {by_rates!r} must be above 0")
    weight = belief(quotes)
    asked = [one.ratio for one in quotes] or [1.0]
    least = walk_away / by_rates
    low = max(least, min(1.0, *asked) / (1 + TRIED)) if len(asked) else least
    high = max(low, max(1.0, *asked) * (1 + TRIED))
    ratios = np.linspace(low, high, STEPS)
    odds = taken(ratios, weight)
    best = int(np.argmax(odds * (ratios * by_rates - walk_away)))
    won = sum(one.won for one in quotes)
    followed = len(quotes) >= ENOUGH and 0 < won < len(quotes)
    offer = float(ratios[best]) if followed else max(1.0, least)
    at = float(taken(np.array([offer]), weight)[0])
    many, few = float(len(quotes)), float(won)
    why = (
        because("price.win_odds", win_odds=at, quotes=many, won=few) if quotes else because("price.win_none"),
        because("price.win_followed", ratio=round(offer, 2), quotes=many, won=few)
        if followed
        else because("price.win_few", enough=float(ENOUGH), ratio=round(float(ratios[best]), 2)),
    )
    return Winning(at, float(ratios[best]), float(odds[best]), len(quotes), followed, why)


def belief(quotes: Sequence[Quoted]) -> FloatArray:
    """(middles, spreads) how likely each pair of m and s is after these quotes; adds up to 1."""
    from scipy.special import log_ndtr  # late: the command's help must not wait for SciPy

    log = np.repeat((-0.5 * (MIDDLES / BELIEVED_SD) ** 2)[:, None], SPREADS.size, axis=1)
    for one in quotes:
        room = (MIDDLES[:, None] - np.log(one.ratio)) / SPREADS
        log += log_ndtr(room if one.won else -room)
    weight = np.exp(log - log.max())
    return weight / weight.sum()


def taken(ratios: FloatArray, weight: FloatArray) -> FloatArray:
    """The odds that each price is taken, over all that is believed.

    Args:
        ratios: (n,) of the price by the rates; above 0.
        weight: from belief.
    Returns: (n,) 0 to 1, falling.
    """
    from scipy.special import ndtr  # late: as above

    i, j = np.nonzero(weight > SMALL)
    odds = ndtr((MIDDLES[i] - np.log(ratios)[:, None]) / SPREADS[j])
    return np.asarray(odds @ weight[i, j] / weight[i, j].sum(), np.float64)
