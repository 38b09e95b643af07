"""Before anything is measured: how often a gauge will pass a wrong part, and how often it will refuse a right one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from steadyrest.measure.decision import GUARD, accept_mm
from steadyrest.shop.chart import Charted

STEPS = 800
REACH = 8.0


@dataclass(frozen=True, slots=True)
class Risks:
    """Shares of all parts. passed_wrong: accepted though outside. refused_right: not accepted though inside."""

    passed_wrong: float
    refused_right: float


@lru_cache(maxsize=4096)  # every piece of a lot asks the same
def risks(mean_mm: float, sd_mm: float, limits_mm: tuple[float, float], u_mm: float, guard: float = GUARD) -> Risks:
    """Both risks of passing only what is proved, for sizes that fall normally about a mean.

    Args:
        mean_mm, sd_mm: of the sizes that the way of making them gives; sd > 0.
        limits_mm: smallest and largest size allowed.
        u_mm: standard uncertainty of the gauge; > 0.
        guard: guard band in standard uncertainties; 0: whatever reads inside the limits passes.
    Returns: shares, each 0 to 1.
    Raises: ValueError: a spread that is not positive.
    Source: JCGM 106:2012, 9.4 (global risks), by the trapezoid rule. Checked in tests/measure/test_risks.py against
        plain drawing of lots.
    """
    if not (sd_mm > 0 and u_mm > 0):
        raise ValueError(f"risks: sd {sd_mm!r} and u {u_mm!r} must be positive")
    low, high = limits_mm
    accept = accept_mm(limits_mm, u_mm, guard)
    # Each side of a limit by itself, so that no step straddles one.
    edges = sorted({mean_mm - REACH * sd_mm, mean_mm + REACH * sd_mm, *(
        edge for edge in (low, high) if abs(edge - mean_mm) < REACH * sd_mm
    )})  # fmt: skip
    wrong = right = 0.0
    for start, stop in pairwise(edges):
        inside = low <= (start + stop) / 2 <= high
        step = (stop - start) / STEPS
        for k in range(STEPS + 1):
            size = start + k * step
            weight = step * (0.5 if k in (0, STEPS) else 1.0) * _density((size - mean_mm) / sd_mm) / sd_mm
            passes = 0.0 if accept is None else _phi((accept[1] - size) / u_mm) - _phi((accept[0] - size) / u_mm)
            if inside:
                right += weight * (1.0 - passes)
            else:
                wrong += weight * passes
    return Risks(min(wrong, 1.0), min(right, 1.0))


def _density(z: float) -> float:
    return math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


def _phi(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def process_sd_mm(charted: Charted) -> float:
    """How far sizes made this way scatter, one sigma, from what the tolerance chart says moves them.

    Args:
        charted: one size of the chart.
    Returns: mm; 0 where nothing moves it.
    """
    share = {"normal": 1 / 1.96, "uniform": 1 / math.sqrt(3.0), "one-sided": 1 / math.sqrt(12.0)}
    return math.hypot(*(term.factor * term.reach_mm * share[term.shape] for term in charted.terms))
