"""Parts that go wrong: how many are lost, how many are cut once more, how many blanks to lay out besides.

A size that ends on the side where metal is still there is cut once more; one that ends on the other loses the part.
Both come from the tolerance chart's draws, so that sizes which go wrong together are one lost part and not two.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.route.tolerance_stack import aim, deviations
from steadyrest.shop.chart import Charted
from steadyrest.shop.draws import FloatArray, Luck
from steadyrest.shop.figure import Figure, Reason, because

MOST_LOST = 0.95
MOST_SPARE = 1000
# Kinds whose sizes grow as they are cut; a depth does on every kind.
INSIDE = ("bore", "slot", "keyway", "groove", "pocket", "cone", "thread")


@dataclass(frozen=True, slots=True)
class Scrap:
    """What goes wrong in a lot.

    lost, again: share of parts that are lost, and that are cut once more. lost_parts, again_parts: (n,) how many.
    spare: blanks to lay out besides, so that the lot is whole at the wanted odds.
    """

    lost: Figure
    again: Figure
    lost_parts: FloatArray
    again_parts: FloatArray
    spare: int
    why: tuple[Reason, ...]


def scrap(
    charted: Sequence[Charted], *, inside: Collection[str], quantity: int, wanted_odds: float, luck: Luck
) -> Scrap | None:
    """What goes wrong, by the tolerance chart.

    Args:
        charted: sizes with what moves them.
        inside: ids of features whose sizes grow as they are cut.
        quantity: good parts wanted; at least 1.
        wanted_odds: how often the blanks laid out must be enough.
        luck: of the chart.
    Returns: None where nothing has limits of its own.
    """
    if not charted:
        return None
    missed, left = np.zeros(luck.count, np.bool_), np.zeros(luck.count, np.bool_)
    for one in charted:
        made = aim(one.terms, low_mm=one.low_mm, high_mm=one.high_mm) + deviations(one.terms, luck)
        small, large = made < one.low_mm, made > one.high_mm
        grows = one.feature in inside or one.size.startswith("depth")
        missed |= large if grows else small
        left |= small if grows else large
    lost = min(float(missed.mean()), MOST_LOST)
    again = float((left & ~missed).mean())
    worst = min(charted, key=lambda one: one.odds.value)
    why = (because("price.scrap_worst", feature=worst.feature, kept_odds=worst.odds.value),)
    spare = spare_blanks(quantity, lost=lost, wanted_odds=wanted_odds)
    return Scrap(
        lost=Figure(lost, "1", (because("price.scrap_lost", sizes=float(len(charted))), *why)),
        again=Figure(again, "1", (because("price.scrap_again"), *why)),
        lost_parts=_counts(luck.uniform("parts lost"), quantity, lost),
        again_parts=_counts(luck.uniform("parts cut again"), quantity, again),
        spare=spare,
        why=(because("price.spare", spare=float(spare), quantity=float(quantity), wanted_odds=wanted_odds), *why),
    )


def spare_blanks(quantity: int, *, lost: float, wanted_odds: float) -> int:
    """The fewest blanks more than parts, so that enough parts come out good.

    Args:
        quantity: good parts wanted; at least 1.
        lost: chance that a part is lost, each by itself; 0 to below 1.
        wanted_odds: how often it must be enough.
    Returns: the least s with P(Binomial(quantity + s, 1 - lost) >= quantity) >= wanted_odds; at most 1000.
    Raises: ValueError: an argument out of range.
    Source: definition; checked against sums of the binomial in tests/price/test_scrap.py.
    """
    if quantity < 1 or not 0 <= lost < 1 or not 0 < wanted_odds < 1:
        raise ValueError(f"spare_blanks: quantity {quantity!r}, lost {lost!r} or wanted {wanted_odds!r} out of range")
    from scipy.special import bdtr  # late: the command's help must not wait for SciPy

    # Enough are good where at most s of quantity + s are lost.
    return next((s for s in range(MOST_SPARE) if float(bdtr(s, quantity + s, lost)) >= wanted_odds - 1e-12), MOST_SPARE)


def _counts(uniform: FloatArray, quantity: int, share: float) -> FloatArray:
    """(n,) how many of the lot, each by itself with this chance; the same draw gives the same count."""
    if share <= 0:
        return np.zeros(uniform.size)
    from scipy.stats import binom  # late: as above

    return np.asarray(binom.ppf(uniform, quantity, min(share, 1.0)), np.float64)
