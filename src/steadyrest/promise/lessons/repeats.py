"""Made again: the n-th time a part is made takes the first time's hours times n ** slope (Crawford's unit times).

    log(actual / estimate) of the n-th time = shop + part + slope * ln(n) + own

part ~ normal (0, PART_SD): how wrong this part's estimate is; slope ~ normal: few repeats move it little. What is asked
is a straight line with many starts, so what is believed then is normal too and needs no draws.
Source: unit times Y = a n ** b, b = log2(rate), as in textbook tables (from memory); checked in
tests/promise/lessons/test_repeats.py against the printed 80 % table.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

# Before any repeat: each doubling takes 0.95 of the hours, give or take a tenth. Common practice, no source.
SLOPE, SLOPE_SD = math.log2(0.95), 0.10
PART_SD = 0.25
TENTH = 1.28155  # p90 of a normal, in its sds


@dataclass(frozen=True, slots=True)
class Made:
    """One time that a part was made. part: which; nth: from 1; ratio: log(actual / estimate)."""

    part: str
    nth: int
    ratio: float

    def __post_init__(self) -> None:
        if self.nth < 1 or not math.isfinite(self.ratio):
            raise ValueError(f"Made: {self!r} must be from 1 on, with a ratio")


@dataclass(frozen=True, slots=True)
class Repeats:
    """slope: with its sd, as believed. parts: made more than once; times: how often in all."""

    slope: float
    slope_sd: float
    parts: int
    times: int

    def rate(self, sds: float = 0.0) -> float:
        """What each doubling of the times leaves of the hours; so many sds above the middle."""
        return 2.0 ** (self.slope + sds * self.slope_sd)


def repeats(made: Sequence[Made], *, shop: float, spread: float) -> Repeats | None:
    """What repeats teach.

    Args:
        made: every time that a part was made whose hours are known.
        shop: log ratio of the shop's usual time to its estimate.
        spread: sd of a job's log ratio around that; above 0.
    Returns: None where no part was made twice.
    Raises: ValueError: no spread.
    """
    if not spread > 0:
        raise ValueError(f"repeats: spread {spread!r} must be above 0")
    again = {one.part for one in made if one.nth > 1}
    some = [one for one in made if one.part in again]
    if not some:
        return None
    names = sorted(again)
    lines = np.zeros((len(some), len(names) + 1))
    for row, one in enumerate(some):
        lines[row, names.index(one.part)] = 1.0
        lines[row, -1] = math.log(one.nth)
    before = np.array([*[PART_SD**-2] * len(names), SLOPE_SD**-2])
    seen = np.array([one.ratio - shop for one in some])
    pull = lines.T @ seen / spread**2
    pull[-1] += SLOPE * before[-1]
    spreads = np.linalg.inv(np.diag(before) + lines.T @ lines / spread**2)
    return Repeats(float((spreads @ pull)[-1]), math.sqrt(float(spreads[-1, -1])), len(names), len(some))


def unit_ratio(nth: int, rate: float) -> float:
    """What the n-th time takes, of the first.

    Args:
        nth: from 1. rate: what each doubling leaves; above 0.
    Returns: above 0.
    Raises: ValueError: out of range.
    """
    if nth < 1 or not rate > 0:
        raise ValueError(f"unit_ratio: nth {nth!r} must be from 1 on, rate {rate!r} above 0")
    return float(nth ** math.log2(rate))
