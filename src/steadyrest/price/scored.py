"""Prices that were asked, beside what became of them: how often the odds that each is taken came true.

The odds of a quote are those that the quotes decided before it gave (winning.py), so none is judged by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.price.winning import BELIEVED_SD, MIDDLES, SPREADS, Quoted, taken
from steadyrest.shop.draws import FloatArray

BANDS = 3
FIFTHS = 5
HALF = 0.25  # what odds of one half are off by, whatever happens


@dataclass(frozen=True, slots=True)
class Band:
    """Quotes of like odds. low, high: the odds. won: how many were taken of `asked`; expected: by their odds."""

    low: float
    high: float
    asked: int
    won: int
    expected: float


@dataclass(frozen=True, slots=True)
class PricesTrue:
    """bands: those in which a quote fell, the least likely first.

    off: mean square of odds less what happened (Brier); HALF where they say nothing, 0 where all was sure and right.
    fifths: where the most that customers would have paid fell in its odds, the lowest first: a yes says at least what
    was asked, a no less, each shared evenly over what it leaves; a fifth of the quotes should fall into each.
    """

    bands: tuple[Band, ...]
    off: float
    fifths: tuple[float, ...]

    @property
    def asked(self) -> int:
        return sum(band.asked for band in self.bands)

    @property
    def won(self) -> int:
        return sum(band.won for band in self.bands)

    @property
    def expected(self) -> float:
        return sum(band.expected for band in self.bands)


def odds_before(quotes: Sequence[Quoted]) -> FloatArray:
    """The odds that each quote is taken, by those decided before it.

    Args:
        quotes: decided, the first first.
    Returns: (n,) 0 to 1.
    """
    from scipy.special import log_ndtr  # late, as in winning.py

    log = np.repeat((-0.5 * (MIDDLES / BELIEVED_SD) ** 2)[:, None], SPREADS.size, axis=1)
    found = np.empty(len(quotes))
    for n, one in enumerate(quotes):
        weight = np.exp(log - log.max())
        found[n] = taken(np.array([one.ratio]), weight / weight.sum())[0]
        room = (MIDDLES[:, None] - np.log(one.ratio)) / SPREADS
        log += log_ndtr(room if one.won else -room)
    return found


def prices_true(quotes: Sequence[Quoted]) -> PricesTrue | None:
    """How true the odds of prices were.

    Args:
        quotes: decided, the first first.
    Returns: None of none.
    """
    if not quotes:
        return None
    odds, won = odds_before(quotes), np.array([one.won for one in quotes])
    at = np.minimum((odds * BANDS).astype(np.int64), BANDS - 1)
    bands = tuple(
        Band(k / BANDS, (k + 1) / BANDS, int((at == k).sum()), int(won[at == k].sum()), float(odds[at == k].sum()))
        for k in range(BANDS)
        if (at == k).any()
    )
    return PricesTrue(bands, float(((odds - won) ** 2).mean()), places(odds, won))


def places(odds: FloatArray, won: npt.NDArray[np.bool_]) -> tuple[float, ...]:
    """In which fifths of its odds the most that each customer would have paid lies (a PIT of what is half known).

    Args:
        odds: (n,) that what was asked is taken. won: (n,) whether it was.
    Returns: how many in each fifth, the lowest first; together n.
    Source: the non-randomised PIT, Czado, Gneiting and Held 2009 (from memory).
    """
    edges = np.linspace(0.0, 1.0, FIFTHS + 1)
    below = np.clip(1.0 - odds, 1e-12, 1.0 - 1e-12)[:, None]  # the chance given to no more than what was asked
    reached = np.where(won[:, None], (edges - below) / (1.0 - below), edges / below).clip(0.0, 1.0)
    return tuple(float(one) for one in np.diff(reached, axis=1).sum(axis=0))
