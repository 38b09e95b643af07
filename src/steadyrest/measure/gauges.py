"""Which gauge for which size: the finest one that reaches it."""

from __future__ import annotations

from steadyrest.shop.floor import Gauge, Shop


def fitting_gauges(shop: Shop, measures: str, size_mm: float) -> tuple[Gauge, ...]:
    """Gauges that reach a size, the finest first.

    Args:
        shop: its gauges.
        measures: "outside", "inside", "depth", "length", "angle" or "thread".
        size_mm: to be measured.
    Returns: gauges by uncertainty, then by the file's order; empty if none reaches.
    """
    reach = [g for g in shop.gauges if measures in g.measures and g.range_mm[0] <= size_mm <= g.range_mm[1]]
    return tuple(sorted(reach, key=lambda gauge: gauge.u_mm))


def best_gauge(shop: Shop, measures: str, size_mm: float) -> Gauge | None:
    """The finest gauge that reaches a size, or None."""
    found = fitting_gauges(shop, measures, size_mm)
    return found[0] if found else None
