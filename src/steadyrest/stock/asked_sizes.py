"""How often, and how long, bar of a section and metal is asked for: the shop's own past, and where to begin without.

What is asked comes as it comes: with a prior of so many a year that weighs as much as some years of the book, the rate
after n cuts in t years is (prior rate x prior years + n) / (prior years + t); the lengths share likewise.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.stock.keep import Demand
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class AskedFor:
    """per_year: how often, all lengths together. demands: each length and its share. own: cuts of the shop's own book.

    years: that the book spans.
    """

    per_year: float
    demands: tuple[Demand, ...]
    own: int
    years: float


def asked_for(lengths_mm: Sequence[float], years: float) -> AskedFor:
    """What will be asked for.

    Args:
        lengths_mm: each cut of the book, whole mm. years: that the book spans; >= 0.
    Returns: rate and shares; the shares add up to 1.
    Source: gamma prior of a Poisson rate, Dirichlet prior of shares: any handbook of Bayesian statistics.
    """
    begin = prior_mm()
    prior_years, prior_n = rule("keep_asked_years"), rule("keep_asked_per_year") * rule("keep_asked_years")
    weight = defaultdict[float, float](float)
    for each in begin:
        weight[each] += prior_n / len(begin)
    for each in lengths_mm:
        weight[float(max(round(each), 1))] += 1.0
    total = sum(weight.values())
    demands = tuple(Demand(mm, much / total) for mm, much in sorted(weight.items()))
    return AskedFor(total / (prior_years + years), demands, len(lengths_mm), years)


def prior_mm() -> tuple[float, ...]:
    """The lengths that are taken to be asked at the start: each twice the one before."""
    found, longest = [rule("keep_shortest_mm")], rule("keep_longest_mm")
    while found[-1] * 2 <= longest + 1e-9:
        found.append(found[-1] * 2)
    return tuple(found)
