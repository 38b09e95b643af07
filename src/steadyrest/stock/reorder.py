"""When to order what is used up: so that what is there lasts, with the odds asked for, until new ones are here.

How often it is used is not known but learned: so many times in so many days. The number of uses till the new ones come
is then negative binomial (a Poisson count whose rate has the gamma odds that the past leaves, beginning from Jeffreys'
1/2), each use takes as many as uses took so far, and what is used up in all follows by Panjer's recursion, exactly.
Source: sources.toml, panjer-1981. Checked against drawing lots in tests/stock/test_reorder.py.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from steadyrest.shop.figure import Figure, because

JEFFREYS = 0.5
SOURCE = "panjer-1981"
MOST = 20_000  # more than so many of one thing is no count of a small workshop
LARGE = 1e200
LEAST_DAYS = 7.0  # what a week has not shown yet


def used_up(uses: Sequence[int], *, watched_days: float, lead_days: float, most: int) -> npt.NDArray[np.float64]:
    """The odds of using up 0, 1, 2, ... till new ones come.

    Args:
        uses: how many each use took, each above 0.
        watched_days: over how long they were seen; > 0.
        lead_days: till new ones come; > 0.
        most: the largest number asked about.
    Returns: (most + 1,) odds; they add up to less than one by what lies beyond.
    Source: panjer-1981, of the negative binomial: a = 1 - p, b = (r - 1) (1 - p).
    """
    r, p = len(uses) + JEFFREYS, watched_days / (watched_days + lead_days)
    counts = Counter(uses) if uses else Counter({1: 1})
    sizes = np.array(sorted(counts))
    share = np.array([counts[int(size)] for size in sizes]) / sum(counts.values())
    a, b = 1 - p, (r - 1) * (1 - p)
    odds = np.zeros(most + 1)
    # With a long past and a long wait the odds of none are too small for a float: their logarithm is kept beside.
    odds[0], beside = 1.0, r * float(np.log(p))
    for s in range(1, most + 1):
        fits = sizes <= s
        j = sizes[fits]
        odds[s] = float(np.sum((a + b * j / s) * share[fits] * odds[s - j]))
        if odds[s] > LARGE:
            odds[: s + 1] /= LARGE
            beside += float(np.log(LARGE))
    return odds * np.exp(beside)


def order_at(uses: Sequence[int], *, watched_days: float, lead_days: float, odds: float) -> Figure:
    """At how many left to order.

    Args:
        uses: how many each use took; each above 0.
        watched_days: over how long they were seen.
        lead_days: till new ones come; > 0.
        odds: how often what is left must last; 0 < odds < 1.
    Returns: the number, with why.
    Raises: ValueError: an argument out of range.
    """
    if not (0 < odds < 1 and lead_days > 0 and all(use > 0 for use in uses)):
        raise ValueError(f"order_at: odds {odds!r}, lead_days {lead_days!r} or a use is out of range")
    days = max(watched_days, LEAST_DAYS)
    mean = (len(uses) + JEFFREYS) * lead_days / days * (sum(uses) / len(uses) if uses else 1.0)
    most = int(min(MOST, 40 + 12 * mean + 40 * max(uses, default=1)))
    total = np.cumsum(used_up(uses, watched_days=days, lead_days=lead_days, most=most))
    found = int(np.searchsorted(total, odds))
    why = because("reorder.point", source=SOURCE, last_odds=odds, lead_days=lead_days, most=float(found))
    past = because("reorder.past", used=float(sum(uses)), times=float(len(uses)), days=days)
    return Figure(float(min(found, MOST)), "1", (why, past))
