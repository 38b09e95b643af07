"""What several errors make together: at the worst, by the root of the sum of squares, and as draws."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from steadyrest.shop.chart import Term
from steadyrest.shop.draws import FloatArray, Luck

# A normal term's reach holds 95 of 100: 1.96 sd on each side.
SD_IN_REACH = 1.959964


def worst_case(terms: Sequence[Term]) -> tuple[float, float]:
    """How far a size goes down and up if every error goes to its end at once.

    Args:
        terms: the errors.
    Returns: (lowest, highest) deviation, mm; lowest <= 0 <= highest.
    Source: definition; a normal term counts with its 95 in 100.
    """
    low = high = 0.0
    for term in terms:
        ends = (0.0 if term.shape == "one-sided" else -term.reach_mm, term.reach_mm)
        moved = sorted(term.factor * end for end in ends)
        low, high = low + moved[0], high + moved[1]
    return low, high


def root_sum_square(terms: Sequence[Term]) -> float:
    """Half the band that independent errors fill together: the root of the sum of squares of their reaches.

    Args:
        terms: the errors; a one-sided one counts with half its reach, about its middle.
    Returns: mm.
    Source: definition.
    """
    reaches = (term.reach_mm / (2.0 if term.shape == "one-sided" else 1.0) for term in terms)
    return math.sqrt(sum((reach * term.factor) ** 2 for reach, term in zip(reaches, terms, strict=True)))


def deviations(terms: Sequence[Term], luck: Luck) -> FloatArray:
    """How far off the size is in each draw; terms of one name share their luck.

    Args:
        terms: the errors.
        luck: how many draws, from which seed.
    Returns: (n,) mm.
    """
    total = np.zeros(luck.count)
    for term in terms:
        if term.shape == "normal":
            total += term.factor * term.reach_mm / SD_IN_REACH * luck.normal(term.luck)
        else:
            low = 0.0 if term.shape == "one-sided" else -1.0
            total += term.factor * term.reach_mm * (low + (1.0 - low) * luck.uniform(term.luck))
    return total


def held(terms: Sequence[Term], *, low_mm: float, high_mm: float, aim_mm: float, luck: Luck) -> float:
    """The chance that a size is within its limits.

    Args:
        terms: the errors.
        low_mm, high_mm: the limits.
        aim_mm: the size that is aimed at.
        luck: how many draws, from which seed.
    Returns: 0 to 1.
    """
    made = aim_mm + deviations(terms, luck)
    return float(((made >= low_mm) & (made <= high_mm)).mean())


def aim(terms: Sequence[Term], *, low_mm: float, high_mm: float) -> float:
    """Where to aim so that what drifts one way ends as far from one limit as from the other.

    Args:
        terms: the errors.
        low_mm, high_mm: the limits.
    Returns: mm.
    """
    drift = sum(term.factor * term.reach_mm / 2.0 for term in terms if term.shape == "one-sided")
    return (low_mm + high_mm) / 2.0 - drift
