"""Does a reading decide? Proved inside, refused, or neither; uncertainty counts against whoever must prove.

The maker proves that a size is inside its limits: the limits shrink by a guard band of 1.65 standard uncertainties
(one-sided 95 %). Outside is proved where the reading lies beyond a limit by as much. Between them, nothing is proved.
"""

from __future__ import annotations

import math
from typing import Literal

Verdict = Literal["proved", "not proved", "refused"]
GUARD = 1.65


def decide(reading_mm: float, limits_mm: tuple[float, float], u_mm: float, guard: float = GUARD) -> Verdict:
    """Whether a reading proves a size inside its limits, proves it outside, or neither.

    Args:
        reading_mm: measured.
        limits_mm: smallest and largest size allowed.
        u_mm: standard uncertainty of the measurement; >= 0.
        guard: guard band in standard uncertainties.
    Returns: "proved", "not proved" (neither), or "refused".
    Raises: ValueError: limits the wrong way round, or a negative uncertainty.
    Source: ISO 14253-1. Checked in tests/checks/test_decision_rule.py.
    """
    low, high = limits_mm
    if low > high or u_mm < 0 or not math.isfinite(reading_mm):
        raise ValueError(f"decide: reading {reading_mm!r}, limits {limits_mm!r}, u {u_mm!r}")
    band = guard * u_mm
    if low + band <= reading_mm <= high - band:
        return "proved"
    if reading_mm <= low - band or reading_mm >= high + band:
        return "refused"
    return "not proved"


def accept_mm(limits_mm: tuple[float, float], u_mm: float, guard: float = GUARD) -> tuple[float, float] | None:
    """The readings that prove a size inside its limits.

    Args:
        limits_mm: smallest and largest size allowed.
        u_mm: standard uncertainty of the measurement.
        guard: guard band in standard uncertainties.
    Returns: (lowest, highest) reading; None where the gauge is too coarse for any reading to prove it.
    Source: ISO 14253-1. Checked in tests/checks/test_decision_rule.py.
    """
    low, high = limits_mm[0] + guard * u_mm, limits_mm[1] - guard * u_mm
    return (low, high) if low <= high else None


def conformance_odds(reading: float, limits: tuple[float | None, float | None], u: float) -> float:
    """Chance that the true value lies inside the limits, after this reading and with no other knowledge.

    Args:
        reading: measured.
        limits: smallest and largest allowed; None for a side without a limit.
        u: standard uncertainty; > 0.
    Returns: 0 to 1.
    Source: JCGM 106:2012, 7: phi((high - y) / u) - phi((low - y) / u). Checked in tests/checks/test_decision_rule.py.
    """
    low, high = limits
    above = 1.0 if high is None else _phi((high - reading) / u)
    below = 0.0 if low is None else _phi((low - reading) / u)
    return max(above - below, 0.0)


def _phi(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
