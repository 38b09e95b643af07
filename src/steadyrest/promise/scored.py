"""Hours or money foretold, beside what they came to: where in the odds they fell, and how far off the odds were."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

FIFTHS = 5


@dataclass(frozen=True, slots=True)
class Foretold:
    """A job's hours, or its cost, as log-normal odds, beside what they came to, both in one unit.

    middle: half the time no more; spread: sd of ln.
    """

    middle: float
    spread: float
    actual: float

    def __post_init__(self) -> None:
        if not (self.middle > 0 and self.spread > 0 and self.actual > 0):
            raise ValueError(f"Foretold: {self!r} must be above 0 throughout")

    @property
    def place(self) -> float:
        """Where in the odds it fell, 0 to 1: the chance that was given to no more than this (PIT)."""
        return _below(math.log(self.actual / self.middle) / self.spread)

    @property
    def off(self) -> float:
        """How far off the odds were as a whole (CRPS), in their unit: 0 only where all was sure and right.

        Source: the log-normal's CRPS, Baran and Lerch 2015 (from memory); checked against its integral in
        tests/promise/test_scored.py.
        """
        s, y = self.spread, self.actual
        z = math.log(y / self.middle) / s
        mean = self.middle * math.exp(s * s / 2)
        return y * (2 * _below(z) - 1) - 2 * mean * (_below(z - s) + _below(s / math.sqrt(2)) - 1)


@dataclass(frozen=True, slots=True)
class Trueness:
    """Of several jobs: how many fell into each fifth of the odds, the lowest first; a fifth should fall into each.

    kept_half, kept_nine: how many came to no more than was foretold half the time, nine times in ten.
    off, plain_off: mean CRPS as a share of the middle, and the same of the middle alone taken as sure.
    """

    fifths: tuple[int, ...]
    kept_half: int
    kept_nine: int
    off: float
    plain_off: float

    @property
    def jobs(self) -> int:
        return sum(self.fifths)


def trueness(found: Sequence[Foretold]) -> Trueness | None:
    """How true foretold hours, or costs, were.

    Args:
        found: jobs that are done.
    Returns: None of none.
    """
    if not found:
        return None
    fifths = [0] * FIFTHS
    for one in found:
        fifths[min(int(one.place * FIFTHS), FIFTHS - 1)] += 1
    return Trueness(
        fifths=tuple(fifths),
        kept_half=sum(one.place <= 0.5 for one in found),
        kept_nine=sum(one.place <= 0.9 for one in found),
        off=sum(one.off / one.middle for one in found) / len(found),
        plain_off=sum(abs(one.actual / one.middle - 1) for one in found) / len(found),
    )


def _below(z: float) -> float:
    """The standard normal's chance of no more than z."""
    return 0.5 * math.erfc(-z / math.sqrt(2))
