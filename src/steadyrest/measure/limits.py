"""Whether a size has limits of its own, or only what the general tolerance allows every size."""

from __future__ import annotations

from steadyrest.shop.part import Nominal
from steadyrest.tables.general_tolerances import general_tolerance_mm

SAME_MM = 1e-6


def own_limits(nominal: Nominal | None) -> tuple[float, float] | None:
    """The limits that this size was given for its own sake.

    Args:
        nominal: of the size, or None.
    Returns: (low, high); None where there are none, or none but ISO 2768-1 m.
    """
    if nominal is None or nominal.limits is None:
        return None
    low, high = nominal.limits.low_mm, nominal.limits.high_mm
    off = general_tolerance_mm(nominal.value)
    if off is not None and high - low >= 2.0 * off - SAME_MM:
        return None
    return low, high
