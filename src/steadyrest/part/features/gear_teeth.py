"""Which spur gear so many teeth of one diameter over their tips may be: candidates with odds, none a size to trust.

Two sizes cannot tell a gear with shifted or stubbed teeth, or one cut askew, from a plain one: a part of the odds is
kept for those. Measured over pins, or a tooth laid into a gauge, decides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.tables.gears import GearSize, gear_sizes, outside_diameter

# Shares before anything is measured, of all that has teeth: common practice, no source.
CHOICE = {("module", 1): 0.3, ("module", 2): 0.05, ("diametral pitch", 1): 0.12, ("diametral pitch", 2): 0.03}
OTHERS = 0.5  # shifted, stubbed, helical, by no table, or no gear at all
OTHERS_SPAN = math.log(20.0)  # over how many times the least tip diameter those lie, evenly by its logarithm
UNDER_SHARE = 0.02  # of the module: how much under its table size a tip diameter is turned
LEAST_ODDS = 0.05
MOST = 3


@dataclass(frozen=True, slots=True)
class GearTeeth:
    """A candidate. odds: that it is a plain spur gear of this size."""

    size: GearSize
    table_mm: float
    odds: float


def gear_candidates(count: int, outside_mm: float, u_mm: float) -> tuple[GearTeeth, ...]:
    """Gears of so many teeth that are about so large over their tips.

    Args:
        count: teeth. outside_mm: over their tips. u_mm: one sigma of it.
    Returns: the likeliest first, at most three, each of at least one chance in twenty.
    """
    sizes = gear_sizes()
    members = {key: sum((s.system, s.series) == key for s in sizes) for key in CHOICE}
    weights: list[tuple[GearSize, float, float]] = []
    for size in sizes:
        table = outside_diameter(size.module_mm, count)
        sigma = math.hypot(u_mm, UNDER_SHARE * size.module_mm)
        off = (outside_mm - (table - UNDER_SHARE * size.module_mm)) / sigma
        prior = CHOICE[size.system, size.series] / members[size.system, size.series]
        weights.append((size, table, prior * math.exp(-off * off / 2) / (sigma * math.sqrt(2 * math.pi))))
    total = sum(weight for *_, weight in weights) + OTHERS / (OTHERS_SPAN * outside_mm)
    ranked = sorted(weights, key=lambda one: -one[2])[:MOST]
    return tuple(
        GearTeeth(size, table, weight / total) for size, table, weight in ranked if weight / total >= LEAST_ODDS
    )


def gear_why(count: int, outside_mm: float, u_mm: float) -> tuple[Reason, ...]:
    """The same as reasons."""
    found: list[Reason] = []
    for one in gear_candidates(count, outside_mm, u_mm):
        metric = one.size.system == "module"
        key = "features.gear_module" if metric else "features.gear_pitch"
        found.append(because(key, size=f"{one.size.size:g}", table_mm=one.table_mm, fit_odds=one.odds))
    return tuple(found)
