"""What grooves may be off their nominal, where the print gives a plain deviation and no zone."""

from __future__ import annotations

from functools import cache
from typing import Literal

from steadyrest.tables.rows import rows

GrooveSize = Literal["O-ring width", "undercut depth", "undercut width"]


@cache
def groove_deviations_mm(what: GrooveSize) -> tuple[float, float]:
    """Lower and upper deviation of a size of a groove.

    Args:
        what: which size.
    Returns: (below, above) in mm, both not negative.
    Raises: KeyError: the table has no such row.
    Source: ISO 3601-2, DIN 509.
    """
    for row in rows("groove_limits"):
        if row.text("what") == what:
            return row.number("below_mm"), row.number("above_mm")
    raise KeyError(what)
