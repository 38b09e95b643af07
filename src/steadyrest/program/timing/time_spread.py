"""How far a computed time is usually off: a cautious prior, taught by runs that were really timed.

The logarithm of actual over computed is normal with unknown mean and spread (normal and inverse gamma, conjugate): with
no run timed the spread is the prior's, with many it is theirs. A bias that all runs share is corrected, not only said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class TimeSpread:
    """p10_s, p50_s, p90_s: as long or shorter in so many runs of ten. runs: how many timed runs taught it."""

    p10_s: float
    p50_s: float
    p90_s: float
    runs: int


def time_spread(computed_s: float, past: Sequence[tuple[float, float]] = ()) -> TimeSpread:
    """The spread of a run's time.

    Args:
        computed_s: what the machine's constants give; >= 0.
        past: (computed, actual) seconds of runs that were timed on this machine; both > 0.
    Returns: its spread.
    Raises: ValueError: a past time that is not above 0.
    Source: normal-inverse-gamma with a Student's t forecast; Gelman and others, Bayesian Data Analysis, section 3.3.
    """
    from scipy.special import stdtrit  # late: the command's help must not wait for SciPy

    if any(not (computed > 0 and actual > 0) for computed, actual in past):
        raise ValueError("time_spread: a past time that is not above 0")
    logs = [math.log(actual / computed) for computed, actual in past]
    n = len(logs)
    weight, runs_worth = rule("time_bias_runs"), rule("time_spread_runs")
    mean = sum(logs) / n if n else 0.0
    squares = sum((one - mean) ** 2 for one in logs)
    centre = n * mean / (n + weight)
    alpha = (runs_worth + n) / 2
    beta = runs_worth * rule("time_spread") ** 2 / 2 + squares / 2 + weight * n * mean**2 / (2 * (n + weight))
    scale = math.sqrt(beta / alpha * (1 + 1 / (n + weight)))
    off = scale * float(stdtrit(2 * alpha, 0.9))
    low, middle, high = (computed_s * math.exp(centre + k * off) for k in (-1, 0, 1))
    return TimeSpread(low, middle, high, n)
