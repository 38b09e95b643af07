"""What not having to order is worth, each time a length is asked for and one on the rack serves.

Whoever has none does not order one length at the price of a whole order: so many are ordered together that freight and
smallest order, shared by all of them, and what the others cost while they wait, are least for each.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spared:
    """each: spared with every length that need not be ordered, money, besides its metal. together: so many lengths
    are ordered at once by whoever orders well."""

    each: float
    together: int


def spared(
    order: Callable[[float], float], *, new_per_mm: float, mean_mm: float, per_year: float, hold: float,
    discount: float, longest_mm: float,
) -> Spared:  # fmt: skip
    """What every length that need not be ordered spares.

    Args:
        order: what an order of so many mm costs, all in it, money.
        new_per_mm: of it, the metal itself.
        mean_mm: of the lengths asked for; > 0. per_year: how often one is; > 0.
        hold: what keeping a rest costs a year. discount: what money costs a year, as a share.
        longest_mm: of a bar as sold.
    Returns: money, and how many lengths an order has.
    Source: Harris 1913 (lot size; from memory), here over whole lengths, order by order.
    """
    metal = new_per_mm * mean_mm

    def each(many: int) -> float:
        besides = order(many * mean_mm) - many * metal
        # The last of them waits for the others: (many - 1) / per_year; all of them, on average, half as long.
        waits = (many - 1) / per_year
        return (besides + waits * (many * metal * discount / 2.0 + hold)) / many

    together = min(range(1, max(1, int(longest_mm / mean_mm)) + 1), key=lambda many: (each(many), many))
    return Spared(max(each(together), 0.0), together)
